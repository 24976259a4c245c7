package bench

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/store"
)

// size is what a practice of one size costs.
type size struct {
	wearers                  int
	rate, pull               Stat
	idle, tick               Stat // a tick with nothing due, and with growthDue
	open, bareOpen           Stat
	memoryMB, bytesPerEntry  float64
	entryBytes, bytesPerByte float64
}

// growth is row group 3.
func (r *run) growth() error {
	small, err := r.newCrowd(smallCrowd)
	if err != nil {
		return err
	}
	a, err := r.measure(small)
	if err := errors.Join(err, small.prog.Close()); err != nil {
		return err
	}
	big, err := r.crowd()
	if err != nil {
		return err
	}
	b, err := r.measure(big)
	if err != nil {
		return err
	}
	name := func(what string) string { return fmt.Sprintf("%s, %d wearers", what, b.wearers) }
	base := fmt.Sprintf("%d wearers", a.wearers)
	r.atLeast(1/1.5, Row{Group: 3, Name: name("ingest"), Unit: "requests/s", Ours: b.rate, Base: a.rate, BaseName: base})
	r.atMost(1.5, Row{Group: 3, Name: name("pull, p50"), Unit: "ms", Ours: b.pull, Base: a.pull, BaseName: base})
	r.atMost(1.5, Row{Group: 3, Name: name("empty tick"), Unit: "ms", Ours: b.idle, Base: a.idle, BaseName: base})
	r.atMost(1.5, Row{Group: 3, Name: name(fmt.Sprintf("tick, %d due", growthDue)), Unit: "ms", Ours: b.tick, Base: a.tick, BaseName: base})
	r.atMost(300, Row{Group: 3, Name: name("memory of the process without the mapped file"), Unit: "MB", Ours: statOf([]float64{b.memoryMB})})
	r.atMost(50, Row{Group: 3, Name: name("opening, beyond bbolt's own"), Unit: "ms", Ours: statOf([]float64{b.open.Median - b.bareOpen.Median})})
	r.atMost(3, Row{Group: 3, Name: name("file bytes to the entries' own bytes"), Unit: "times", Ours: statOf([]float64{b.bytesPerByte})})
	if b.wearers < largeCrowd {
		r.skip("3, 4 and 5: the practice of %d wearers, which does not fit in five minutes; -large measures it", largeCrowd)
	}
	return nil
}

// measure measures one practice. It closes and opens its file on the way.
func (r *run) measure(c *crowd) (size, error) {
	s := size{wearers: c.wearers}
	entries := float64(c.wearers * crowdNights)
	own := 0
	for n := range len(kinds) {
		raw, err := json.Marshal(entry(0, n, crowdFirst()))
		if err != nil {
			return s, err
		}
		own += len(raw)
	}
	s.entryBytes = float64(own) / float64(len(kinds))
	path := c.prog.DB.Path()
	info, err := os.Stat(path)
	if err != nil {
		return s, err
	}
	s.bytesPerEntry = float64(info.Size()) / entries
	s.bytesPerByte = s.bytesPerEntry / s.entryBytes
	if s.open, s.bareOpen, err = r.reopen(c, path); err != nil {
		return s, err
	}
	if s.idle, s.tick, err = r.ticks(c); err != nil {
		return s, err
	}
	if s.rate, s.pull, err = r.traffic(c); err != nil {
		return s, err
	}
	s.memoryMB = memoryMB()
	return s, nil
}

// reopen times opening the file by the store and by bbolt alone.
func (r *run) reopen(c *crowd, path string) (ours, base Stat, err error) {
	if err := c.prog.Close(); err != nil {
		return ours, base, err
	}
	var a, b []float64
	for range rounds {
		start := time.Now()
		db, err := bbolt.Open(path, 0o600, &bbolt.Options{InitialMmapSize: 1 << 30, FreelistType: bbolt.FreelistMapType})
		if err != nil {
			return ours, base, err
		}
		b = append(b, time.Since(start).Seconds()*1000)
		if err := db.Close(); err != nil {
			return ours, base, err
		}
		start = time.Now()
		own, err := store.Open(path, clock)
		if err != nil {
			return ours, base, err
		}
		a = append(a, time.Since(start).Seconds()*1000)
		if err := own.Close(); err != nil {
			return ours, base, err
		}
	}
	c.prog, err = r.opt.Open(filepath.Dir(path), clock)
	return statOf(a), statOf(b), err
}

// growthDue is how many wearers are due in the ticks that growth compares.
const growthDue = 100

// ticks times ticks with nothing due, a thousand at a time because one takes a
// microsecond, and ticks with some due. Nothing is due afterwards.
func (r *run) ticks(c *crowd) (idle, due Stat, err error) {
	const together = 1000
	c.prog.Reminder.Sender = counter{}
	var none, some []float64
	for round := range rounds {
		start := time.Now()
		for range together {
			if _, err := c.prog.Reminder.Tick(r.ctx, evening); err != nil {
				return idle, due, err
			}
		}
		none = append(none, time.Since(start).Seconds()*1000/together)
		at := evening.Add(time.Duration(round+1) * time.Minute)
		if err := c.makeDue(growthDue, at); err != nil {
			return idle, due, err
		}
		start = time.Now()
		if _, err := c.prog.Reminder.Tick(r.ctx, at); err != nil {
			return idle, due, err
		}
		some = append(some, time.Since(start).Seconds()*1000)
		if err := c.makeDue(growthDue, evening.AddDate(1, 0, 0)); err != nil {
			return idle, due, err
		}
	}
	return statOf(none), statOf(some), nil
}

// traffic pushes and pulls as many requests whatever the size, spread over all
// families.
func (r *run) traffic(c *crowd) (rate, pull Stat, err error) {
	const requests = 500
	epoch, err := epochOf(c.prog.DB)
	if err != nil {
		return rate, pull, err
	}
	h, err := serve(c.prog.Server.App())
	if err != nil {
		return rate, pull, err
	}
	defer h.close()
	var rates, pulls []float64
	for round := range rounds {
		var push, read [][]byte
		var who []int
		for k := range requests {
			i := (k*c.wearers/requests + round) % c.wearers
			who = append(who, i)
			n := crowdNights*len(kinds) + (100+round)*batchSize // new in every round
			push = append(push, post("/api/sync", cookieOf(i), batchBody(i, n, batchSize, crowdFirst().AddDays(-2*crowdNights), epoch, crowdNights)))
			read = append(read, post("/api/sync", cookieOf(i), batchBody(i, 0, 0, tonight, epoch, crowdNights-batchSize)))
		}
		o, err := drive(r.ctx, h.addr, 1, read)
		if err != nil {
			return rate, pull, err
		}
		pulls = append(pulls, o.at(0.5))
		if err := c.settled(who); err != nil {
			return rate, pull, err
		}
		if o, err = drive(r.ctx, h.addr, connections, push); err != nil {
			return rate, pull, err
		}
		rates = append(rates, o.rate)
	}
	return statOf(rates), statOf(pulls), nil
}

// settled leaves wearers as a tick does that has looked at them, so that the first
// push of each asks for another look, whatever the size of the practice.
func (c *crowd) settled(who []int) error {
	return c.prog.DB.Update(func(tx *store.Tx) error {
		for _, i := range who {
			if err := tx.Duty().SetDue(wearerID(i), evening.AddDate(1, 0, 0)); err != nil {
				return err
			}
		}
		return nil
	})
}

// memoryMB returns the memory of the process that is not a mapped file. The
// pages of the data file that the system keeps in memory are given back when
// anything else needs them, so they are not counted.
func memoryMB() float64 {
	runtime.GC()
	if raw, err := os.ReadFile("/proc/self/status"); err == nil {
		for line := range strings.Lines(string(raw)) {
			if rest, ok := strings.CutPrefix(line, "RssAnon:"); ok {
				if kb, err := strconv.Atoi(strings.Fields(rest)[0]); err == nil {
					return float64(kb) / 1024
				}
			}
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.Sys-m.HeapReleased) / (1 << 20)
}
