package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A running server has the data file to itself. The commands that a practice
// needs meanwhile are run by that server: they reach it through a socket beside
// the data file, which only the owner of the folder can open.

// order is one command for the running server, with absolute paths.
type order struct {
	Args []string `json:"args"`
}

// outcome is what the command printed, and why it failed.
type outcome struct {
	Out   string `json:"out"`
	Fault string `json:"fault,omitempty"`
	Usage bool   `json:"usage,omitempty"`
	Busy  bool   `json:"busy,omitempty"` // not done yet: the server says every few seconds that it is at work
}

func controlPath(dir string) string { return filepath.Join(dir, "control.sock") }

// withData gives f the data file, or has the server that serves it run the
// command with the same arguments.
func withData(dir string, std IO, args []string, f func(*store.DB) error) error {
	if std.server != nil {
		return f(std.server.DB)
	}
	conn, db, err := reach(dir)
	switch {
	case err != nil:
		return err
	case db != nil:
		return errors.Join(f(db), db.Close())
	}
	defer conn.Close()
	done, err := await(conn, args)
	if err != nil {
		return errors.Join(errors.New("the running server did not answer"), err)
	}
	if _, err := io.WriteString(std.Out, done.Out); err != nil {
		return err
	}
	switch {
	case done.Usage:
		return UsageError{done.Fault}
	case done.Fault != "":
		return errors.New(done.Fault)
	}
	return nil
}

// startWait is how long a command waits for a server that is starting, or for another
// command on the same data.
const startWait = 20 * time.Second

// reach connects to the server that serves a folder, or opens its data when nobody
// does. One that has the data open and takes no orders yet is starting.
func reach(dir string) (net.Conn, *store.DB, error) {
	for began := time.Now(); ; {
		conn, err := net.DialTimeout("unix", controlPath(dir), time.Second)
		if err == nil {
			return conn, nil, nil
		}
		if !exists(filePath(dir)) {
			return nil, nil, noData(dir)
		}
		db, err := openData(dir) // which waits for a second by itself
		var busy *care.Error
		if errors.As(err, &busy) && busy.Code == store.Busy && time.Since(began) < startWait {
			continue
		}
		return nil, db, err
	}
}

// await gives an order and waits for its outcome, as long as the server says that
// it is at work.
func await(conn net.Conn, args []string) (done outcome, err error) {
	if err := json.NewEncoder(conn).Encode(order{args}); err != nil {
		return done, err
	}
	answers := json.NewDecoder(conn)
	for {
		_ = conn.SetReadDeadline(time.Now().Add(3 * orderWait)) // of the socket, not of a rule
		done = outcome{}
		if err := answers.Decode(&done); err != nil || !done.Busy {
			return done, err
		}
	}
}

// control takes orders through the socket until ctx ends.
func (a *App) control(ctx context.Context) {
	path := controlPath(a.opt.DataDir)
	_ = os.Remove(path) // of a server that was cut off: the data file is held by this one
	ln, err := net.Listen("unix", path)
	if err == nil {
		err = os.Chmod(path, 0o600)
	}
	if err != nil {
		a.opt.Log.Warn("no socket for commands: staff and backup need this server stopped", "err", err)
		return
	}
	go func() {
		<-ctx.Done()
		ln.Close()
	}()
	go func() {
		for {
			conn, err := ln.Accept()
			if errors.Is(err, net.ErrClosed) {
				return
			}
			if err != nil { // too many open files, say, which passes
				select {
				case <-ctx.Done():
					return
				case <-time.After(acceptWaitMost):
				}
				continue
			}
			go a.obey(ctx, conn)
		}
	}()
}

const (
	orderWait = 10 * time.Second
	maxOrder  = 64 << 10
)

func (a *App) obey(ctx context.Context, conn net.Conn) {
	defer conn.Close()
	_ = conn.SetDeadline(time.Now().Add(orderWait)) // of the socket, not of a rule
	var o order
	if err := json.NewDecoder(io.LimitReader(conn, maxOrder)).Decode(&o); err != nil {
		return
	}
	var out bytes.Buffer
	ended := make(chan error, 1)
	go func() {
		ended <- a.carryOut(ctx, o.Args, IO{In: &bytes.Buffer{}, Out: &out, Err: io.Discard, server: a})
	}()
	err, ok := a.busy(conn, ended)
	if !ok {
		return // nobody waits any more
	}
	done := outcome{Out: out.String()}
	if err != nil {
		done.Fault, done.Usage = Plain(err), errors.As(err, new(UsageError))
	}
	if err != nil && !errors.As(err, &openSteps{}) {
		a.opt.Log.Warn("a command was refused", "command", strings.Join(o.Args[:min(2, len(o.Args))], " "), "err", err)
	}
	_ = conn.SetDeadline(time.Now().Add(orderWait))
	_ = json.NewEncoder(conn).Encode(done)
}

// busy says every few seconds that an order is at work, until it has ended; not
// ok when nobody listens.
func (a *App) busy(conn net.Conn, ended <-chan error) (err error, ok bool) {
	tick := time.NewTicker(orderWait / 2)
	defer tick.Stop()
	for {
		select {
		case err := <-ended:
			return err, true
		case <-tick.C:
			_ = conn.SetDeadline(time.Now().Add(orderWait))
			if json.NewEncoder(conn).Encode(outcome{Busy: true}) != nil {
				return nil, false
			}
		}
	}
}

// carryOut runs a command that may be run beside a server.
func (a *App) carryOut(ctx context.Context, args []string, std IO) error {
	if len(args) == 0 {
		return UsageError{"there is no command"}
	}
	switch args[0] {
	case "backup":
		if !a.copying.TryLock() {
			return errors.New("a backup is being made just now; try again when it is done")
		}
		defer a.copying.Unlock()
		return runBackup(ctx, args[1:], std)
	case "staff":
		return runStaff(ctx, args[1:], std)
	case "check":
		if slices.Equal(args, setupOrder) {
			return checkSetup("", std)
		}
	}
	return UsageError{"a running server does not take the command " + args[0]}
}
