package course

import (
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// mostLenses is how many lenses one wearer can have in the list: two a year with a
// spare pair each for 25 years.
const mostLenses = 100

type lensList struct {
	Wearer head          `json:"wearer"`
	Today  civil.Date    `json:"today"`
	Home   []course.Lens `json:"home"`
	Lenses []lensRow     `json:"lenses"` // newest first
}

type lensRow struct {
	course.Lens
	State string `json:"state" enum:"planned,ordered,received,home,ended"`
}

type lensRequest struct {
	course.Lens
	Base int  `json:"base"` // the version it began from; 0 for a new one
	Sure bool `json:"sure,omitempty"`
}

type lensReply struct {
	Lens course.Lens `json:"lens"`
}

func (c *call) lenses() error {
	l := lensList{Lenses: []lensRow{}}
	err := c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if l.Today, _, err = record.Today(tx); err != nil {
			return err
		}
		all, err := register.Shelved[course.Lens](tx.Chart(), register.Lenses, w.ID)
		l.Wearer, l.Home = headOf(w), course.AtHome(all)
		for _, x := range all {
			l.Lenses = append(l.Lenses, lensRow{x, x.State()})
		}
		return err
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(l.Lenses, func(a, b lensRow) int { return newest(b.Lens).Compare(newest(a.Lens)) })
	c.AuditSeen("read lenses", string(l.Wearer.ID))
	return c.Reply(l)
}

// newest is the last date by which something is known of a lens.
func newest(l course.Lens) (d civil.Date) {
	for _, x := range []civil.Date{l.Ordered, l.Received, l.Dispensed, l.Ended} {
		if x.After(d) {
			d = x
		}
	}
	return d
}

func (c *call) saveLens() error {
	var req lensRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	l := req.Lens
	var r lensReply
	return c.update("stored lens", &r, func(tx *store.Tx, w care.Wearer, today civil.Date) (string, error) {
		if err := checkLens(&l, today); err != nil {
			return "", err
		}
		all, err := register.Shelved[course.Lens](tx.Chart(), register.Lenses, w.ID)
		if err != nil {
			return "", err
		}
		at := slices.IndexFunc(all, func(x course.Lens) bool { return l.ID != "" && x.ID == l.ID })
		switch {
		case l.ID != "" && at < 0:
			return "", care.Refuse("bad-id", "id", "want the id of a lens of this wearer, or none for a new one")
		case at >= 0:
			if err := stale(all[at].Version, req.Base, "lens"); err != nil {
				return "", err
			}
			l.Version = all[at].Version
		case len(all) >= mostLenses:
			return "", care.Errorf(care.Conflict, "too-many", "one wearer has at most %d lenses in this list", mostLenses)
		default:
			l.ID, l.Version = access.NewID(), 0
		}
		late, err := afterWear(tx, w, l, at < 0 || all[at].Dispensed != l.Dispensed)
		if err != nil {
			return "", err
		}
		if err := record.AskUnless(req.Sure, append(doubtLens(l, all), late...)); err != nil {
			return "", err
		}
		l.Version++
		l.By = c.Caller.Person.Name
		r.Lens = l
		return l.ID, tx.Chart().Shelve(register.Lenses, w.ID, l.ID, l)
	})
}

// afterWear asks about a lens that is given to a family from whose first night without
// lenses on no course has begun, where this is what is written now.
func afterWear(tx *store.Tx, w care.Wearer, l course.Lens, now bool) ([]string, error) {
	if !now || l.State() != "home" {
		return nil, nil
	}
	f, err := record.OnlyPlans(tx, w)
	if err != nil || len(f.Plans) == 0 {
		return nil, err
	}
	all := review.Courses(f.Plans)
	if end := course.EndOf(all, nil, l.Dispensed); end != nil && end.Over {
		return []string{"Wear ended from the night of " + end.Night.String() + "; this lens is given to the family on " + l.Dispensed.String() + "; no course asks for it."}, nil
	}
	return nil, nil
}

// checkLens refuses words, numbers and dates that cannot be.
func checkLens(l *course.Lens, today civil.Date) error {
	switch {
	case l.Eye == "":
		return care.Refuse("missing", "eye", "choose the eye of the lens")
	case l.Design == "":
		return care.Refuse("missing", "design", "choose the design of the lens")
	case l.Eye != "right" && l.Eye != "left":
		return care.Refuse("bad-eye", "eye", "want right or left")
	case !slices.Contains(course.LensDesigns(), l.Design):
		return care.Refuse("bad-design", "design", "want one of %s", strings.Join(course.LensDesigns(), ", "))
	}
	if err := tooLong(said{"design_note", l.DesignNote, 200}, said{"label", l.Label, 120}, said{"material", l.Material, 120},
		said{"serial", l.Serial, 60}, said{"lot", l.Lot, 60}, said{"note", l.Note, 500}); err != nil {
		return err
	}
	if err := record.CheckNumbers(l, record.LensFields, "", ""); err != nil {
		return err
	}
	if (l.Cylinder == nil) != (l.Axis == nil) {
		return care.Refuse("not-possible", "axis", "a cylinder has an axis, and an axis a cylinder: want both or neither")
	}
	return lensDates(l, today)
}

// lensDates refuses dates in the future and out of order. A lens taken over from
// elsewhere may have been given out without an order here.
func lensDates(l *course.Lens, today civil.Date) error {
	before := civil.Date{}
	for _, d := range []struct {
		field, what string
		on          civil.Date
	}{{"ordered", "ordered", l.Ordered}, {"received", "received", l.Received}, {"dispensed", "given out", l.Dispensed}, {"ended", "ended", l.Ended}} {
		if d.on.IsZero() {
			continue
		}
		if err := notYet(d.field, d.on, today); err != nil {
			return err
		}
		if d.on.Before(before) {
			return care.Refuse("not-possible", d.field, "%s on %s is before %s, the date of the step before it", d.what, d.on, before)
		}
		before = d.on
	}
	switch {
	case l.Ended.IsZero() != (l.Why == ""):
		return care.Refuse("missing", map[bool]string{true: "ended", false: "why"}[l.Ended.IsZero()], "a lens that is no longer in use has a date and a reason: want both or neither")
	case l.Why != "" && !slices.Contains(course.LensEnds(), l.Why):
		return care.Refuse("bad-reason", "why", "want one of %s", strings.Join(course.LensEnds(), ", "))
	}
	return nil
}

// doubtLens asks about a lens of which nothing is written, a second lens in use for
// the same eye, and a serial number that another lens has.
func doubtLens(l course.Lens, all []course.Lens) (ask []string) {
	if l.OnlyNamed() {
		ask = append(ask, "Nothing of this lens is written but its eye and its design.")
	}
	for _, x := range all {
		switch {
		case x.ID == l.ID:
		case l.Serial != "" && strings.EqualFold(x.Serial, l.Serial):
			ask = append(ask, "Another lens of this wearer has the serial number "+l.Serial+".")
		case l.State() == "home" && !l.Spare && x.State() == "home" && !x.Spare && x.Eye == l.Eye:
			ask = append(ask, "The family already has a "+l.Eye+" lens in use, given out on "+x.Dispensed.String()+": is that one replaced, or this one the spare?")
		}
	}
	return ask
}
