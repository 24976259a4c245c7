package main

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// verdict is what became of a fault.
type verdict int

const (
	lives verdict = iota
	noticed
	tooLong   // a test ran past the limit: noticed, if the machine was not busy
	noProgram // it does not compile: no fault that anybody could ship
)

// runner returns what tries one fault of a target, and what cleans up after all.
func runner(t target, limit time.Duration) (run func(fault) (verdict, error), done func(), err error) {
	dir, err := os.MkdirTemp("", "mutate-*")
	if err != nil {
		return nil, nil, err
	}
	done = func() { os.RemoveAll(dir) }
	if strings.HasPrefix(t.dir, "pwa") {
		for _, part := range []string{"pwa", "alerts", "schedule", "testdata"} {
			if err := copyTree(part, filepath.Join(dir, part)); err != nil {
				return nil, done, err
			}
		}
		return func(f fault) (verdict, error) { return tryJS(dir, t, f, limit) }, done, nil
	}
	return func(f fault) (verdict, error) { return tryGo(dir, t, f, limit) }, done, nil
}

// tryGo runs the Go tests with the fault in place of what stands in the file.
func tryGo(dir string, t target, f fault, limit time.Duration) (verdict, error) {
	source, err := os.ReadFile(f.file)
	if err != nil {
		return lives, err
	}
	real, err := filepath.Abs(f.file)
	if err != nil {
		return lives, err
	}
	changed, overlay := filepath.Join(dir, "changed.go"), filepath.Join(dir, "overlay.json")
	raw, err := json.Marshal(map[string]any{"Replace": map[string]string{real: changed}})
	if err := errors.Join(err, os.WriteFile(changed, f.apply(source), 0o600), os.WriteFile(overlay, raw, 0o600)); err != nil {
		return lives, err
	}
	for _, test := range t.tests {
		v, err := command(limit, "", append([]string{"go", "test", "-overlay", overlay, "-count=1", "-failfast", "-vet=off"}, test...))
		if err != nil || v != lives {
			return v, err
		}
	}
	return lives, nil
}

// tryJS runs the app's tests in the copy.
func tryJS(dir string, t target, f fault, limit time.Duration) (verdict, error) {
	path := filepath.Join(dir, f.file)
	source, err := os.ReadFile(path)
	if err != nil {
		return lives, err
	}
	if err := os.WriteFile(path, f.apply(source), 0o600); err != nil {
		return lives, err
	}
	defer func() { _ = os.WriteFile(path, source, 0o600) }()
	for _, test := range t.tests {
		v, err := command(limit, filepath.Join(dir, "pwa"), append([]string{"node", "--test"}, test...))
		if err != nil || v != lives {
			return v, err
		}
	}
	return lives, nil
}

// command runs a test command.
func command(limit time.Duration, dir string, args []string) (verdict, error) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, args[0], args[1:]...)
	cmd.Dir, cmd.WaitDelay = dir, 5*time.Second
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // a fault may make a test run for ever: all it started ends with it
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return lives, nil
	case strings.Contains(string(out), "[build failed]"):
		return noProgram, nil
	case ctx.Err() != nil:
		return tooLong, nil
	case errors.As(err, &exit):
		return noticed, nil
	}
	return lives, err
}

// copyTree copies a folder; what npm installed is linked.
func copyTree(from, to string) error {
	modules := filepath.Join(from, "node_modules")
	if real, err := filepath.EvalSymlinks(modules); err == nil {
		if real, err = filepath.Abs(real); err != nil {
			return err
		}
		if err := errors.Join(os.MkdirAll(to, 0o700), os.Symlink(real, filepath.Join(to, "node_modules"))); err != nil {
			return err
		}
	}
	return filepath.WalkDir(from, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if path == modules {
			return skip(d)
		}
		target := filepath.Join(to, strings.TrimPrefix(path, from))
		if d.IsDir() {
			return os.MkdirAll(target, 0o700)
		}
		raw, err := os.ReadFile(path)
		return errors.Join(err, os.WriteFile(target, raw, 0o600))
	})
}

func skip(d os.DirEntry) error {
	if d != nil && d.IsDir() {
		return filepath.SkipDir
	}
	return nil
}
