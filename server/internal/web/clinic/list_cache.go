package clinic

import (
	"encoding/json"
	"slices"
	"strings"
	"sync"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// ListCache keeps in memory what the lists of the whole practice show of each
// wearer. A line is used as long as the store says that nothing about its
// wearer has changed since it was worked out, so it is right after every write;
// what depends on the day is worked out anew when the day changes.
type ListCache struct {
	mu    sync.Mutex
	lines map[care.WearerID]listLine
}

// listLine is one wearer: who it is, and, once a list asked for it, the detail.
type listLine struct {
	wearer care.Wearer
	folded string // name, code and the family's people, as foldName writes them, to search in
	name   string // the name alone, to sort by
	last   string // the same with the family name first
	digits string // telephone numbers of the family
	phones []review.Phone
	serial int
	detail *listDetail
}

// listDetail is what has to be read from the log. It is never changed.
type listDetail struct {
	serial  int
	day     practiceDay
	row     wearerRow
	call    *review.Call
	visits  []visitToday
	booked  []bookedAt // appointments with an hour from today on
	recalls []recallRow
}

// practiceDay is what beside the wearer's own file decides about a line.
type practiceDay struct {
	today  civil.Date
	night  civil.Date // that runs, at the practice
	zone   string
	limits string // settings of the rules, as JSON: text, so that days can be compared
}

// settings returns the limits of the practice.
func (d practiceDay) settings() map[string]int {
	var m map[string]int
	if json.Unmarshal([]byte(d.limits), &m) != nil {
		return nil
	}
	return m
}

// listChunk is how many lines one read transaction works out: some 20 ms of
// work, so that no reader stays open for long.
const listChunk = 100

func (r *ListCache) get(id care.WearerID) (listLine, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	l, ok := r.lines[id]
	return l, ok
}

// keep keeps a line, unless the transaction it was read in may never commit.
func (r *ListCache) keep(l listLine) {
	if l.serial == 0 {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.lines == nil {
		r.lines = map[care.WearerID]listLine{}
	}
	r.lines[l.wearer.ID] = l
}

// forget drops the lines of whoever is not in ids, so that an erased wearer
// leaves the memory too.
func (r *ListCache) forget(ids []care.WearerID) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.lines) == len(ids) {
		return
	}
	for id := range r.lines {
		if _, found := slices.BinarySearch(ids, id); !found {
			delete(r.lines, id)
		}
	}
}

// head returns who a wearer is.
func (r *ListCache) head(tx *store.Tx, id care.WearerID) (listLine, error) {
	if l, ok := r.get(id); ok && tx.Unchanged(l.serial, id, l.wearer.Family) {
		return l, nil
	}
	var w care.Wearer
	var names, digits []string
	var phones []review.Phone
	err := tx.Try(func() (err error) {
		if w, err = tx.Register().Wearer(id); err != nil {
			return err
		}
		names, digits, phones, err = numbersOf(tx, w.Family)
		return err
	})
	if err != nil {
		return listLine{}, err
	}
	l := listLine{wearer: w, folded: foldLine(w.Name, w.Code, names),
		name: foldName(w.Name), last: familyFirst(w.Name), digits: strings.Join(digits, " "), phones: phones, serial: tx.Serial()}
	r.keep(l)
	return l, nil
}

// whole returns a line with its detail.
func (r *ListCache) whole(tx *store.Tx, id care.WearerID, day practiceDay, loc *time.Location) listLine {
	l, err := r.head(tx, id)
	if err != nil {
		return unreadableLine(id)
	}
	if l.current(tx, day) {
		return l
	}
	err = tx.Try(func() (err error) { l.detail, err = detailOf(tx, l.wearer, day, loc); return err })
	if err != nil {
		// Something of this wearer cannot be read and is set aside: the lists show who
		// it is and that somebody must ask, and go on.
		w := l.wearer
		ask := review.Unreadable(w)
		l.detail = &listDetail{day: day, call: &ask, row: wearerRow{ID: w.ID, Name: w.Name, Code: w.Code, Family: w.Family}}
		return l
	}
	r.keep(l)
	return l
}

// unreadableLine is the line of a wearer of whom nothing but the id can be read.
func unreadableLine(id care.WearerID) listLine {
	w := care.Wearer{ID: id, Name: "Record that cannot be read"}
	ask := review.Unreadable(w)
	return listLine{wearer: w, name: foldName(w.Name), last: foldName(w.Name), detail: &listDetail{call: &ask, row: wearerRow{ID: id, Name: w.Name}}}
}

func (l *listLine) current(tx *store.Tx, day practiceDay) bool {
	return l.detail != nil && l.detail.day == day && tx.Unchanged(l.detail.serial, l.wearer.ID, l.wearer.Family)
}

func practiceDayOf(tx *store.Tx) (practiceDay, *time.Location, error) {
	today, loc, err := record.Today(tx)
	if err != nil {
		return practiceDay{}, nil, err
	}
	var limits map[string]int
	if err := tx.Register().Setting("rule_settings", &limits); err != nil {
		return practiceDay{}, nil, err
	}
	text, err := json.Marshal(limits) // in the order of the names
	return practiceDay{today, civil.NightOf(tx.Now, loc), loc.String(), string(text)}, loc, err
}

// detailOf reads one wearer's file for the lists.
func detailOf(tx *store.Tx, w care.Wearer, day practiceDay, loc *time.Location) (*listDetail, error) {
	f, err := record.OpenFile(tx, w, day.today.AddDays(-callNights), day.today)
	if err != nil {
		return nil, err
	}
	d := &listDetail{serial: tx.Serial(), day: day}
	for _, v := range f.Visits {
		if v.State == "booked" && v.Time != "" && !v.Date.Before(day.today) {
			d.booked = append(d.booked, bookedAt{v.Date, v.Time})
		}
		if v.Date == day.today && v.State != "cancelled" {
			d.visits = append(d.visits, visitToday{Wearer: w.ID, Name: w.Name, Code: w.Code, Time: v.Time, Visit: v})
		}
	}
	if d.row, err = rowOf(tx, f, day.today, loc); err != nil {
		return nil, err
	}
	if d.recalls, err = recallsOf(tx, f, day.today, loc, d.row.LastHeard); err != nil {
		return nil, err
	}
	in, err := callInput(tx, f, day, loc, d.row.LastHeard)
	if err != nil {
		return nil, err
	}
	d.row.LensesIn = care.LensesHeld(in.LensesIn)
	d.row.silent = review.Silent(d.row.FirstNight, in.LastNight, day.night, in.Limits)
	if c, ok := review.CallOf(day.today, in); ok {
		d.call = &c
		d.row.NoStop = c.NoStop()
	}
	return d, nil
}

// Viewer is whoever reads from the store.
type Viewer interface {
	View(func(*store.Tx) error) error
}

// Refresh works out every line that is not up to date, in short
// transactions, so that the first list of the day need not wait for it.
func (r *ListCache) Refresh(db Viewer) error {
	stale, err := r.stale(db)
	if err != nil {
		return err
	}
	for chunk := range slices.Chunk(stale, listChunk) {
		err := db.View(func(tx *store.Tx) error {
			day, loc, err := practiceDayOf(tx)
			if err != nil {
				return err
			}
			for _, id := range chunk {
				r.whole(tx, id, day, loc) // erased meanwhile, or set aside
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func (r *ListCache) stale(db Viewer) (stale []care.WearerID, err error) {
	err = db.View(func(tx *store.Tx) error {
		day, _, err := practiceDayOf(tx)
		if err != nil {
			return err
		}
		ids := tx.Register().WearerIDs()
		r.forget(ids)
		for _, id := range ids {
			if l, ok := r.get(id); !ok || !l.current(tx, day) {
				stale = append(stale, id)
			}
		}
		return nil
	})
	return stale, err
}

// heads returns who is of the practice and is found by q, in order of id and
// without detail.
func (r *ListCache) heads(tx *store.Tx, q query) ([]listLine, error) {
	var found []listLine
	for _, id := range tx.Register().WearerIDs() {
		l, err := r.head(tx, id)
		if err != nil {
			l = unreadableLine(id)
		}
		if l.found(q) {
			found = append(found, l)
		}
	}
	return found, nil
}

// onLists calls f with the line of every wearer, in order of id, with its
// detail. It brings the lists up to date before it opens the transaction that f
// runs in.
func (c *call) onLists(f func(tx *store.Tx, day practiceDay, lines []listLine) error) error {
	if err := c.lists.Refresh(c); err != nil {
		return err
	}
	return c.View(func(tx *store.Tx) error {
		day, loc, err := practiceDayOf(tx)
		if err != nil {
			return err
		}
		ids := tx.Register().WearerIDs()
		lines := make([]listLine, 0, len(ids))
		for _, id := range ids {
			lines = append(lines, c.lists.whole(tx, id, day, loc))
		}
		return f(tx, day, lines)
	})
}
