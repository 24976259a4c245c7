// Command mutate asks how strong the tests are: it puts one small fault at a time
// into a package, runs the tests that are to hold it, and lists the faults that
// none of them notices.
//
//	go run ./testdata/mutate -n 100 -seed 1 alerts intake escalate store access data
//
// Nothing in the tree is changed: Go's faults go through -overlay, those of the
// JavaScript into a copy. It needs Unix, takes minutes to hours, and runs in no test command;
// what it left alive, and why, stands in survivors.md beside it.
package main

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"time"
)

// fault is a piece of a file and what stands there instead.
type fault struct {
	file     string
	line     int
	from, to int // bytes of the file
	text     string
	what     string
}

// apply returns the file with the fault in it.
func (f fault) apply(source []byte) []byte {
	return slices.Concat(source[:f.from], []byte(f.text), source[f.to:])
}

// none is the same file without a fault.
func (f fault) none() fault { return fault{file: f.file} }

// target is what is tried: where its source is, and the tests that hold it, the
// quickest first.
type target struct {
	dir   string
	tests [][]string
}

// targets are the packages of the issue that asked for this. The tests of a
// package are its own and those of who uses it most.
var targets = map[string]target{
	"alerts":   {"alerts", [][]string{{"./alerts"}}},
	"access":   {"server/internal/access", [][]string{{"./server/internal/access"}, {"./server/internal/web", "-run", "Access|Authoris|Guess|Passkey|Code"}}},
	"escalate": {"server/internal/escalate", [][]string{{"./server/internal/escalate"}, {"./server/internal/app", "-run", "Device|Mail|Restart|Steps"}}},
	"intake":   {"server/internal/intake", [][]string{{"./server/internal/intake"}, {"./server/internal/web", "-run", "Alert|Report|Wear|Sync|Quota|Share|Unreadable|Restore|Unknown|Drill|Practice|Hand|Bad|Held|Closing|Clinician|Told|Disease|Kept|Reopen|Phone|Left|Word|Fault|Fire"}, {"./server/internal/app", "-run", "Left"}}},
	"store":    {"server/internal/store/*", [][]string{{"./server/internal/store/..."}, {"./server/internal/intake"}, {"./server/internal/web", "-run", "Alert|Access|Revoke|Members|Restore|Settings|Retention|Wear|Sync|Practice|Unreadable|Damaged"}}},
	"data":     {"pwa/app/data", [][]string{{"test/phone-data.test.js", "test/left.test.js", "test/sync-retry.test.js", "test/sync.test.js"}, {"test/sync-model.test.js"}}},
}

func main() {
	n := flag.Int("n", 100, "how many faults of each package")
	seed := flag.Uint64("seed", 1, "which ones")
	limit := flag.Duration("limit", 2*time.Minute, "time for the tests of one fault; longer is listed, and counts as noticed")
	only := flag.String("file", "", "only this file of the package")
	from := flag.Int("from", 0, "leave out so many of the shuffled faults: a run goes on where another has ended")
	flag.Parse()
	red := false
	for _, name := range flag.Args() {
		t, known := targets[name]
		if !known {
			fmt.Fprintf(os.Stderr, "%q is none of alerts, access, escalate, intake, store, data\n", name)
			os.Exit(2)
		}
		if err := try(name, t, sample{*n, *from, *seed, *only}, *limit); err != nil {
			fmt.Fprintln(os.Stderr, err)
			red = true
		}
	}
	if red {
		os.Exit(1)
	}
}

// sample says which faults of a target are tried.
type sample struct {
	n, from int
	seed    uint64
	only    string
}

// try puts faults into one target, and prints those that live.
func try(name string, t target, s sample, limit time.Duration) error {
	faults, err := find(t.dir, s.only)
	if err != nil {
		return err
	}
	all := len(faults)
	rng := rand.New(rand.NewPCG(s.seed, 0))
	rng.Shuffle(all, func(i, j int) { faults[i], faults[j] = faults[j], faults[i] })
	run, done, err := runner(t, limit)
	if err != nil {
		return err
	}
	defer done()
	if v, err := run(faults[0].none()); err != nil || v != lives {
		return errors.Join(fmt.Errorf("%s: its tests fail without any fault, so they would notice every one", name), err)
	}
	killed, tried, next := 0, 0, min(s.from, all)
	for ; next < all && tried < s.n; next++ {
		f := faults[next]
		switch v, err := run(f); {
		case err != nil:
			return err
		case v == noticed:
			killed, tried = killed+1, tried+1
		case v == tooLong:
			killed, tried = killed+1, tried+1
			fmt.Printf("too long: %s:%d: %s\n", f.file, f.line, f.what)
		case v == lives:
			tried++
			fmt.Printf("lives: %s:%d: %s\n", f.file, f.line, f.what)
		}
	}
	fmt.Printf("%s: %d of %d faults noticed (%.0f %%), of %d there are, seed %d; go on with -from %d\n",
		name, killed, tried, 100*float64(killed)/float64(max(tried, 1)), all, s.seed, next)
	return nil
}
