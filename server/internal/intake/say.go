package intake

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
)

// Saying is what a person of the practice says to a family about one wearer, all
// or none of it.
type Saying struct {
	// Causes are the ids that the author's screen showed as holding a lens back. A
	// resume is refused when there are others by now.
	Causes  []care.EntryID `json:"causes"`
	Entries []Draft        `json:"entries"`
	// Cleared says what the review found that clears an eye of a disease which a
	// closing named; wanted when such an eye is resumed.
	Cleared string `json:"cleared,omitempty"`
	// Yes is of the [care.Reading] that was shown: the author has read what the family
	// reads of each eye beside own words.
	Yes    string `json:"yes,omitempty"`
	closes care.AlertID
	begins bool
	out    []string // eyes whose lens is said to be out, see [Saying.WithLens]
}

// Begins is the saying that begins a new course of wear, or takes the end of one back.
func (s Saying) Begins() Saying {
	s.begins = true
	return s
}

// Closing is the saying that closes an alert as a disease of the cornea.
func (s Saying) Closing(a care.AlertID) Saying {
	s.closes = a
	return s
}

// Disease reports whether it closes an alert as a disease of the cornea.
func (s Saying) Disease() bool { return s.closes != "" }

// Draft is one entry of the practice to be written.
type Draft struct {
	Kind care.EntryKind  `json:"kind"` // cease, resume, word, visit or taught
	Body json.RawMessage `json:"body"`

	place bool // its words are a place, see [SentTo]
}

// SentTo is the word that tells a family where the wearer is sent: the phrase that the
// app has in every language, and the place as the practice wrote it, which nobody is
// asked about.
func SentTo(alert care.AlertID, where string) Draft {
	body, _ := json.Marshal(map[string]any{"text": where, "phrase": "referred", "alert": alert}) // three texts: never fails
	return Draft{Kind: care.Word, Body: body, place: true}
}

// maxSaid is how many entries one saying takes.
const maxSaid = 20

// Say writes what a person of the practice says in the family's log, in the
// caller's transaction, and tells the family's devices. Errors are [care.Error]:
// Forbidden for a resume by anybody but a clinician, Invalid with the field,
// Conflict "causes-changed" when the causes are not those that were shown, and
// Conflict "own-words" with what the family would read, see [askBoth].
func Say(tx *store.Tx, who care.Person, w care.Wearer, s Saying) ([]*care.Entry, error) {
	if len(s.Entries) > maxSaid {
		return nil, care.Refuse("too-many-entries", "entries", "want at most %d entries at once", maxSaid)
	}
	if err := mayResume(tx, who, w.ID, s); err != nil {
		return nil, err
	}
	was := WearNow(tx, w.ID)
	out := make([]*care.Entry, 0, len(s.Entries))
	drafts, err := s.heldLonger(tx, w.ID, func(d Draft) (*care.Entry, error) {
		e, err := sayOne(tx, who, w, d, len(out), "")
		out = append(out, e)
		return e, err
	})
	if err != nil {
		return nil, err
	}
	for i, d := range drafts {
		e, err := sayOne(tx, who, w, d, len(out), fmt.Sprintf("entries.%d.", i))
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	if err := askBoth(tx, w.ID, &was, out, s); err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(out, func(e *care.Entry) bool { return e.Kind != care.Taught }) {
		return out, nil // a tick on the list of what was taught rings nobody's phone
	}
	return out, dispatch.NotifyFamily(tx, w.Family, out[len(out)-1].FSeq, notBefore(tx, w.ID, out))
}

// sayOne writes one entry of a saying, the n-th; at is where an error is.
func sayOne(tx *store.Tx, who care.Person, w care.Wearer, d Draft, n int, at string) (*care.Entry, error) {
	e, err := newEntry(tx, who, w, d, n)
	if err != nil {
		return nil, err
	}
	if err := e.CheckBody(); err != nil {
		return nil, within(at, err)
	}
	if err := checkNamed(tx, w, e, at+"body."); err != nil {
		return nil, err
	}
	if err := checkSaid(tx, e, at+"body."); err != nil {
		return nil, err
	}
	if err := judge(tx, e); err != nil {
		return nil, err
	}
	if err := tx.Log().AppendFromPractice(w.Family, e); err != nil {
		return nil, err
	}
	return e, tx.Audit().Append(who.ID, "say "+string(e.Kind), string(w.ID))
}

// TellPlan tells a family's devices that a wearer has a new plan, outside their quiet
// hours: they fetch it with what is new in the log.
func TellPlan(tx *store.Tx, w care.Wearer) error {
	seq, _, err := tx.Log().Head(w.Family)
	if err != nil {
		return err
	}
	return dispatch.NotifyFamily(tx, w.Family, seq, notBefore(tx, w.ID, nil))
}

// notBefore returns from when a family's phones may say that the practice has
// written: at once what stops wear, anything else outside the quiet hours.
func notBefore(tx *store.Tx, w care.WearerID, said []*care.Entry) time.Time {
	rec, err := openRecord(tx, w)
	if err != nil || rec.loc == nil || slices.ContainsFunc(said, func(e *care.Entry) bool { return stopsNow(e, rec.today) }) {
		return tx.Now
	}
	plan := rec.plan
	if who, err := tx.Register().Wearer(w); err == nil {
		plan = who.Reminders.Over(plan) // the family's own quiet hours
	}
	return plan.AfterQuiet(tx.Now, rec.loc)
}

// stopsNow reports whether an entry of the practice stops wear tonight; a stop that
// is still to come can wait for the morning.
func stopsNow(e *care.Entry, tonight civil.Date) bool {
	return e.Kind == care.Cease && !e.WearFact().Begins.After(tonight)
}

func within(where string, err error) error {
	if e, ok := err.(*care.Error); ok {
		moved := *e
		moved.Field = where + e.Field
		return &moved
	}
	return err
}

// mayResume refuses a resume that its author could not have meant.
func mayResume(tx *store.Tx, who care.Person, w care.WearerID, s Saying) error {
	for i, d := range s.Entries {
		at := fmt.Sprintf("entries.%d.kind", i)
		if !slices.Contains([]care.EntryKind{care.Cease, care.Resume, care.Word, care.Visit, care.Taught}, d.Kind) {
			return care.Refuse("bad-kind", at, "want cease, resume, word, visit or taught")
		}
		if d.Kind != care.Resume {
			continue
		}
		if who.Role != care.Clinician {
			return care.Errorf(care.Forbidden, "clinician-only", "only a clinician says that lenses may be worn again")
		}
		have := CausesOf(WearNow(tx, w))
		shown := slices.Clone(s.Causes)
		slices.Sort(shown)
		if !slices.Equal(have, slices.Compact(shown)) {
			return care.Errorf(care.Conflict, "causes-changed", "something that holds a lens back was added or lifted since this was shown; please look again")
		}
		var draft draftWords
		_ = json.Unmarshal(d.Body, &draft) // a body that is not of its kind is refused below
		at = fmt.Sprintf("entries.%d.body.", i)
		if err := s.wordsAgree(); err != nil {
			return err
		}
		if err := s.clear(tx, who, w, draft, at); err != nil {
			return err
		}
		if s.begins {
			draft.Answers = nil // the end of wear alone: nothing that an alert told of
		} else if err := endStays(tx, w, draft, at); err != nil {
			return err
		}
		if err := mayRelease(tx, w, draft, at); err != nil {
			return err
		}
	}
	return nil
}

// WearNow returns where a wearer's eyes stand tonight, by the zone at home.
func WearNow(tx *store.Tx, w care.WearerID) care.Wear {
	return care.WearOf(tx.Log().WearFacts(w), Tonight(tx, w), false, nil)
}

// OverSince returns the night on which the practice ended a wearer's treatment,
// while that holds; zero when it did not, and when it has said from which night on
// lenses are worn again, the first one of a new plan.
func OverSince(tx *store.Tx, w care.WearerID) civil.Date {
	if !tx.Log().HasWear(w) {
		return civil.Date{}
	}
	facts, night := tx.Log().WearFacts(w), Tonight(tx, w)
	if p, err := tx.Chart().PlanInForce(w); err == nil && p.FirstNight.After(night) {
		night = p.FirstNight
	}
	wear := care.WearOf(facts, night, false, nil)
	return care.OverSince(facts, &wear)
}

// Tonight returns the night of the transaction by the zone at a wearer's home.
func Tonight(tx *store.Tx, w care.WearerID) civil.Date {
	rec, err := openRecord(tx, w)
	if err != nil && rec.today.IsZero() {
		return civil.NightOf(tx.Now, time.UTC)
	}
	return rec.today
}

// Evening returns the date of the next evening at a wearer's home, or of this one:
// before noon the night that runs began the evening before.
func Evening(tx *store.Tx, w care.WearerID) civil.Date {
	rec, err := openRecord(tx, w)
	if err != nil || rec.loc == nil {
		return civil.DateOf(tx.Now)
	}
	return civil.DateOf(tx.Now.In(rec.loc))
}

// CausesOf returns the ids of what holds a lens back in either eye, sorted.
func CausesOf(w care.Wear) []care.EntryID {
	out := []care.EntryID{}
	for _, c := range slices.Concat(w.Right.Causes, w.Left.Causes) {
		out = append(out, c.ID)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// checkNamed refuses ids of entries that there are none of in the family's log.
func checkNamed(tx *store.Tx, w care.Wearer, e *care.Entry, where string) error {
	f := e.WearFact()
	causes := CausesOf(WearNow(tx, w.ID))
	for _, id := range f.Answers {
		if slices.Contains(causes, id) {
			continue
		}
		have, err := tx.Log().Entry(w.Family, id)
		if faulty(err) {
			return err
		}
		if err != nil || have.Wearer != w.ID {
			return care.Refuse("unknown-entry", where+"answers", "there is no entry %s of this wearer", id)
		}
	}
	for _, name := range []string{"about", "moves", "withdraws"} {
		var id care.EntryID
		if json.Unmarshal([]byte(e.Answer(name)), &id) != nil {
			continue
		}
		if _, err := tx.Log().Entry(w.Family, id); faulty(err) {
			return err
		} else if err != nil {
			return care.Refuse("unknown-entry", where+name, "there is no entry %s in this family's log", id)
		}
	}
	return nil
}

// checkSaid refuses what nobody can have meant to say: a stop that was to be looked at
// before the night that it was written in, which nobody would be reminded of (an end may be of an
// earlier day), and words without a letter.
func checkSaid(tx *store.Tx, e *care.Entry, where string) error {
	rec, err := openRecord(tx, e.Wearer)
	if err != nil {
		return err
	}
	switch {
	case e.Kind == care.Cease && e.Answer("reason") != `"ended"` && e.ReviewBy().Before(rec.today):
		return care.Refuse("review-past", where+"review_by", "%s has passed: want the date by which the stop is looked at again, from %s on", e.ReviewBy(), rec.today)
	case e.Kind == care.Word && e.Answer("phrase") == "" && strings.TrimSpace(wordOf(e.Answer("text"))) == "":
		return care.Refuse("no-words", where+"text", "want words that can be read, not blanks alone")
	}
	return nil
}

// wordOf is a text of a body without its quotation marks.
func wordOf(raw string) string {
	var s string
	_ = json.Unmarshal([]byte(raw), &s) // what is no text has no words
	return s
}

// newEntry makes the nth entry of a saying, in the zone at home.
func newEntry(tx *store.Tx, who care.Person, w care.Wearer, d Draft, n int) (*care.Entry, error) {
	rec, err := openRecord(tx, w.ID)
	if err != nil {
		return nil, err
	}
	now := tx.Now.In(rec.loc)
	_, offset := now.Zone()
	raw, err := json.Marshal(map[string]any{
		"id": log.NewEntryID(tx.Now), "wearer": w.ID, "device": "practice", "dseq": 1, "author": who.ID, "kind": d.Kind,
		"night": rec.today, "wall": now.Format("2006-01-02T15:04:05"), "zone": rec.zone, "offset": offset / 60,
		"hlc": fmt.Sprintf("%013d-%04d", tx.Now.UnixMilli(), n), "v": care.Since(d.Kind), "body": care.Canonical(d.Body), "by_name": who.Name,
	})
	if err != nil {
		return nil, care.Refuse("bad-body", fmt.Sprintf("entries.%d.body", n), "want an object")
	}
	e, err := care.DecodeEnvelope(raw)
	return &e, err
}
