package clinic

import (
	"cmp"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

type wearerPage struct {
	Wearers []wearerRow `json:"wearers"`
	Page    int         `json:"page"`
	Pages   int         `json:"pages"`
	Total   int         `json:"total"`
}

type wearerRow struct {
	ID         care.WearerID `json:"id"`
	Name       string        `json:"name"`
	Code       string        `json:"code"`
	Age        int           `json:"age"`
	Birth      string        `json:"birth,omitempty"` // YYYY-MM-DD: two of like name are told apart by it
	Family     care.FamilyID `json:"family"`
	FamilyName string        `json:"family_name"`
	FirstNight civil.Date    `json:"first_night"`
	LastHeard  civil.Date    `json:"last_heard"`
	Strip      string        `json:"strip"` // the last 28 nights, as review.StripOf writes them
	Wear       string        `json:"wear"`  // the more careful state of both eyes tonight: none, rest or stop
	// NoStop says that a stop is owed and not written, as a reason to call says too.
	NoStop bool `json:"no_stop"`
	// ReviewBy is the earlier of the dates by which the practice looks at its stops of
	// either eye again; zero where none holds, a release is to come, or wear has ended.
	ReviewBy civil.Date `json:"review_by"`
	// LensesIn are the lenses that are in eyes which may have none.
	LensesIn   []care.LensIn `json:"lenses_in,omitempty"`
	Worn       int           `json:"worn"`
	Answered   int           `json:"answered"`
	NextRecall civil.Date    `json:"next_recall"`
	Overdue    bool          `json:"overdue"`
	Stopped    bool          `json:"stopped"` // by agreement, as of today
	// Ends is the end of wear that holds or lies ahead; null while none does.
	Ends  *course.EndOfWear `json:"ends"`
	Alert string            `json:"alert" enum:",emergency,urgent,routine,note"`

	silent bool // by the practice's limits
}

// held reports whether the lists of who may wear no lens have the wearer.
func (r *wearerRow) held() bool {
	return r.Wear != "none" && r.Wear != "" && !r.Stopped || len(r.LensesIn) > 0
}

const wearersPerPage = 50

// wearers lists one page. What only names decide is found without opening any
// file; only the page's own rows are then filled in.
func (c *call) wearers() error {
	page := wearerPage{Wearers: []wearerRow{}}
	reply := func(tx *store.Tx, lines []listLine, fill func(*listLine) error) error {
		page.Total = len(lines)
		lines, page.Page, page.Pages = pageOf(lines, c.QueryInt("page", 1), wearersPerPage)
		for i := range lines {
			if err := fill(&lines[i]); err != nil {
				return err
			}
			page.Wearers = append(page.Wearers, lines[i].detail.row)
		}
		return nil
	}
	q, filter, by := queryOf(c.Query("q")), c.Query("filter"), c.Query("sort")
	var err error
	if filter == "" && (by == "" || by == "name" || by == "family" || by == "code") {
		err = c.View(func(tx *store.Tx) error {
			day, loc, err := practiceDayOf(tx)
			if err != nil {
				return err
			}
			lines, err := c.lists.heads(tx, q)
			if err != nil {
				return err
			}
			sortLines(lines, by)
			return reply(tx, lines, func(l *listLine) error {
				*l = c.lists.whole(tx, l.wearer.ID, day, loc)
				return nil
			})
		})
	} else {
		err = c.onLists(func(tx *store.Tx, day practiceDay, lines []listLine) error {
			lines = slices.DeleteFunc(lines, func(l listLine) bool {
				return !l.found(q) || !keep(&l.detail.row, filter, day.today)
			})
			sortLines(lines, by)
			return reply(tx, lines, func(*listLine) error { return nil })
		})
	}
	if err != nil {
		return err
	}
	return c.Reply(page)
}

// sortLines sorts by a column; equal rows stand by name, then code, then id, so
// that a page holds the same rows each time.
func sortLines(lines []listLine, by string) {
	slices.SortFunc(lines, func(a, b listLine) int {
		return cmp.Or(column(&a, &b, by), cmp.Compare(a.name, b.name), cmp.Compare(a.wearer.Code, b.wearer.Code), cmp.Compare(a.wearer.ID, b.wearer.ID))
	})
}

// column compares two rows by the column asked for. Whoever has not started or
// has no recall comes last, since nothing is to be done about them.
func column(a, b *listLine, by string) int {
	switch by {
	case "family":
		return cmp.Compare(a.last, b.last)
	case "code":
		return cmp.Compare(a.wearer.Code, b.wearer.Code)
	case "heard":
		x, y := &a.detail.row, &b.detail.row
		return cmp.Or(last(x.FirstNight.IsZero(), y.FirstNight.IsZero()), x.LastHeard.Compare(y.LastHeard))
	case "recall":
		x, y := &a.detail.row, &b.detail.row
		return cmp.Or(last(x.NextRecall.IsZero(), y.NextRecall.IsZero()), x.NextRecall.Compare(y.NextRecall))
	case "worn":
		x, y := &a.detail.row, &b.detail.row
		return cmp.Or(last(x.FirstNight.IsZero(), y.FirstNight.IsZero()), cmp.Compare(x.Worn*max(1, y.Answered), y.Worn*max(1, x.Answered)))
	}
	return 0
}

func last(a, b bool) int { return count(a) - count(b) }

// newNights is for how long a wearer counts as new, in nights: the adaptation
// visits of the usual plan fall within it.
const newNights = 28

func keep(r *wearerRow, filter string, today civil.Date) bool {
	switch filter {
	case "alert":
		return r.Alert != ""
	case "overdue":
		return r.Overdue
	case "silent":
		return !r.Stopped && r.silent
	case "new":
		return !r.Stopped && !r.FirstNight.IsZero() && today.DaysSince(r.FirstNight) <= newNights
	case "held":
		return !r.Stopped && r.Wear != "none" || len(r.LensesIn) > 0
	case "ended":
		return r.Stopped
	}
	return true
}

// rowNights is how many nights back a row of the list of wearers counts.
const rowNights = 28

// rowOf makes one row of the list of wearers.
func rowOf(tx *store.Tx, f record.File, today civil.Date, loc *time.Location) (wearerRow, error) {
	w := f.Wearer
	r := wearerRow{ID: w.ID, Name: w.Name, Code: w.Code, Family: w.Family}
	if fam, err := tx.Register().Family(w.Family); err == nil {
		r.FamilyName = fam.Name
	}
	if b, err := civil.ParseDate(w.Birth); err == nil {
		r.Age, r.Birth = years(b, today), w.Birth
	}
	if p := f.Plan(); p != nil {
		r.FirstNight, r.Stopped = p.FirstNight, !p.Stopped.IsZero() && !p.Stopped.After(today)
	}
	endings, err := register.Shelved[course.Ending](tx.Chart(), register.Endings, w.ID)
	if err != nil {
		return r, err
	}
	r.Ends = course.EndOf(review.Courses(f.Plans), endings, today)
	if err := r.wearOf(tx, f, today); err != nil {
		return r, err
	}
	if late := f.Overdue(); len(late) > 0 {
		r.NextRecall, r.Overdue = late[0].Due, true
	} else if open := f.Open(); len(open) > 0 {
		r.NextRecall = open[0].Due
		if open[0].State == "booked" {
			r.NextRecall = open[0].Date
		}
	}
	if r.LastHeard, err = lastHeard(tx, w.ID, today, loc); err != nil {
		return r, err
	}
	r.Alert, err = topAlert(tx, w.ID)
	return r, err
}

// wearOf fills in the strip of the last nights, and whether a lens is held back.
func (r *wearerRow) wearOf(tx *store.Tx, f record.File, today civil.Date) error {
	facts := tx.Log().WearFacts(r.ID)
	var written []*care.Entry
	err := tx.Log().NightEntries(r.ID, today.AddDays(-rowNights), today.AddDays(-1), func(e care.Entry) bool {
		written = append(written, &e)
		return review.InTime(&e)
	})
	if err != nil {
		return err
	}
	var wear stats.Share
	r.Strip, wear = review.StripOf(r.ID, facts, f.Nights, written, f.Plans, today, rowNights)
	r.Worn, r.Answered = wear.Done, wear.Answered()
	r.Wear = "none"
	stand := care.WearOf(facts, today, false, nil)
	if stand.Worst() >= care.Rest {
		r.Wear = stand.Worst().String()
	}
	if !r.Stopped {
		r.ReviewBy = reviewBy(&stand, tx.Log().WearEntries(r.ID))
	}
	return nil
}

// reviewBy returns the earlier of the dates by which the eyes are looked at again.
func reviewBy(stand *care.Wear, list []*care.Entry) (first civil.Date) {
	written := map[care.EntryID]*care.Entry{}
	for _, e := range list {
		written[e.ID] = e
	}
	for _, eye := range []*care.EyeWear{&stand.Right, &stand.Left} {
		if on := care.ReviewOf(eye.Causes, written); !on.IsZero() && eye.Until.IsZero() && (first.IsZero() || on.Before(first)) {
			first = on
		}
	}
	return first
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// years returns the whole years from birth to a date.
func years(birth, on civil.Date) int {
	y := on.Year - birth.Year
	if birth.AddMonths(12 * y).After(on) {
		y--
	}
	return y
}
