package interop

import (
	"encoding/json"
	"math"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// Statuses of a response and of what follows from it.
const (
	asWritten = "completed"
	amended   = "amended"          // corrects an earlier entry
	inError   = "entered-in-error" // retracted, or corrected by a later entry
)

// fate is what became of an entry: its status, and whether it was retracted.
type fate struct {
	status    string
	retracted bool
}

// standing says what became of each entry, by the rules of [care.Fold]: an
// entry can only act on an older one of the same wearer, and a retracted one
// acts on nothing.
func standing(sorted []*care.Entry) map[care.EntryID]fate {
	byID, out := map[care.EntryID]*care.Entry{}, map[care.EntryID]fate{}
	for _, e := range sorted {
		byID[e.ID], out[e.ID] = e, fate{status: asWritten}
	}
	acts := func(e *care.Entry, id care.EntryID) bool {
		t := byID[id]
		return t != nil && e.After(t) && e.Wearer == t.Wearer
	}
	for _, e := range slices.Backward(sorted) { // newest first
		if out[e.ID].retracted {
			continue
		}
		if acts(e, e.Retracts) {
			out[e.Retracts] = fate{inError, true}
		}
		for _, id := range e.Supersedes {
			if acts(e, id) {
				out[id] = fate{inError, out[id].retracted}
				if out[e.ID].status == asWritten {
					out[e.ID] = fate{status: amended}
				}
			}
		}
	}
	return out
}

// log writes every entry that answers a form as a response, and a provenance
// for every correction and retraction.
func (b *bundler) log() {
	sorted := slices.Clone(b.Entries)
	slices.SortFunc(sorted, func(x, y *care.Entry) int {
		if x.After(y) {
			return 1
		}
		return -1
	})
	became := standing(sorted)
	written := map[care.EntryID]bool{}
	for _, e := range sorted {
		status := became[e.ID].status
		if written[e.ID] = b.response(e, status); written[e.ID] && e.Kind == care.EveningSight && status != inError {
			b.evening(e, status)
		}
	}
	for _, e := range sorted {
		b.changes(e, became, written)
	}
}

func (b *bundler) responseID(id care.EntryID) string { return b.uuid("entry", string(id)) }

func (b *bundler) response(e *care.Entry, status string) bool {
	f, ok := formOf(e.Kind)
	if !ok {
		return false
	}
	who := b.person(e.Author)
	if e.Kind.Clinical() {
		who.Type, who.Display = "Practitioner", words(e.ByName)
	}
	r := response{
		ResourceType: "QuestionnaireResponse", ID: b.responseID(e.ID), Identifier: identifier{b.Base + "/id/entry", string(e.ID)},
		Questionnaire: f.url(b.Base) + "|" + formVersion, Status: status, Subject: b.wearer(),
		Authored: wall(e), Author: who, Source: who, Item: f.answersOf(b.Base, e),
	}
	if r.Authored == "" || r.Item == nil {
		return false
	}
	b.add(r.ID, r)
	if status != inError {
		k := nightKind{e.Night, e.Kind}
		b.answers[k] = append(b.answers[k], to(r.ID))
	}
	return true
}

// wall is what the device's clock showed, with its offset.
func wall(e *care.Entry) string {
	t, err := e.Instant()
	if err != nil {
		return ""
	}
	return t.In(time.FixedZone("", e.Offset*60)).Format(time.RFC3339)
}

// changes says who corrected or retracted what, and when. An entry that was
// itself retracted changed nothing.
func (b *bundler) changes(e *care.Entry, became map[care.EntryID]fate, written map[care.EntryID]bool) {
	p := provenance{
		ResourceType: "Provenance", ID: b.uuid("change", string(e.ID)), Recorded: received(e),
		Agent: []provenanceAgent{{Type: participant("author"), Who: b.person(e.Author)}},
	}
	if became[e.ID].retracted {
		return
	}
	if written[e.Retracts] && became[e.Retracts].retracted {
		p.Target, p.Activity = []reference{to(b.responseID(e.Retracts))}, operation("NULLIFY")
		var body struct{ Reason string }
		if json.Unmarshal(care.Known(e.Kind, e.Body), &body) == nil && words(body.Reason) != "" {
			p.Reason = []concept{{Text: words(body.Reason)}}
		}
		b.add(p.ID, p)
		return
	}
	for _, id := range e.Supersedes {
		if written[e.ID] && written[id] && became[id].status == inError {
			p.Entity = append(p.Entity, provenanceEntity{"revision", to(b.responseID(id))})
		}
	}
	if p.Entity != nil {
		p.Target, p.Activity = []reference{to(b.responseID(e.ID))}, operation("UPDATE")
		b.add(p.ID, p)
	}
}

func operation(code string) concept {
	return concept{Coding: []coding{{System: hl7 + "v3-DataOperation", Code: code}}}
}

// received is when the server took the entry, or by the device's clock when
// that is not known.
func received(e *care.Entry) string {
	if !e.Recv.IsZero() {
		return instant(e.Recv)
	}
	t, _ := e.Instant() // checked before: an entry without one is not written
	return instant(t)
}

// evening writes what the wearer said about sight. It is an answer of a
// survey and carries no code: there is none for it, and an acuity it is not.
func (b *bundler) evening(e *care.Entry, status string) {
	var body struct {
		Rating int      `json:"rating"`
		Hours  *float64 `json:"hours_since_removal"`
	}
	if json.Unmarshal(care.Known(e.Kind, e.Body), &body) != nil || body.Rating == 0 {
		return
	}
	o := observation{
		ResourceType: "Observation", ID: b.uuid("evening", string(e.ID)), Status: "final", Category: category("survey"),
		Code: concept{Text: "Evening sight as reported at home, 1 to 5, 5 as clear as in the morning"}, Subject: b.wearer(),
		Effective: wall(e), Performer: []reference{b.person(e.Author)}, Integer: &body.Rating,
		Note:        note("Self-reported. Not a measured acuity."),
		DerivedFrom: []reference{to(b.responseID(e.ID))},
	}
	if status == amended {
		o.Status = amended
	}
	b.add(o.ID, o)
}

// sight writes what follows from the log: hours in lenses, nights that were held
// back, and acuity runs.
func (b *bundler) sight() {
	nights := slices.Clone(b.Nights)
	slices.SortFunc(nights, func(x, y review.NightRow) int { return x.Night.Compare(y.Night) })
	for _, n := range nights {
		b.hours(n)
		b.held(n)
	}
	runs := slices.Clone(b.Acuity)
	slices.SortFunc(runs, func(x, y review.AcuityRow) int {
		if c := x.At.Compare(y.At); c != 0 {
			return c
		}
		if x.Entry < y.Entry {
			return -1
		}
		return 1
	})
	for _, r := range runs {
		b.run(r)
	}
}

func (b *bundler) hours(n review.NightRow) {
	if n.Hours == nil {
		return
	}
	o := observation{
		ResourceType: "Observation", ID: b.uuid("hours", n.Night.String()), Status: "final", Category: category("survey"),
		Code: concept{Text: "Hours in lenses overnight, as logged at home, eye with fewer"}, Subject: b.wearer(),
		Effective: n.Night.String(), Quantity: hoursLong(*n.Hours), Note: note("Self-reported."),
		DerivedFrom: slices.Concat(b.answers[nightKind{n.Night, care.Insertion}], b.answers[nightKind{n.Night, care.Removal}]),
	}
	if n.Differs {
		o.Note = note("Self-reported. Two entries of this night differ.")
	}
	in, errIn := civil.ParseClock(n.In)
	if loc, err := time.LoadLocation(n.Zone); err == nil && errIn == nil && n.Zone != "" && *n.Hours > 0 {
		from := civil.AtNight(n.Night, in, loc)
		to := from.Add(time.Duration(math.Round(*n.Hours*60)) * time.Minute) // the removal's own clock may be of another zone or day
		o.Effective, o.Period = "", &period{from.Format(time.RFC3339), to.Format(time.RFC3339)}
	}
	b.add(o.ID, o)
}

// run writes one measurement at home. A reliable one is an acuity, without
// more: whether sight was corrected is not recorded. One that is not reliable
// gets no code at all.
func (b *bundler) run(r review.AcuityRow) {
	if r.LogMAR == nil || r.At.IsZero() {
		return
	}
	o := observation{
		ResourceType: "Observation", ID: b.uuid("acuity-run", string(r.Entry)), Status: "final", Category: category("survey"),
		Code: concept{Text: "Letter acuity measured at home on the family's own screen"}, Subject: b.wearer(), Effective: instant(r.At),
		Performer: []reference{b.wearer()}, Quantity: logMAR(*r.LogMAR), BodySite: site(r.Eye),
		Note: note("Measured at home, not by a practitioner. Whether sight was corrected is not recorded.", r.Note),
	}
	if r.Reliable {
		o.Code.Coding = []coding{sctAcuity}
	} else {
		o.Code.Text = "Run of the home sight test, not reliable"
	}
	b.add(o.ID, o)
}

// site names the eye in words; see the table of codes.
func site(eye string) *concept {
	if eye == "right" {
		return &concept{Text: "Right eye"}
	}
	return &concept{Text: "Left eye"}
}
