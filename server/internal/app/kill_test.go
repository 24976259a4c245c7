package app_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/storetest"
)

// The server is killed with SIGKILL under load, again and again, and its file
// is looked at each time. NIGHTKEEP_KILLS sets how often; the longer run is
//
//	NIGHTKEEP_KILLS=5000 go test -run TestKillUnderLoad -timeout 2h ./server/internal/app
//
// A kill leaves what the kernel holds of the file, so this proves that every
// commit is whole and that no verdict is answered before its commit. It does
// not prove what a power cut leaves: TestWhatIsSaidIsOnTheDisk does.
const (
	killsOfLife = 10 // then a new file, so that looking at it stays quick
	lanes       = 2
	everyServe  = 50 // each so many starts one is the command `serve`, bundling and all
)

// childEnv tells the test binary to be a server: its value is the kind, its
// folder the first argument.
const childEnv = "NIGHTKEEP_TEST_CHILD"

func TestMain(m *testing.M) {
	var err error
	switch os.Getenv(childEnv) {
	case "":
		undo, err := trustTestServers()
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		code := m.Run()
		undo()
		os.Exit(code)
	case "serve":
		err = app.Run(context.Background(), []string{"serve", "-addr", "127.0.0.1:0", "-data", os.Args[1]}, app.IO{Out: os.Stdout, Err: os.Stderr})
	case "quick":
		err = serveQuickly(os.Args[1])
	case "durable":
		if err = sayDurable(os.Args[1]); err == nil {
			os.Exit(0)
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// serveQuickly is `serve` without bundling the pages, which takes longer than
// everything else a kill needs.
func serveQuickly(dir string) error {
	signal.Ignore(syscall.SIGXFSZ) // a file that may not grow is an error, not the end
	a, err := app.New(app.Options{Addr: "127.0.0.1:0", DataDir: dir, Dev: true, Log: slog.New(slog.NewTextHandler(os.Stderr, nil))})
	if err != nil {
		return err
	}
	if err := a.Listen(); err != nil {
		return err
	}
	a.StartWorkers()
	fmt.Println("serving", a.URL())
	select {} // until killed
}

// child is a server in a process of its own.
type child struct {
	cmd *exec.Cmd
	url string
}

var address = regexp.MustCompile(`http://(127\.0\.0\.1|localhost):\d+`)

// start runs the test binary as a server and waits for its address.
func start(t *testing.T, kind, dir string) *child {
	t.Helper()
	c := &child{cmd: exec.Command(os.Args[0], dir)}
	c.cmd.Env = append(os.Environ(), childEnv+"="+kind)
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	c.cmd.Stdout, c.cmd.Stderr = w, w
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	w.Close()
	lines := bufio.NewScanner(r)
	said := ""
	for c.url == "" && lines.Scan() {
		c.url = address.FindString(lines.Text())
		said += lines.Text() + "\n"
	}
	if c.url == "" {
		t.Fatalf("the server did not start: %s", said)
	}
	go func() { // the child must never wait for its reader
		for lines.Scan() {
		}
		r.Close()
	}()
	return c
}

// kill ends the process at once, in the middle of whatever it does.
func (c *child) kill() {
	_ = c.cmd.Process.Kill()
	_ = c.cmd.Wait() // it was killed: the error says so
}

func TestKillUnderLoad(t *testing.T) {
	t.Parallel()
	n := kills
	if s := os.Getenv("NIGHTKEEP_KILLS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	for lane := range lanes {
		t.Run(fmt.Sprintf("lane %d", lane), func(t *testing.T) {
			t.Parallel()
			began, total := time.Now(), life{}
			for k := 0; k < n/lanes; k += killsOfLife {
				l := newLife(t, uint64(lane*1_000_000+k))
				l.run(t, min(killsOfLife, n/lanes-k))
				total.posts, total.lost, total.reports = total.posts+l.posts, total.lost+l.lost, total.reports+l.reports
				if t.Failed() {
					return
				}
			}
			t.Logf("%d kills in %.0f s: %d requests answered, %d cut off, %d symptom reports", n/lanes, time.Since(began).Seconds(), total.posts, total.lost, total.reports)
		})
	}
}

// life is one data file, the phones that fill it, and what they know.
type life struct {
	dir    string
	rng    *rand.Rand
	phones []*phone
	// answers gets a value for each answered request while there is room.
	answers chan struct{}

	posts, lost, reports int
}

func newLife(t *testing.T, seed uint64) *life {
	t.Helper()
	l := &life{dir: t.TempDir(), rng: rand.New(rand.NewPCG(seed, 3)), answers: make(chan struct{}, 16)}
	for i := range 4 {
		l.phones = append(l.phones, &phone{
			id: fmt.Sprint(i), family: fmt.Sprintf("f%d", i%2), rng: rand.New(rand.NewPCG(seed, uint64(100+i))), durable: map[care.EntryID]care.Entry{}, answers: l.answers,
		})
	}
	enrol(t, l.dir, l.phones)
	return l
}

// enrol writes families, wearers and phones into a new file.
func enrol(t *testing.T, dir string, phones []*phone) {
	t.Helper()
	db := openFile(t, dir)
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		var errs []error
		for _, p := range phones {
			f := care.FamilyID(p.family)
			errs = append(errs,
				storetest.Put(tx, care.Family{ID: f, Name: "F", Zone: "Europe/Lisbon", Created: tx.Now}),
				storetest.Put(tx, care.Wearer{ID: care.WearerID(p.family + "a"), Family: f, Name: "A", Code: "W-1"}),
				storetest.Put(tx, care.Wearer{ID: care.WearerID(p.family + "b"), Family: f, Name: "B", Code: "W-2"}),
				storetest.Put(tx, care.Person{ID: care.PersonID("p" + p.id), Family: f, Name: "P", Role: care.Parent}),
				storetest.Put(tx, care.Device{ID: care.DeviceID("d" + p.id), Family: f, Person: care.PersonID("p" + p.id), Created: tx.Now, LastSeen: tx.Now}),
				tx.Access().AddCredential("token-"+p.id, register.Credential{Device: care.DeviceID("d" + p.id), Created: tx.Now}))
		}
		return errors.Join(errs...)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func openFile(t *testing.T, dir string) *store.DB {
	t.Helper()
	db, err := store.Open(filepath.Join(dir, "nightkeep.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	return db
}

// run kills the server n times and then lets the phones send the rest.
func (l *life) run(t *testing.T, n int) {
	t.Helper()
	for k := range n {
		kind := "quick"
		if k == 0 && l.rng.IntN(everyServe/killsOfLife) == 0 {
			kind = "serve"
		}
		c := start(t, kind, l.dir)
		ctx, stop := context.WithCancel(context.Background())
		var wg sync.WaitGroup
		for _, p := range l.phones {
			wg.Go(func() { p.load(ctx, c.url) })
		}
		l.wait()
		c.kill()
		stop()
		wg.Wait()
		if l.look(t); t.Failed() {
			t.Fatalf("after kill %d of the file in %s", k+1, l.dir)
		}
	}
	c := start(t, "quick", l.dir)
	defer c.kill()
	for _, p := range l.phones {
		for len(p.queue) > 0 && p.send(c.url, p.queue[:min(len(p.queue), intake.MaxEntries)]) {
		}
		if len(p.queue) > 0 {
			t.Errorf("phone %s still holds %d entries after the server is back", p.id, len(p.queue))
		}
		l.posts, l.lost = l.posts+p.posts, l.lost+p.lost
	}
}

// wait ends at a random moment: after so many answers, however fast the machine
// is, and a little more.
func (l *life) wait() {
	late := time.After(5 * time.Second)
	for range l.rng.IntN(10) {
		select {
		case <-l.answers:
		case <-late:
			return
		}
	}
	<-time.After(time.Duration(l.rng.IntN(20_000)) * time.Microsecond)
}

// look checks the file of a dead server: nothing that had a verdict is
// missing, nothing is there twice, every report has its alert and every alert
// its entry.
func (l *life) look(t *testing.T) {
	t.Helper()
	faults, err := store.CheckFile(filepath.Join(l.dir, "nightkeep.db"))
	if err != nil || len(faults) > 0 {
		t.Fatalf("the file is not sound: %v %v", err, faults)
	}
	db := openFile(t, l.dir)
	defer db.Close()
	err = db.View(func(tx *store.Tx) error {
		stored := storedEntries(t, tx, "f0", "f1")
		l.lookAtPhones(t, stored)
		return l.lookAtAlerts(t, tx, stored)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func (l *life) lookAtPhones(t *testing.T, stored map[care.EntryID]care.Entry) {
	t.Helper()
	for _, p := range l.phones {
		if p.err != nil {
			t.Error(p.err)
		}
		for id, e := range p.durable {
			have, ok := stored[id]
			if !ok {
				t.Errorf("entry %s had a verdict and is gone", id)
			} else if !have.SameContent(&e) {
				t.Errorf("entry %s is stored as something else: %+v", id, have)
			}
		}
	}
}

func (l *life) lookAtAlerts(t *testing.T, tx *store.Tx, stored map[care.EntryID]care.Entry) error {
	t.Helper()
	named := map[care.EntryID]bool{}
	again := 0 // reports that said nothing new: the alert names the last of them and counts all
	for _, w := range []care.WearerID{"f0a", "f0b", "f1a", "f1b"} {
		list, err := tx.Duty().WearerAlerts(w)
		if err != nil {
			return err
		}
		for _, a := range list {
			if a.Live() && a.NextStepAt.IsZero() {
				t.Errorf("alert %s is live and nothing will happen to it", a.ID)
			}
			for _, id := range a.Recent {
				if _, ok := stored[id]; !ok {
					t.Errorf("alert %s names entry %s, which is not there", a.ID, id)
				}
			}
			for _, h := range a.History {
				named[h.Entry] = true
				again += h.Times
				if _, ok := stored[h.Entry]; h.Entry != "" && !ok {
					t.Errorf("alert %s names entry %s, which is not there", a.ID, h.Entry)
				}
			}
		}
	}
	l.reports = 0
	for id, e := range stored {
		if e.Kind != care.Symptoms {
			continue
		}
		if l.reports++; !named[id] {
			again--
		}
	}
	if again < 0 {
		t.Errorf("%d symptom reports have no alert", -again)
	}
	return nil
}

// storedEntries reads the logs of families page by page.
func storedEntries(t *testing.T, tx *store.Tx, families ...care.FamilyID) map[care.EntryID]care.Entry {
	t.Helper()
	out := map[care.EntryID]care.Entry{}
	for _, f := range families {
		for cursor, more := uint64(0), true; more; {
			page, err := tx.Log().Page(f, cursor, 500, 1<<20)
			if err != nil {
				t.Fatal(err)
			}
			for _, raw := range page.Entries {
				var e care.Entry
				if err := json.Unmarshal(raw, &e); err != nil {
					t.Fatal(err)
				}
				if _, twice := out[e.ID]; twice {
					t.Errorf("entry %s is in the log twice", e.ID)
				}
				out[e.ID] = e
			}
			cursor, more = page.Cursor, page.More
		}
	}
	return out
}
