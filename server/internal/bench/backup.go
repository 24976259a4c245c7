package bench

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// backup is row group 8: ingest with a backup being made all the while, and
// alone. The stall is the longest that any push took.
func (r *run) backup() error {
	p, err := r.sharedPair()
	if err != nil {
		return err
	}
	var calm, busy, stall []float64
	copies := 0
	for round := range rounds {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		ours, _ := p.pushes(0, pushers, p.stored, batchSize)
		o, err := drive(r.ctx, p.ours.addr, connections, ours[:pushers/5])
		if err != nil {
			return err
		}
		calm = append(calm, o.rate)
		stop, stopped := make(chan struct{}), make(chan error, 1)
		go func() {
			n, err := p.copyUntil(stop, filepath.Join(r.dir, fmt.Sprintf("copy-%d", round)))
			copies += n
			stopped <- err
		}()
		o, err = drive(r.ctx, p.ours.addr, connections, ours[pushers/5:2*pushers/5])
		close(stop)
		if err := errors.Join(err, <-stopped); err != nil {
			return err
		}
		busy, stall = append(busy, o.rate), append(stall, o.at(1))
		if _, err := drive(r.ctx, p.ours.addr, connections, ours[2*pushers/5:]); err != nil { // so that all are equally far
			return err
		}
		p.stored += batchSize
	}
	r.say("  %d copies made and verified", copies)
	r.atLeast(0.7, Row{Group: 8, Name: "ingest while a backup is made", Unit: "requests/s", Ours: statOf(busy), Base: statOf(calm), BaseName: "without"})
	r.atMost(250, Row{Group: 8, Name: "longest push while a backup is made", Unit: "ms", Ours: statOf(stall)})
	return nil
}

// copyUntil makes one backup after the other until told to stop, at least one.
func (p *pair) copyUntil(stop <-chan struct{}, path string) (int, error) {
	for n := 1; ; n++ {
		if err := p.prog.DB.Backup(path); err != nil {
			return n, err
		}
		if err := os.Remove(path); err != nil {
			return n, err
		}
		select {
		case <-stop:
			return n, nil
		default:
		}
	}
}
