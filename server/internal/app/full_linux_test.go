package app_test

import (
	"encoding/json"
	"net/http"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A server whose file cannot be written answers 503 in words, keeps answering
// what needs no writing, leaves nothing half-written, and stores again as soon
// as it can, without a restart.
//
// The disk is made full with the limit on file size of the running process,
// which needs no rights: the kernel then fails a write past the limit, cutting
// the one across it, as a full disk fails a write to a page that has no block
// yet. A limit of 0 fails every write, which is what an open file on a file
// system that has turned read-only does. What is not shown here is a disk that
// reports the failure only at fsync.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	const page = 4096
	for _, tt := range []struct {
		name  string
		limit uint64 // bytes of the file that can be written
		sure  bool   // nothing fits; else a small write may
	}{
		{"read-only", 0, true},
		{"full after the first pages", 6*page + 100, true},
		{"full in the middle", 40*page + 1000, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			l := newLife(t, 7)
			c := start(t, "quick", l.dir)
			defer c.kill()
			fill(t, l, c, 6)

			limitFile(t, c, tt.limit)
			var wg sync.WaitGroup
			for _, p := range l.phones {
				wg.Go(func() { p.refused(t, c.url, tt.sure) })
			}
			wg.Wait()
			if tt.sure {
				wellness(t, c, http.StatusServiceUnavailable)
			}
			if status, _, err := ask(http.MethodGet, c.url+"/api/family", "token-0", nil); err != nil || status != http.StatusOK {
				t.Errorf("reading while the disk is full: %d %v", status, err)
			}

			limitFile(t, c, ^uint64(0))
			wellness(t, c, http.StatusOK)
			fill(t, l, c, 2)
			c.kill()
			l.look(t)
			db := openFile(t, l.dir)
			defer db.Close()
			_ = db.View(func(tx *store.Tx) error {
				want := 0
				for _, p := range l.phones {
					want += len(p.durable)
				}
				if got := len(storedEntries(t, tx, "f0", "f1")); got != want {
					t.Errorf("%d entries are stored, %d had a verdict", got, want)
				}
				return nil
			})
		})
	}
}

// fill lets every phone write and send n times; all of it must be stored.
func fill(t *testing.T, l *life, c *child, n int) {
	t.Helper()
	for _, p := range l.phones {
		for range n {
			p.queue = append(p.queue, p.write(), p.write(), p.write())
			if !p.send(c.url, p.queue) || p.err != nil || len(p.queue) > 0 {
				t.Fatalf("phone %s could not store: %v", p.id, p.err)
			}
		}
	}
}

// refused writes on and wants an answer in words each time; the entries stay
// in the queue. Unless that is sure, some may find room and be taken whole.
func (p *phone) refused(t *testing.T, url string, sure bool) {
	t.Helper()
	for range 3 {
		for range 5 {
			p.queue = append(p.queue, p.write())
		}
		body, err := json.Marshal(map[string]any{"epoch": "", "cursor": 0, "entries": p.queue})
		if err != nil {
			t.Error(err)
		}
		status, raw, err := ask(http.MethodPost, url+"/api/sync", "token-"+p.id, body)
		if !sure && status == http.StatusOK {
			p.send(url, p.queue) // the same again: now they have a verdict here too
			continue
		}
		var said struct {
			Error struct{ Code, Message string }
		}
		if err == nil {
			err = json.Unmarshal(raw, &said)
		}
		if err != nil || status != http.StatusServiceUnavailable || said.Error.Code != "cannot-store" || said.Error.Message == "" {
			t.Errorf("phone %s was answered %d %s (%v), want 503 in words", p.id, status, raw, err)
		}
	}
}

// wellness wants the machine's view of the server to say the same.
func wellness(t *testing.T, c *child, want int) {
	t.Helper()
	status, raw, err := ask(http.MethodGet, c.url+"/healthz", "", nil)
	var h struct{ Store bool }
	if err == nil {
		err = json.Unmarshal(raw, &h)
	}
	if err != nil || h.Store != (want == http.StatusOK) {
		t.Errorf("healthz: %d %s %v; want store %v", status, raw, err, want == http.StatusOK)
	}
}

// limitFile sets how far the running server may write into a file. The hard
// limit is left alone, so that the soft one can be lifted again by anybody.
func limitFile(t *testing.T, c *child, bytes uint64) {
	t.Helper()
	var have syscall.Rlimit
	pid := uintptr(c.cmd.Process.Pid)
	if _, _, e := syscall.RawSyscall6(syscall.SYS_PRLIMIT64, pid, syscall.RLIMIT_FSIZE, 0, uintptr(unsafe.Pointer(&have)), 0, 0); e != 0 {
		t.Fatal(e)
	}
	have.Cur = min(bytes, have.Max)
	if _, _, e := syscall.RawSyscall6(syscall.SYS_PRLIMIT64, pid, syscall.RLIMIT_FSIZE, uintptr(unsafe.Pointer(&have)), 0, 0, 0); e != 0 {
		t.Fatal(e)
	}
}

// A second server on the same file is told so at once; it never waits for the
// first to end.
func TestSecondServerIsRefused(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	c := start(t, "quick", dir)
	defer c.kill()
	if _, err := store.Open(filepath.Join(dir, "nightkeep.db"), time.Now); care.KindOf(err) != care.Unavailable {
		t.Errorf("a second process opened the file: %v", err)
	}
}
