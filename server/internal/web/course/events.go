package course

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/vision"
	"nightkeep/server/internal/web/record"
)

const (
	mostEvents   = 50 // of one wearer
	mostVersions = 50 // of one event
)

type eventRequest struct {
	course.AdverseEvent
	Base int  `json:"base"`           // the version it began from; 0 for a new one
	Sure bool `json:"sure,omitempty"` // a name in its words was asked about
}

type eventReply struct {
	Event course.AdverseEvent `json:"event"`
}

// saveEvent stores an adverse event; versions before it stay with it.
func (c *call) saveEvent() error {
	var req eventRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	e := req.AdverseEvent
	var r eventReply
	return c.update("stored adverse event", &r, func(tx *store.Tx, w care.Wearer, today civil.Date) (string, error) {
		if err := checkEvent(tx, w, &e, today); err != nil {
			return "", err
		}
		if err := askNames(tx, w, &e, req.Sure); err != nil {
			return "", err
		}
		all, err := register.Shelved[course.AdverseEvent](tx.Chart(), register.Events, w.ID)
		if err != nil {
			return "", err
		}
		at := slices.IndexFunc(all, func(x course.AdverseEvent) bool { return e.ID != "" && x.ID == e.ID })
		e.Earlier, e.Version = nil, 0
		switch {
		case e.ID != "" && at < 0:
			return "", care.Refuse("bad-id", "id", "want the id of an event of this wearer, or none for a new one")
		case at >= 0:
			old := all[at]
			if err := stale(old.Version, req.Base, "event"); err != nil {
				return "", err
			}
			e.Earlier, e.Version = old.Earlier, old.Version
			old.Earlier = nil
			if e.Earlier = append(e.Earlier, old); len(e.Earlier) >= mostVersions {
				return "", care.Errorf(care.Conflict, "too-many", "an event takes at most %d versions", mostVersions)
			}
		case len(all) >= mostEvents:
			return "", care.Errorf(care.Conflict, "too-many", "one wearer has at most %d events", mostEvents)
		default:
			e.ID = access.NewID()
		}
		e.Version++
		e.By, e.On = c.Caller.Person.Name, today
		r.Event = e
		return e.ID, tx.Chart().Shelve(register.Events, w.ID, e.ID, e)
	})
}

// askNames asks about a name of the family in the words of an event: its file leaves
// the practice, and says who is meant by a code alone.
func askNames(tx *store.Tx, w care.Wearer, e *course.AdverseEvent, sure bool) error {
	people, err := tx.Register().People(w.Family)
	if err != nil {
		return err
	}
	wearers, err := tx.Register().Wearers(w.Family)
	if err != nil {
		return err
	}
	names := w.Name
	for _, p := range people {
		names += " " + p.Name
	}
	for _, x := range wearers {
		names += " " + x.Name
	}
	apart := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) }
	said := strings.FieldsFunc(strings.Join([]string{e.Words, e.Found, e.History, e.Treatment}, " "), apart)
	var ask []string
	for _, name := range strings.FieldsFunc(names, apart) {
		same := func(word string) bool { return strings.EqualFold(word, name) }
		if utf8.RuneCountInString(name) > 1 && slices.ContainsFunc(said, same) {
			ask = []string{"A name of the family stands in the words of the event. Its file leaves the practice: write “the child” or “a parent” instead."}
		}
	}
	return record.AskUnless(sure, ask)
}

// checkEvent refuses what an event cannot be.
func checkEvent(tx *store.Tx, w care.Wearer, e *course.AdverseEvent, today civil.Date) error {
	for _, err := range []error{eventWords(e), eventDates(e, w, today), eventSight(e)} {
		if err != nil {
			return err
		}
	}
	if e.Actions == nil {
		e.Actions = []string{}
	}
	if e.Serious == nil {
		e.Serious = []string{}
	}
	if e.Alert != "" {
		list, err := alertsOf(tx, w.ID)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(list, func(a eventAlert) bool { return a.ID == e.Alert }) {
			return care.Refuse("unknown-alert", "alert", "there is no such alert of this wearer")
		}
	}
	if e.Device.Lens == "" {
		return nil
	}
	_, err := register.OnShelf[course.Lens](tx.Chart(), register.Lenses, w.ID, e.Device.Lens)
	if care.KindOf(err) == care.NotFound {
		return care.Refuse("unknown-lens", "device.lens", "there is no such lens of this wearer")
	}
	return err
}

func eventWords(e *course.AdverseEvent) error {
	yes := []string{"yes", "no", "not-known"}
	for _, w := range []struct {
		field, word string
		list        []string
	}{
		{"kind", e.Kind, course.Keys(course.AdverseKinds())}, {"eye", e.Eye, []string{"right", "left", "both"}},
		{"outcome", e.Outcome, course.Keys(course.AdverseOutcomes())}, {"device.in_wear", e.Device.InWear, yes}, {"device.kept", e.Device.Kept, yes},
	} {
		if w.word == "" {
			return care.Refuse("missing", w.field, "choose one of the list")
		}
		if !slices.Contains(w.list, w.word) {
			return care.Refuse("bad-word", w.field, "want one of %s", strings.Join(w.list, ", "))
		}
	}
	for field, list := range map[string][2][]string{
		"actions": {e.Actions, course.Keys(course.AdverseActions())}, "serious": {e.Serious, course.Keys(course.SeriousReasons())},
	} {
		for _, word := range list[0] {
			if !slices.Contains(list[1], word) {
				return care.Refuse("bad-word", field, "want of %s", strings.Join(list[1], ", "))
			}
		}
	}
	if e.NotSure && len(e.Serious) > 0 {
		return care.Refuse("not-possible", "serious", "it cannot be serious and not known to be: want one of the two")
	}
	if err := needed("words", e.Words, "what happened, in words"); err != nil {
		return err
	}
	if err := needed("reporter.name", e.Reporter.Name, "who tells of it"); err != nil {
		return err
	}
	d, r := &e.Device, &e.Reporter
	return tooLong(said{"words", e.Words, 4000}, said{"found", e.Found, 4000}, said{"history", e.History, 4000}, said{"treatment", e.Treatment, 2000},
		said{"device.label", d.Label, 120}, said{"device.design", d.Design, 120}, said{"device.material", d.Material, 120}, said{"device.serial", d.Serial, 60},
		said{"device.lot", d.Lot, 60}, said{"device.solution", d.Solution, 200}, said{"reporter.name", r.Name, 120}, said{"reporter.role", r.Role, 120},
		said{"reporter.practice", r.Practice, 200}, said{"reporter.contact", r.Contact, 200}, said{"told", e.Told, 200}, said{"told_number", e.ToldNumber, 60})
}

func eventDates(e *course.AdverseEvent, w care.Wearer, today civil.Date) error {
	if e.Began.IsZero() {
		return care.Refuse("missing", "began", "want the date on which it began, as near as it is known")
	}
	if e.Aware.IsZero() {
		return care.Refuse("missing", "aware", "want the date on which the practice heard of it")
	}
	for _, d := range []struct {
		field string
		on    civil.Date
	}{{"began", e.Began}, {"aware", e.Aware}, {"settled", e.Settled}, {"told_on", e.ToldOn}, {"device.dispensed", e.Device.Dispensed}} {
		if err := notYet(d.field, d.on, today); err != nil {
			return err
		}
	}
	if b, err := civil.ParseDate(w.Birth); err == nil && e.Began.Before(b) {
		return care.Refuse("not-possible", "began", "%s is before the date of birth, %s", e.Began, w.Birth)
	}
	switch {
	case e.Aware.Before(e.Began):
		return care.Refuse("not-possible", "aware", "%s is before it began, %s", e.Aware, e.Began)
	case !e.Settled.IsZero() && e.Settled.Before(e.Began):
		return care.Refuse("not-possible", "settled", "%s is before it began, %s", e.Settled, e.Began)
	case !e.Settled.IsZero() && !strings.HasPrefix(e.Outcome, "settled"):
		return care.Refuse("not-possible", "settled", "an event that has settled has an outcome that says so")
	case !e.ToldOn.IsZero() && strings.TrimSpace(e.Told) == "":
		return care.Refuse("missing", "told", "want whom it was reported to on %s", e.ToldOn)
	case !e.ToldOn.IsZero() && e.ToldOn.Before(e.Aware):
		return care.Refuse("not-possible", "told_on", "%s is before the practice heard of it, %s", e.ToldOn, e.Aware)
	}
	return nil
}

func eventSight(e *course.AdverseEvent) error {
	return record.CheckNumbers(e, map[string]string{"sight_was": "logmar", "sight_is": "logmar"}, "", "")
}

// eventFile is an adverse event as a file. It names the wearer by the practice's
// code and age alone: who is meant stays in the practice.
type eventFile struct {
	About   string    `json:"about"`
	Made    time.Time `json:"made"`
	By      string    `json:"made_by"`
	Patient struct {
		Code     string   `json:"code"`
		AgeYears *float64 `json:"age_years_when_it_began"`
	} `json:"patient"`
	Event course.AdverseEvent `json:"event"`
	// Words are the titles of every word of a closed list that the event uses.
	Words map[string]string `json:"words"`
}

func (c *call) eventFile() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	f := eventFile{About: "Adverse event in overnight orthokeratology, written down by the practice. Nobody has sent it anywhere by itself.", By: c.Caller.Person.Name, Words: map[string]string{}}
	err := c.Update(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if f.Event, err = register.OnShelf[course.AdverseEvent](tx.Chart(), register.Events, w.ID, c.Params("event")); err != nil {
			return err
		}
		f.Made, f.Patient.Code = tx.Now.UTC().Truncate(time.Second), w.Code
		if b, err := civil.ParseDate(w.Birth); err == nil {
			age := math.Floor(vision.YearsBetween(b, f.Event.Began)*10) / 10
			f.Patient.AgeYears = &age
		}
		// Written down before it is sent: what left the building is known.
		return tx.Audit().Append(c.Caller.Person.ID, "made file of adverse event", string(w.ID)+" "+f.Event.ID)
	})
	if err != nil {
		return err
	}
	for _, list := range [][]course.Named{course.AdverseKinds(), course.AdverseActions(), course.AdverseOutcomes(), course.SeriousReasons()} {
		for _, n := range list {
			f.use(n)
		}
	}
	raw, err := json.MarshalIndent(f, "", "  ")
	if err != nil {
		return err
	}
	return c.Attach("application/json; charset=utf-8", "adverse-event.json", raw)
}

func (f *eventFile) use(n course.Named) {
	e := &f.Event
	if slices.Contains(append(append([]string{e.Kind, e.Outcome}, e.Actions...), e.Serious...), n.Key) {
		f.Words[n.Key] = n.Title
	}
}
