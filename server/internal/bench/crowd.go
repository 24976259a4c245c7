package bench

import (
	"errors"
	"fmt"

	"nightkeep/schedule/civil"
)

// crowd is the large practice that several row groups share.
type crowd struct {
	prog    *Program
	dir     string
	wearers int
}

// Sizes of the practice.
const (
	smallCrowd  = 1000
	middleCrowd = 5000
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
	c, err := r.newCrowd(n)
	r.big = c
	return c, err
}

func (r *run) newCrowd(n int) (*crowd, error) {
	dir, err := r.folder(fmt.Sprintf("crowd-%d", n))
	if err != nil {
		return nil, err
	}
	prog, err := r.opt.Open(dir, clock)
	if err != nil {
		return nil, err
	}
	if err := r.populateThin(prog.DB, 0, n, crowdNights, crowdFirst()); err != nil {
		return nil, errors.Join(err, prog.Close())
	}
	r.say("  %d wearers with %d nights each stand ready", n, crowdNights)
	return &crowd{prog, dir, n}, nil
}
