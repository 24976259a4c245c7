package bench

import (
	"errors"
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/store"
)

// What the first two row groups work on.
const (
	pushers       = 2000
	loners        = 200 // further families, of which one pushes at a time
	historyNights = 14  // before the first push
)

// firstNight is the first night of the history.
func firstNight() civil.Date {
	return tonight.AddDays(-historyNights - 1 - 2*rounds*batchSize/len(kinds))
}

// pair is the server and its baseline, both listening.
type pair struct {
	prog       *Program
	ours, base *host
	bare       *bare
	epoch      string
	stored     int // entries of each family so far
}

func (p *pair) close() error {
	return errors.Join(p.ours.close(), p.base.close(), p.prog.Close(), p.bare.db.Close())
}

// sharedPair opens the server with families that have a history, and a baseline
// with the same entries, the first time it is asked.
func (r *run) sharedPair() (*pair, error) {
	const families = pushers + loners
	if r.pair != nil {
		return r.pair, nil
	}
	dir, err := r.folder("families")
	if err != nil {
		return nil, err
	}
	p := &pair{stored: historyNights * len(kinds)}
	if p.prog, err = r.opt.Open(dir, clock); err != nil {
		return nil, err
	}
	if err := r.populate(p.prog.DB, 0, families, p.stored, firstNight()); err != nil {
		return nil, err
	}
	if p.epoch, err = epochOf(p.prog.DB); err != nil {
		return nil, err
	}
	if p.bare, err = openBare(dir); err != nil {
		return nil, err
	}
	if err := p.bare.fill(families, 0, p.stored); err != nil {
		return nil, err
	}
	if p.ours, err = serve(p.prog.Server.App()); err != nil {
		return nil, err
	}
	if p.base, err = serve(p.bare.app()); err != nil {
		return nil, err
	}
	r.pair = p
	r.say("  %d families with %d entries each stand ready", families, p.stored)
	return p, nil
}

// pushes returns a request for each family from one number up to another, with
// the batch that follows entry n: to the server, with a cursor so many entries
// behind the end after the push, and to the baseline.
func (p *pair) pushes(from, to, n, behind int) (ours, base [][]byte) {
	for i := from; i < to; i++ {
		body := batchBody(i, n, batchSize, firstNight(), p.epoch, uint64(n+batchSize-behind))
		ours = append(ours, post("/api/sync", cookieOf(i), body))
		base = append(base, post(fmt.Sprintf("/push/%s/%d", familyID(i), 100000+n), "", body))
	}
	return ours, base
}

// both drives the baseline, then the server.
func (r *run) both(p *pair, conns int, base, ours [][]byte) (b, o result, err error) {
	if b, err = drive(r.ctx, p.base.addr, conns, base); err != nil {
		return b, o, fmt.Errorf("baseline: %w", err)
	}
	o, err = drive(r.ctx, p.ours.addr, conns, ours)
	return b, o, err
}

// ingest is row group 1.
func (r *run) ingest() error {
	p, err := r.sharedPair()
	if err != nil {
		return err
	}
	others, err := r.others()
	if err != nil {
		return err
	}
	var f ingested
	for range rounds {
		if err := r.ingestRound(p, others, &f); err != nil {
			return err
		}
	}
	r.peak = statOf(f.rate).Median
	r.atLeast(0.7, Row{Group: 1, Name: fmt.Sprintf("ingest, %d B requests of %d entries", f.size, batchSize), Unit: "requests/s", Ours: statOf(f.rate), Base: statOf(f.bareRate), BaseName: "bare append"})
	r.atMost(2, Row{Group: 1, Name: "ingest, p99", Unit: "ms", Ours: statOf(f.p99), Base: statOf(f.bareP99), BaseName: "bare append"})
	r.atMost(0.15, Row{Group: 1, Name: "flushes per push at 64 connections", Unit: "flushes", Ours: statOf(f.flushes)})
	r.atLeast(0.7, Row{Group: 1, Name: "replay, all duplicates", Unit: "requests/s", Ours: statOf(f.again), Base: statOf(f.bareAgain), BaseName: "bare look-up"})
	for _, x := range others {
		r.atLeast(x.least, Row{Group: 1, Name: "ingest", Unit: "requests/s", Ours: statOf(f.rate), Base: statOf(x.rate), BaseName: x.name})
	}
	return r.lone(p)
}

// ingested is what the rounds of row group 1 came to.
type ingested struct {
	rate, bareRate, p99, bareP99, flushes []float64
	again, bareAgain                      []float64
	size                                  int // of a request, bytes
}

// ingestRound pushes a batch of every family to the server and the baselines, and
// then the same batches again.
func (r *run) ingestRound(p *pair, others []*other, f *ingested) error {
	ours, base := p.pushes(0, pushers, p.stored, batchSize)
	f.size = len(base[0])
	before := p.prog.DB.Commits()
	b, o, err := r.both(p, connections, base, ours)
	if err != nil {
		return err
	}
	for _, x := range others {
		if err := x.drive(r, base); err != nil {
			return err
		}
	}
	// bbolt flushes the pages, then the page that points to them.
	f.flushes = append(f.flushes, 2*float64(p.prog.DB.Commits()-before)/pushers)
	f.rate, f.bareRate = append(f.rate, o.rate), append(f.bareRate, b.rate)
	f.p99, f.bareP99 = append(f.p99, o.at(0.99)), append(f.bareP99, b.at(0.99))

	// The same batches again, from a device that has the changes already.
	ours, _ = p.pushes(0, pushers, p.stored, 0)
	for i := range base {
		base[i] = post("/replay", "", batchBody(i, p.stored, batchSize, firstNight(), p.epoch, 0))
	}
	if err := p.bare.fill(pushers, p.stored, batchSize); err != nil {
		return err
	}
	// A few times each, because once takes some 70 ms, which one collection of
	// garbage doubles.
	if b, o, err = r.both(p, connections, slices.Repeat(base, 4), slices.Repeat(ours, 4)); err != nil {
		return err
	}
	f.again, f.bareAgain = append(f.again, o.rate), append(f.bareAgain, b.rate)
	p.stored += batchSize
	return nil
}

// lone measures one device alone: its push must not wait for company. A timer
// of a millisecond would show here.
func (r *run) lone(p *pair) error {
	var ours, base []float64
	for round := range rounds {
		o, b := p.pushes(pushers, pushers+loners, historyNights*len(kinds)+round*batchSize, batchSize)
		y, x, err := r.both(p, 1, b, o)
		if err != nil {
			return err
		}
		ours, base = append(ours, x.at(0.5)), append(base, y.at(0.5))
	}
	r.atMost(2, Row{Group: 1, Name: "a lone push, p50", Unit: "ms", Ours: statOf(ours), Base: statOf(base), BaseName: "bare append"})
	return nil
}

// pull is row group 2.
func (r *run) pull() error {
	p, err := r.sharedPair()
	if err != nil {
		return err
	}
	var ours, base [][]byte
	for i := range pushers {
		ours = append(ours, post("/api/sync", cookieOf(i), batchBody(i, 0, 0, tonight, p.epoch, uint64(p.stored-batchSize))))
		base = append(base, get(fmt.Sprintf("/pull/%s/%d", familyID(i), p.stored-batchSize), ""))
	}
	var rate, bareRate []float64
	for range rounds {
		b, o, err := r.both(p, connections, base, ours)
		if err != nil {
			return err
		}
		rate, bareRate = append(rate, o.rate), append(bareRate, b.rate)
	}
	r.atLeast(0.6, Row{Group: 2, Name: "pull of 10 changes", Unit: "requests/s", Ours: statOf(rate), Base: statOf(bareRate), BaseName: "bare scan"})
	return r.firstPage(p)
}

// firstPage pulls everything of a family with three years of nights, and of
// one with a tenth of it: the first page must not take longer.
func (r *run) firstPage(p *pair) error {
	const long, short = pushers + loners, pushers + loners + 1
	if err := r.longAndShort(p.prog.DB, long, short); err != nil {
		return err
	}
	var times [2][]float64
	for range rounds {
		for j, i := range []int{short, long} {
			requests := make([][]byte, 50)
			for k := range requests {
				requests[k] = post("/api/sync", cookieOf(i), batchBody(i, 0, 0, tonight, p.epoch, 0))
			}
			o, err := drive(r.ctx, p.ours.addr, 1, requests)
			if err != nil {
				return err
			}
			times[j] = append(times[j], o.at(0.5))
		}
	}
	r.atMost(1.5, Row{Group: 2, Name: "first page of three years of nights, p50", Unit: "ms", Ours: statOf(times[1]), Base: statOf(times[0]), BaseName: "of a tenth of it"})
	return nil
}

// longAndShort makes a family with three years of nights, and one with a tenth
// of it.
func (r *run) longAndShort(db *store.DB, long, short int) error {
	const years = 3 * 365
	if err := r.populate(db, long, long+1, years*len(kinds), tonight.AddDays(-years)); err != nil {
		return err
	}
	return r.populate(db, short, short+1, years/10*len(kinds), tonight.AddDays(-years/10))
}
