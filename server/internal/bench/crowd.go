package bench

import (
	"nightkeep/schedule/civil"
)

// crowd is the large practice that several row groups share.
type crowd struct {
	prog    *Program
	wearers int
}

// Sizes of the practice.
const (
	smallCrowd  = 1000
	middleCrowd = 10000
	largeCrowd  = 100000
	crowdNights = 60
)

func crowdFirst() civil.Date { return tonight.AddDays(1 - crowdNights) }

// crowd opens the large practice, and fills it the first time.
func (r *run) crowd() (*crowd, error) {
	if r.big != nil {
		return r.big, nil
	}
	n := middleCrowd
	if r.opt.Large {
		n = largeCrowd
	}
	dir, err := r.folder("crowd")
	if err != nil {
		return nil, err
	}
	prog, err := r.opt.Open(dir, clock)
	if err != nil {
		return nil, err
	}
	r.big = &crowd{prog, n}
	if err := r.populate(prog.DB, 0, n, crowdNights*len(kinds), crowdFirst()); err != nil {
		return nil, err
	}
	r.say("  %d wearers with %d nights each stand ready", n, crowdNights)
	return r.big, nil
}
