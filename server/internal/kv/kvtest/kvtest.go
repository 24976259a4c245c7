// Package kvtest says what an engine of package kv must do, as a suite that any
// engine can be held against. It imports no engine and uses nothing but [kv.DB].
package kvtest

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"iter"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"nightkeep/server/internal/kv"
)

// Open opens the engine at a place, and makes it when there is none. A place is
// the path of a folder of its own, which stays; an engine that keeps its data
// elsewhere takes it for a name.
type Open func(place string) (kv.DB, error)

// Run holds an engine against the suite. Main must run first.
func Run(t *testing.T, open Open) {
	t.Helper()
	for _, tt := range []struct {
		name string
		run  func(*testing.T, kv.DB)
	}{
		{"what is put is there, in order of its bytes", ordered},
		{"what a transaction has emptied holds up no walk", emptied},
		{"a value of no bytes is told from none", emptyValues},
		{"buckets come with their first pair and go when dropped", bucketsComeAndGo},
		{"an update that fails leaves nothing", wholeOrNothing},
		{"updates that share a commit stand or fall alone", standAlone},
		{"functions that run again count once", countOnce},
		{"a reader sees one state, whatever is written meanwhile", isolated},
		{"states are numbered", serials},
		{"a reader cannot write", readersDoNotWrite},
		{"a closed engine refuses", closed},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			db, err := open(t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { db.Close() })
			tt.run(t, db)
		})
	}
	t.Run("what was stored is there when it is opened again", func(t *testing.T) { t.Parallel(); reopened(t, open) })
	t.Run("what was answered is there after a kill, and nothing by halves", func(t *testing.T) { t.Parallel(); killed(t, open) })
}

// --- helpers ---

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func put(t *testing.T, db kv.DB, bucket string, pairs ...string) {
	t.Helper()
	must(t, db.Update(kv.Shared, func(tx kv.Tx) error {
		for i := 0; i < len(pairs); i += 2 {
			if err := tx.Put(bucket, []byte(pairs[i]), []byte(pairs[i+1])); err != nil {
				return err
			}
		}
		return nil
	}))
}

// dump returns all pairs of a walk as "key=value", parted by spaces.
func dump(walk iter.Seq2[[]byte, []byte]) string {
	var out []string
	for k, v := range walk {
		out = append(out, string(k)+"="+string(v))
	}
	return strings.Join(out, " ")
}

func all(t *testing.T, db kv.DB, bucket string) (out string) {
	t.Helper()
	must(t, db.View(func(tx kv.Tx) error { out = dump(tx.Ascend(bucket, nil)); return nil }))
	return out
}

func wants(t *testing.T, what, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

var errOwn = errors.New("the function's own error")

// --- cases ---

// ordered holds walks and reads, in a transaction and after it, against a map
// that is sorted: keys of every length and byte.
func ordered(t *testing.T, db kv.DB) {
	rnd := rand.New(rand.NewPCG(1, 2))
	model := map[string]string{}
	key := func() []byte {
		k := make([]byte, 1+rnd.IntN(4))
		for i := range k {
			k[i] = []byte{0, 1, 'a', 'b', 0xfe, 0xff}[rnd.IntN(6)]
		}
		return k
	}
	compare := func(tx kv.Tx) {
		keys := slices.Sorted(maps.Keys(model))
		from := key()
		i, _ := slices.BinarySearch(keys, string(from))
		up, down := keys[i:], slices.Clone(keys[:i])
		slices.Reverse(down)
		same(t, fmt.Sprintf("up from %x", from), tx.Ascend("b", from), up, model)
		same(t, fmt.Sprintf("down from %x", from), tx.Descend("b", from), down, model)
		slices.Reverse(keys)
		same(t, "down from the end", tx.Descend("b", nil), keys, model)
		if v, there := model[string(from)]; there != (tx.Get("b", from) != nil) || v != string(tx.Get("b", from)) {
			t.Errorf("get %x: %q, want %q, %v", from, tx.Get("b", from), v, there)
		}
	}
	for range 60 {
		must(t, db.Update(kv.Alone, func(tx kv.Tx) error {
			for range 20 {
				k := key()
				if rnd.IntN(3) == 0 {
					delete(model, string(k))
					must(t, tx.Delete("b", k))
					continue
				}
				v := strconv.Itoa(rnd.IntN(1000))
				model[string(k)] = v
				must(t, tx.Put("b", k, []byte(v)))
			}
			compare(tx)
			return nil
		}))
		must(t, db.View(func(tx kv.Tx) error { compare(tx); return nil }))
	}
	longPairs(t, db)
}

// longPairs holds a long key and a value beside others, and ends a walk early.
func longPairs(t *testing.T, db kv.DB) {
	put(t, db, "long", strings.Repeat("k", 1000), strings.Repeat("v", 1<<20))
	must(t, db.View(func(tx kv.Tx) error {
		if k, v := kv.First(tx, "long", nil); len(k) != 1000 || len(v) != 1<<20 {
			t.Errorf("a key of 1000 bytes and a value of 1 MiB: %d, %d", len(k), len(v))
		}
		for range tx.Ascend("b", nil) {
			break // ends a walk
		}
		return nil
	}))
}

// A thousand keys of a kilobyte fill many pages of any engine; without those in the
// middle a walk goes on at the far side, and without all it ends at once.
func emptied(t *testing.T, db kv.DB) {
	name := func(i int) []byte { return fmt.Appendf(nil, "%04d%s", i, strings.Repeat(".", 1000)) }
	for i := range 1000 {
		put(t, db, "b", string(name(i)), "v")
	}
	must(t, db.Update(kv.Alone, func(tx kv.Tx) error {
		for _, part := range []struct{ from, to, left int }{{100, 900, 200}, {0, 100, 100}, {900, 1000, 0}} {
			for i := part.from; i < part.to; i++ {
				must(t, tx.Delete("b", name(i)))
			}
			up, down := 0, 0
			for range tx.Ascend("b", nil) {
				up++
			}
			for range tx.Descend("b", nil) {
				down++
			}
			if up != part.left || down != part.left {
				t.Errorf("without %d to %d: %d up, %d down, want %d", part.from, part.to, up, down, part.left)
			}
			if k, _ := kv.Last(tx, "b", name(500)); (k != nil) != (part.from == 100) {
				t.Errorf("without %d to %d the last below 500 is %.4q", part.from, part.to, k)
			}
		}
		return nil
	}))
}

func same(t *testing.T, what string, walk iter.Seq2[[]byte, []byte], keys []string, model map[string]string) {
	t.Helper()
	i := 0
	for k, v := range walk {
		if i >= len(keys) || string(k) != keys[i] || string(v) != model[keys[i]] {
			t.Fatalf("%s: pair %d is %x=%s", what, i, k, v)
		}
		i++
	}
	if i != len(keys) {
		t.Fatalf("%s: %d pairs, want %d", what, i, len(keys))
	}
}

func emptyValues(t *testing.T, db kv.DB) {
	look := func(tx kv.Tx) error {
		if v := tx.Get("b", []byte("nil")); v == nil || len(v) != 0 {
			t.Errorf("a value put as nil comes back as %v, want no bytes", v)
		}
		if v := tx.Get("b", []byte("none")); v != nil {
			t.Errorf("a key that is not there has the value %v", v)
		}
		if v := tx.Get("no bucket", []byte("none")); v != nil {
			t.Errorf("a bucket that is not there has the value %v", v)
		}
		wants(t, "pairs", dump(tx.Ascend("b", nil)), "empty= nil=")
		return nil
	}
	must(t, db.Update(kv.Alone, func(tx kv.Tx) error {
		must(t, tx.Put("b", []byte("nil"), nil))
		must(t, tx.Put("b", []byte("empty"), []byte{}))
		return look(tx)
	}))
	must(t, db.View(look))
	if err := db.Update(kv.Shared, func(tx kv.Tx) error { return tx.Put("b", nil, []byte("v")) }); err == nil {
		t.Error("a key of no bytes was stored")
	}
}

func bucketsComeAndGo(t *testing.T, db kv.DB) {
	names := func(want ...string) {
		t.Helper()
		must(t, db.View(func(tx kv.Tx) error {
			wants(t, "buckets", strings.Join(tx.Buckets(), " "), strings.Join(want, " "))
			wants(t, "a bucket that is not there", dump(tx.Ascend("none", nil))+dump(tx.Descend("none", nil)), "")
			return nil
		}))
	}
	names()
	put(t, db, "z", "1", "one")
	put(t, db, "a", "1", "one", "2", "two")
	names("a", "z")
	must(t, db.Update(kv.Alone, func(tx kv.Tx) error {
		must(t, tx.Delete("none", []byte("1")))
		must(t, tx.Drop("none"))
		must(t, tx.Drop("a"))
		wants(t, "a dropped bucket", dump(tx.Ascend("a", nil)), "")
		return tx.Put("a", []byte("3"), []byte("three"))
	}))
	wants(t, "put after it was dropped", all(t, db, "a"), "3=three")
	must(t, db.Update(kv.Shared, func(tx kv.Tx) error { return tx.Drop("a") }))
	names("z")
	var pairs []string
	must(t, db.View(func(tx kv.Tx) error {
		for p := range kv.Pairs(tx) {
			pairs = append(pairs, p.Bucket+" "+string(p.Key)+" "+string(p.Value))
		}
		return nil
	}))
	wants(t, "all pairs", strings.Join(pairs, ", "), "z 1 one")
}

func wholeOrNothing(t *testing.T, db kv.DB) {
	put(t, db, "b", "1", "one", "2", "two")
	for _, lane := range []kv.Lane{kv.Shared, kv.Pressing, kv.Alone} {
		err := db.Update(lane, func(tx kv.Tx) error {
			must(t, tx.Put("b", []byte("3"), []byte("three")))
			must(t, tx.Put("b", []byte("1"), []byte("changed")))
			must(t, tx.Delete("b", []byte("2")))
			must(t, tx.Put("new", []byte("1"), nil))
			wants(t, "in the update", dump(tx.Ascend("b", nil)), "1=changed 3=three")
			return errOwn
		})
		if !errors.Is(err, errOwn) {
			t.Errorf("lane %+v: %v, want the function's own error", lane, err)
		}
		wants(t, "after an update that failed", all(t, db, "b")+all(t, db, "new"), "1=one 2=two")
	}
}

func standAlone(t *testing.T, db kv.DB) {
	const writers = 60
	var wg sync.WaitGroup
	errs := make([]error, writers)
	for i := range writers {
		wg.Go(func() {
			lane := kv.Shared
			if i%2 == 0 {
				lane = kv.Pressing
			}
			errs[i] = db.Update(lane, func(tx kv.Tx) error {
				if err := tx.Put("b", fmt.Append(nil, i), nil); err != nil {
					return err
				}
				switch i % 3 {
				case 1:
					return errOwn
				case 2:
					panic("a fault in one write")
				}
				return nil
			})
		})
	}
	wg.Wait()
	must(t, db.View(func(tx kv.Tx) error {
		for i, err := range errs {
			stored, want := tx.Get("b", fmt.Append(nil, i)) != nil, i%3 == 0
			if stored != want || (err == nil) != want || i%3 == 1 && !errors.Is(err, errOwn) {
				t.Errorf("write %d: answered %v, stored %v; want %v", i, err, stored, want)
			}
		}
		return nil
	}))
}

// countOnce adds to one number from many sides while others fail: however often
// a function runs, what it did counts once.
func countOnce(t *testing.T, db kv.DB) {
	const writers = 50
	var wg sync.WaitGroup
	var runs atomic.Int64
	for i := range writers {
		wg.Go(func() {
			err := db.Update(kv.Shared, func(tx kv.Tx) error {
				runs.Add(1)
				n := uint64(0)
				if v := tx.Get("b", []byte("n")); v != nil {
					n = binary.BigEndian.Uint64(v)
				}
				if err := tx.Put("b", []byte("n"), binary.BigEndian.AppendUint64(nil, n+1)); err != nil || i%5 != 0 {
					return err
				}
				return errOwn
			})
			if (err == nil) != (i%5 != 0) {
				t.Errorf("writer %d: %v", i, err)
			}
		})
	}
	wg.Wait()
	must(t, db.View(func(tx kv.Tx) error {
		if n := binary.BigEndian.Uint64(tx.Get("b", []byte("n"))); n != writers-writers/5 {
			t.Errorf("the sum is %d after %d runs, want %d", n, runs.Load(), writers-writers/5)
		}
		return nil
	}))
}

func isolated(t *testing.T, db kv.DB) {
	put(t, db, "b", "1", "one", "2", "two")
	started, written := make(chan bool), make(chan bool)
	var wg sync.WaitGroup
	wg.Go(func() {
		must(t, db.View(func(tx kv.Tx) error {
			serial := tx.Serial()
			started <- true
			<-written
			wants(t, "a reader from before", dump(tx.Ascend("b", nil)), "1=one 2=two")
			if tx.Serial() != serial {
				t.Error("the number of a reader's state changed")
			}
			return nil
		}))
	})
	<-started
	must(t, db.Update(kv.Shared, func(tx kv.Tx) error {
		must(t, tx.Delete("b", []byte("1")))
		must(t, tx.Put("b", []byte("3"), []byte("three")))
		must(t, db.View(func(other kv.Tx) error {
			wants(t, "a reader beside a write", dump(other.Ascend("b", nil)), "1=one 2=two")
			return nil
		}))
		return nil
	}))
	written <- true
	wg.Wait()
	wants(t, "a reader after the write", all(t, db, "b"), "2=two 3=three")
}

func serials(t *testing.T, db kv.DB) {
	serial := func() (n int) {
		must(t, db.View(func(tx kv.Tx) error { n = tx.Serial(); return nil }))
		return n
	}
	put(t, db, "b", "1", "one")
	before := serial()
	if again := serial(); again != before {
		t.Errorf("the same state is numbered %d, then %d", before, again)
	}
	if err := db.Update(kv.Shared, func(tx kv.Tx) error { return errors.Join(tx.Put("b", []byte("2"), nil), errOwn) }); err == nil {
		t.Error("an update that fails says nothing")
	}
	if after := serial(); after != before {
		t.Errorf("an update that failed took the number from %d to %d", before, after)
	}
	var within int
	must(t, db.Update(kv.Shared, func(tx kv.Tx) error { within = tx.Serial(); return tx.Put("b", []byte("2"), nil) }))
	if after := serial(); after <= before || after != within {
		t.Errorf("numbers %d, in the update %d, after it %d; want them to grow and the last two alike", before, within, after)
	}
}

func readersDoNotWrite(t *testing.T, db kv.DB) {
	put(t, db, "b", "1", "one")
	must(t, db.View(func(tx kv.Tx) error {
		if tx.Writable() {
			t.Error("a reader says that it can write")
		}
		for what, err := range map[string]error{"put": tx.Put("b", []byte("2"), nil), "delete": tx.Delete("b", []byte("1")), "drop": tx.Drop("b")} {
			if !errors.Is(err, kv.ErrReadOnly) {
				t.Errorf("%s in a View: %v, want ErrReadOnly", what, err)
			}
		}
		return nil
	}))
	must(t, db.Update(kv.Shared, func(tx kv.Tx) error {
		if !tx.Writable() {
			t.Error("an update says that it cannot write")
		}
		return nil
	}))
	wants(t, "after refused writes", all(t, db, "b"), "1=one")
}

func closed(t *testing.T, db kv.DB) {
	put(t, db, "b", "1", "one")
	must(t, db.Close())
	if err := db.View(func(kv.Tx) error { return nil }); err == nil {
		t.Error("a closed engine can be read")
	}
	for _, lane := range []kv.Lane{kv.Shared, kv.Pressing, kv.Alone} {
		if err := db.Update(lane, func(kv.Tx) error { return nil }); err == nil {
			t.Errorf("a closed engine can be written, lane %+v", lane)
		}
	}
}

func reopened(t *testing.T, open Open) {
	place := t.TempDir()
	for n := 1; n <= 3; n++ {
		db, err := open(place)
		must(t, err)
		put(t, db, "b", fmt.Sprint(n), "there")
		must(t, db.Close())
	}
	db, err := open(place)
	must(t, err)
	defer db.Close()
	wants(t, "after three openings", all(t, db, "b"), "1=there 2=there 3=there")
}

// --- a kill ---

// placeVariable names, for a child process, the place where it writes.
const placeVariable = "NIGHTKEEP_KVTEST_PLACE"

// Main runs the tests of an engine's package. The suite starts the test's own
// program again to kill it; that child writes until it ends.
func Main(m *testing.M, open Open) {
	place := os.Getenv(placeVariable)
	if place == "" {
		os.Exit(m.Run())
	}
	db, err := open(place)
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	for n := uint64(1); ; n++ {
		if err := db.Update(kv.Shared, func(tx kv.Tx) error { return pairOf(tx, n) }); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println(n) // what is said after the commit must outlive the kill
	}
}

// pairOf stores number n in two buckets, so that a half is seen.
func pairOf(tx kv.Tx, n uint64) error {
	k := binary.BigEndian.AppendUint64(nil, n)
	return errors.Join(tx.Put("left", k, bytes.Repeat(k, 50)), tx.Put("right", k, k))
}

// kills is how often a writer is killed.
const kills = 3

func killed(t *testing.T, open Open) {
	place := t.TempDir()
	last := uint64(0)
	for round := range kills {
		last = max(last, killAfter(t, place, 10+17*round))
		db, err := open(place)
		must(t, err)
		must(t, db.View(func(tx kv.Tx) error {
			for n := uint64(1); n <= last; n++ {
				if tx.Get("left", binary.BigEndian.AppendUint64(nil, n)) == nil {
					t.Errorf("number %d was answered and is gone", n)
				}
			}
			left, right := 0, 0
			for range tx.Ascend("left", nil) {
				left++
			}
			for range tx.Ascend("right", nil) {
				right++
			}
			if left != right {
				t.Errorf("%d numbers on one side, %d on the other", left, right)
			}
			return nil
		}))
		must(t, db.Close())
	}
}

// killAfter starts a writer, kills it once it has answered so many numbers and
// returns the last it answered.
func killAfter(t *testing.T, place string, answers int) (last uint64) {
	t.Helper()
	program, err := os.Executable()
	must(t, err)
	child := exec.Command(program)
	child.Env = append(os.Environ(), placeVariable+"="+place)
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	lines := bufio.NewScanner(out)
	for n := 1; lines.Scan(); n++ {
		if last, err = strconv.ParseUint(lines.Text(), 10, 64); err != nil {
			t.Fatalf("the writer says %q", lines.Text())
		}
		if n == answers {
			must(t, child.Process.Kill())
		}
	}
	if err := child.Wait(); err == nil || last == 0 {
		t.Fatalf("the writer ended by itself: %v", err)
	}
	return last
}
