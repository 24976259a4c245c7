package app_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// sayDurable does, in a process of its own, everything whose answer promises that
// something is kept, and says so as it is promised.
func sayDurable(dir string) error {
	at := func(name string) string { return filepath.Join(dir, name) }
	run := func(args ...string) error {
		if err := app.Run(context.Background(), args, app.IO{Out: os.Stderr, Err: os.Stderr}); err != nil {
			return fmt.Errorf("%q: %w", args, err)
		}
		fmt.Println("said:", args[0], args[len(args)-1])
		return nil
	}
	db, err := store.Open(at("data/nightkeep.db"), time.Now)
	if err != nil {
		return err
	}
	for i := range 3 {
		if err := db.Write(func(tx *store.Tx) error {
			return tx.Register().AddFamily(care.Family{ID: care.FamilyID(fmt.Sprint("f", i))})
		}); err != nil {
			return err
		}
		fmt.Println("said: stored", i)
	}
	if err := db.Close(); err != nil {
		return err
	}
	if err := run("staff", "add", "-data", at("data"), "-role", "clinician", "-name", "A"); err != nil {
		return err
	}
	if err := run("backup", "-new-key", at("key")); err != nil {
		return err
	}
	raw, err := os.ReadFile(at("key"))
	if err != nil {
		return err
	}
	public := string(regexp.MustCompile(`age1[0-9a-z]+`).Find(raw))
	for _, args := range [][]string{
		{"backup", "-data", at("data"), "-to", at("one.db")},
		{"backup", "-data", at("data"), "-recipient", public, "-to", at("two.age")},
		{"erase", "-data", at("data"), "-yes", "-family", "f1"},
		{"restore", "-data", at("data"), "-from", at("one.db")},
		{"restore", "-data", at("data"), "-identity", at("key"), "-from", at("two.age")},
		{"staff", "add", "-data", at("data"), "-role", "desk", "-name", "B"},
	} {
		if err := run(args...); err != nil {
			return err
		}
	}
	return nil
}

// disk is what a disk may lose when the power goes: what was written to a file
// since the last flush of it, and the names given in a folder since the last flush
// of that.
type disk struct {
	root  string
	files map[string]bool
	names map[string]map[string]bool // by folder
	known map[string]bool            // names there are: to open one anew gives none
}

var (
	call   = regexp.MustCompile(`^\d+ +(?:<\.\.\. )?(\w+)(.*)$`)
	onFile = regexp.MustCompile(`^\((\d+)<([^>]*)>`)
	made   = regexp.MustCompile(`O_CREAT.* = \d+<([^>]*)>$`)
	quoted = regexp.MustCompile(`"([^"]*)"`)
)

// see takes in one line of what the process asked of the kernel.
func (d *disk) see(line string) {
	m := call.FindStringSubmatch(line)
	if m == nil || strings.Contains(line, " = -1 ") {
		return
	}
	name, rest := m[1], m[2]
	file := ""
	if f := onFile.FindStringSubmatch(rest); f != nil {
		file = f[2]
	}
	switch {
	case name == "openat":
		if f := made.FindStringSubmatch(rest); f != nil && !d.known[f[1]] {
			d.named(f[1])
		}
	case strings.HasPrefix(name, "rename"), strings.HasPrefix(name, "link"):
		if q := quoted.FindAllStringSubmatch(rest, 2); len(q) == 2 {
			d.moved(q[0][1], q[1][1], strings.HasPrefix(name, "rename"))
		}
	case strings.HasPrefix(name, "unlink"):
		if q := quoted.FindStringSubmatch(rest); q != nil {
			d.gone(q[1])
		}
	case name == "fsync" || name == "fdatasync":
		delete(d.files, file)
		delete(d.names, file)
	case strings.HasPrefix(file, d.root+"/"): // what is left writes
		d.files[file] = true
	}
}

// named notes a new name in its folder.
func (d *disk) named(path string) {
	if !strings.HasPrefix(path, d.root+"/") {
		return
	}
	dir := filepath.Dir(path)
	if d.names[dir] == nil {
		d.names[dir] = map[string]bool{}
	}
	d.names[dir][path], d.known[path] = true, true
}

func (d *disk) moved(from, to string, away bool) {
	if d.files[from] {
		d.files[to] = true
	} else {
		delete(d.files, to)
	}
	d.named(to)
	if away {
		d.gone(from)
	}
}

func (d *disk) gone(path string) {
	delete(d.files, path)
	delete(d.known, path)
	delete(d.names[filepath.Dir(path)], path)
}

// lost returns what a power cut may take now.
func (d *disk) lost() (out []string) {
	for f := range d.files {
		out = append(out, "what was written to "+filepath.Base(f))
	}
	for _, names := range d.names {
		for n := range names {
			out = append(out, "the name "+filepath.Base(n))
		}
	}
	slices.Sort(out)
	return out
}

// Whatever the program says is stored, backed up, erased or restored is on the
// disk by then: a power cut at that moment takes nothing of it. What it asks of
// the kernel is read by strace; a file's content is safe once it was flushed after
// the last write, a name once its folder was (fsync(2)). Without any one of these
// flushes this fails.
func TestWhatIsSaidIsOnTheDisk(t *testing.T) {
	t.Parallel()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	trace := filepath.Join(dir, "trace")
	work := filepath.Join(dir, "work")
	if err := os.Mkdir(work, 0o700); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("strace", "-f", "-y", "-s", "200", "-o", trace, "-e",
		"trace=openat,write,pwrite64,writev,pwritev,ftruncate,copy_file_range,sendfile,fsync,fdatasync,rename,renameat,renameat2,link,linkat,unlink,unlinkat", os.Args[0], work)
	cmd.Env = append(os.Environ(), childEnv+"=durable")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := os.Open(trace)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d := &disk{root: work, files: map[string]bool{}, names: map[string]map[string]bool{}, known: map[string]bool{}}
	said := 0
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		line := lines.Text()
		if i := strings.Index(line, `"said: `); i > 0 {
			said++
			if lost := d.lost(); len(lost) > 0 {
				t.Errorf("%s: a power cut may take %s", strings.Trim(strings.Split(line[i:], `\n`)[0], `"`), strings.Join(lost, ", "))
			}
			continue
		}
		d.see(line)
	}
	if said != 11 {
		t.Errorf("%d things said, want 11", said)
	}
}
