// Package intake takes in what devices send. It owns the one transaction in
// which an entry, its indices, the record of its night, any alert and the alert's
// outbox rows become durable together, and the verdict on each entry.
//
// Invariant: only a durable verdict is answered. One bad entry never stops the
// others, and nothing is refused for its time.
package intake

import (
	"cmp"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/register"
)

// Limits of one request and one reply.
const (
	MaxEntries   = 50        // entries in one request
	pageEntries  = 200       // entries in one reply
	pageBytes    = 192 << 10 // bytes of entries in one reply, about
	seenInterval = time.Hour // how often a device that only reads is noted
)

// Request is what a device sends to POST /api/sync.
type Request struct {
	Epoch   string            `json:"epoch"`
	Cursor  uint64            `json:"cursor"`
	Entries []json.RawMessage `json:"entries"`
	Now     string            `json:"now,omitempty"` // the device's clock, RFC 3339; tells its skew
	Sum     string            `json:"sum,omitempty"` // the rolling checksum at the cursor, as the device was told
	// Schema is the newest version of the log that the app reads; absent before
	// version 3, whose apps cannot show what the practice says.
	Schema int `json:"schema,omitempty"`

	// Over is how long the device must wait that has made too many requests; then
	// only a first symptom report of the minute passes. Zero when it has not.
	Over time.Duration `json:"-"`

	list []parsed // the entries, when ReadRequest has read them already
}

// Verdict says what became of one entry. Every verdict is durable.
type Verdict struct {
	ID      string `json:"id"`
	Verdict string `json:"verdict"` // accepted, duplicate, held or refused
	Code    string `json:"code,omitempty"`
	Message string `json:"message,omitempty"`
	Field   string `json:"field,omitempty"`
}

// Reply is the answer to a [Request].
type Reply struct {
	Verdicts  []Verdict         `json:"verdicts"`
	Watermark uint64            `json:"watermark"`
	Epoch     string            `json:"epoch"`
	Cursor    uint64            `json:"cursor"`
	Changes   []json.RawMessage `json:"changes"`
	More      bool              `json:"more"`
	Checksum  string            `json:"checksum"`
	Alerts    []FamilyAlert     `json:"alerts"`
	Now       time.Time         `json:"now"`
}

// Intake handles sync requests.
type Intake struct {
	DB *store.DB
	// Raised is called after a commit that opened or changed an alert, so that
	// delivery need not wait for a tick. It must not block. May be nil.
	Raised func()
	// Quotas bound what a device may add; nil: nothing does.
	Quotas *Quotas
	// Storing is whether what phones send is stored.
	Storing Storing
}

// parsed is one entry of a request after the checks that need no store.
type parsed struct {
	raw    json.RawMessage
	entry  *care.Entry
	err    error
	id     string // as it was sent, by which the phone knows it again
	report bool   // it is a symptom report, or means to be one
}

// Sync stores the entries of a request and returns verdicts and the changes
// since the cursor.
func (in *Intake) Sync(caller register.Caller, req Request) (Reply, error) {
	list := req.list
	if list == nil {
		list = parse(req.Entries)
	}
	list, err := atMost(list)
	if err != nil {
		return Reply{}, err
	}
	if req.Over > 0 && firstReportOf(list, anyOf).at < 0 {
		return Reply{}, tooMuch(req.Over)
	}
	// A damaged part of the file must not keep from being stored what is sent.
	goOn := func(err error) bool { return len(list) > 0 && store.Faulted(err) }
	if err := in.noticeOldFile(caller, req); err != nil && !goOn(err) {
		return Reply{}, err
	}
	var reply Reply
	known, err := in.replayed(caller, req, list, &reply)
	if err != nil && !goOn(err) {
		return Reply{}, err
	}
	if known || len(list) == 0 {
		return reply, in.seen(caller, req, reply.Now)
	}
	if err := in.put(caller, req, list, &reply); err != nil {
		return Reply{}, err
	}
	err = in.DB.View(func(tx *store.Tx) error { return fill(tx, caller, req, &reply) })
	if store.Faulted(err) {
		// What was sent is stored, and the phone hears that; that the log cannot be read
		// it hears when it next asks for it alone.
		return Reply{Verdicts: reply.Verdicts, Epoch: req.Epoch, Cursor: req.Cursor, Checksum: req.Sum, Changes: []json.RawMessage{}, Alerts: []FamilyAlert{}, Now: reply.Now}, nil
	}
	return reply, err
}

// put stores what the quotas admit, fills in the verdicts, and wakes the ladder for
// what was raised.
func (in *Intake) put(caller register.Caller, req Request, list []parsed, reply *Reply) (err error) {
	pressing := readBodies(list)
	undo := func() {}
	if in.Quotas != nil {
		if list, undo, err = in.admit(caller, list, reply.Now, req.Over); err != nil {
			return err
		}
	}
	var raised bool
	err = in.DB.WriteFor(string(caller.Person.Family), pressing, func(tx *store.Tx) (err error) {
		reply.Verdicts, raised, err = in.take(tx, caller, req, list)
		return err
	})
	if isUnfit(err) {
		reply.Verdicts, raised, err = in.oneByOne(caller, req, list)
	}
	if err != nil {
		undo()
		return err
	}
	in.Storing.done(reply.Verdicts, raised)
	if raised && in.Raised != nil {
		in.Raised()
	}
	return nil
}

// atMost leaves of a request that is too long its reports, which never wait for a
// better one.
func atMost(list []parsed) ([]parsed, error) {
	if len(list) <= MaxEntries {
		return list, nil
	}
	list = reportsOf(list)
	if list = list[:min(len(list), MaxEntries)]; len(list) > 0 {
		return list, nil
	}
	return nil, &care.Error{Kind: care.TooLarge, Code: "too-many-entries", Field: "entries",
		Text: "a request takes at most 50 entries; send the rest in the next one"}
}

// admit asks the quotas what of a request may be stored now.
func (in *Intake) admit(caller register.Caller, list []parsed, now time.Time, over time.Duration) (out []parsed, undo func(), err error) {
	first := firstReportOf(list, anyOf)
	if first.at >= 0 {
		err := in.DB.View(func(tx *store.Tx) error {
			first = firstReportOf(list, isNew(tx, caller.Person.Family))
			return nil
		})
		if err != nil && !store.Faulted(err) {
			return nil, undo, err
		}
	}
	return in.Quotas.admit(caller, list, first, now, over)
}

// noticeOldFile holds what a phone was told of the log against the log. When the
// log does not know it, the file is an older one, put back by hand: the family's
// log gets a new life, so that its phones read it anew and offer again what it
// lacks, and people are told. A phone can bring this about for its own family only,
// but for an epoch that began after ours, which no phone can make up. An epoch that is
// neither ours nor later says nothing: the phone reads anew, and offers again.
func (in *Intake) noticeOldFile(caller register.Caller, req Request) error {
	family := caller.Person.Family
	old := func(tx *store.Tx) (bool, error) {
		epoch, err := tx.Log().EpochOf(family)
		if err != nil || epoch == req.Epoch {
			return err == nil && req.Cursor > 0 && !tx.Log().Knows(family, req.Cursor, req.Sum), err
		}
		return tx.Log().Later(family, req.Epoch)
	}
	var gone bool
	err := in.DB.View(func(tx *store.Tx) (err error) { gone, err = old(tx); return err })
	if err != nil || !gone {
		return err
	}
	return in.DB.Write(func(tx *store.Tx) error {
		if still, err := old(tx); err != nil || !still {
			return err // another phone was quicker
		}
		return tx.FoundOlder(family, caller.Person.ID, req.Epoch, req.Cursor)
	})
}

// parse takes the entries of a request apart.
func parse(entries []json.RawMessage) []parsed {
	list := make([]parsed, len(entries))
	for i, raw := range entries {
		list[i] = parseOne(raw)
	}
	return list
}

// readBodies checks the bodies of entries that are about to be stored, and
// reports whether a symptom report is among them, or anything that rests or stops wear.
func readBodies(list []parsed) (pressing bool) {
	for i := range list {
		p := &list[i]
		if p.err == nil {
			p.err = p.entry.CheckBody()
		}
		pressing = pressing || p.report || (p.err == nil || care.Held(p.err)) && ofWear(p.entry, false)
	}
	return pressing
}

// replayed reports whether every entry of a request is stored already: a reply
// was lost, and the same request comes again. Then there is nothing to commit,
// as when there are no entries, and the reply is filled in at once.
func (in *Intake) replayed(caller register.Caller, req Request, list []parsed, reply *Reply) (all bool, err error) {
	err = in.DB.View(func(tx *store.Tx) error {
		reply.Now = tx.Now
		if all, err = stored(tx, caller, req, list); err != nil || !all && len(list) > 0 {
			return err
		}
		reply.Verdicts = make([]Verdict, len(list))
		for i := range list {
			reply.Verdicts[i] = Verdict{ID: list[i].id, Verdict: "duplicate"}
		}
		return fill(tx, caller, req, reply)
	})
	return all, err
}

func stored(tx *store.Tx, caller register.Caller, req Request, list []parsed) (bool, error) {
	if len(list) == 0 || skewOf(req.Now, tx.Now) != caller.Device.SkewMS {
		return false, nil
	}
	top := tx.Log().Watermark(caller.Person.Family, caller.Device.ID)
	sent := make([]log.Sent, len(list))
	for i := range list {
		p := &list[i]
		if p.err != nil || p.entry.Device != caller.Device.ID || p.entry.DSeq > top {
			return false, nil
		}
		sent[i] = log.Sent{Entry: p.entry, Raw: p.raw}
	}
	return tx.Log().AlreadyStored(caller.Person.Family, sent)
}

// take stores a request's entries inside one transaction. The rules about the
// record are evaluated once before the first entry of each wearer and once
// after the last one.
func (in *Intake) take(tx *store.Tx, caller register.Caller, req Request, list []parsed) (verdicts []Verdict, raised bool, err error) {
	if err := tx.Access().Reauthorise(caller); err != nil {
		return nil, false, err
	}
	skew := skewOf(req.Now, tx.Now)
	verdicts = make([]Verdict, 0, len(list))
	restored, err := tx.Log().RestoredOf(caller.Person.Family)
	if err != nil {
		return nil, false, err
	}
	last, err := tx.Access().LastConsent(caller.Person.ID)
	if err != nil && !store.Faulted(err) { // where it cannot be read a report is taken as from anybody
		return nil, false, err
	}
	members := membership{tx, caller.Person.Family, caller.Person.ID, restored, map[care.WearerID]bool{}, map[care.PersonID]bool{}}
	if last.Withdrawn {
		list = members.withoutConsent(list)
	}
	compared, err := newComparison(tx, caller.Person.Family)
	if err != nil {
		return nil, false, err
	}
	for i := range list {
		p := list[i]
		e := *p.entry // a copy: the transaction may run again
		p.entry = &e
		v, err := in.takeOne(tx, caller, members, p, skew, compared)
		if err != nil {
			return nil, false, err
		}
		verdicts = append(verdicts, v)
	}
	if err := errors.Join(compared.end(), tx.Log().SetBaseline()); err != nil {
		return nil, false, unfit{err}
	}
	if caller.Person.ID == "" { // whose device's record is lost
		return verdicts, compared.raised, nil
	}
	if skew != caller.Device.SkewMS || req.Schema != caller.Device.Schema || tx.Now.Sub(caller.Device.LastSeen) > seenInterval {
		err = tx.Register().ChangeDevice(caller.Device.ID, func(d *care.Device) { d.SkewMS, d.Schema, d.LastSeen = skew, req.Schema, tx.Now })
	}
	return verdicts, compared.raised, err
}

func (in *Intake) takeOne(tx *store.Tx, caller register.Caller, m membership, p parsed, skew int64, w *comparison) (Verdict, error) {
	err := p.err
	if err == nil || care.Held(err) {
		own := m.check(p.entry, caller.Device.ID, care.Held(err))
		if own != nil && care.KindOf(own) != care.Invalid {
			return Verdict{ID: p.id}, own // could not be looked up, which says nothing of the entry
		}
		err = cmp.Or(own, err)
	}
	if care.Held(err) {
		v := Verdict{ID: p.id}
		v.refuse("held", err)
		raised, err := keep(tx, caller.Person.Family, p.entry, p.raw)
		w.raised = w.raised || raised
		return v, err
	}
	if err == nil {
		m.provenance(p.entry, caller.Device.ID, skew)
		if err = w.store(p.entry); err == nil {
			return Verdict{ID: p.id, Verdict: "accepted"}, nil
		}
	}
	switch {
	case errors.Is(err, errStored):
		return Verdict{ID: p.id, Verdict: "duplicate"}, nil
	case care.KindOf(err) != care.Invalid && care.KindOf(err) != care.Conflict || errors.As(err, &unfit{}):
		return Verdict{ID: p.id}, err
	}
	return m.refused(caller, p, err, w)
}

// errStored says that an entry is stored already, as it is.
var errStored = errors.New("intake: stored already")

// errTaken says that another entry has the id; this one was kept aside.
var errTaken = care.Errorf(care.Conflict, "id-taken", "another entry with this id is already stored; this one is kept aside and not counted, please write it again")

// store appends an entry to the log and raises what it says. The error is unfit where
// this program fails on it, Invalid where it could not be read back, so that nothing of
// it was written, errStored or errTaken.
func (w *comparison) store(e *care.Entry) error {
	if err := w.begin(e); err != nil {
		return unfit{err}
	}
	if err := judge(w.tx, e); err != nil {
		return unfit{err}
	}
	stored, err := w.tx.Log().Append(w.family, e)
	switch {
	case care.KindOf(err) == care.Invalid:
		return err
	case err != nil:
		return unfit{err}
	case stored == log.Duplicate:
		return errStored
	case stored == log.Taken:
		return errTaken
	}
	if err := w.added(e); err != nil {
		return unfit{err}
	}
	return nil
}

// refused answers an entry that is not taken, because of why. A symptom report is kept
// and told all the same, and so is what its phone says rests or stops wear.
func (m membership) refused(caller register.Caller, p parsed, why error, w *comparison) (Verdict, error) {
	moved, err := m.movedOn(p.entry)
	if moved || err != nil {
		return Verdict{ID: p.id, Verdict: "duplicate"}, err
	}
	if p.report {
		v, raised, err := m.unread(caller, p, why)
		w.raised = w.raised || raised
		return v, err
	}
	if err := m.claim(p.entry, caller.Device.ID, why); err != nil {
		return Verdict{ID: p.id}, err
	}
	v := Verdict{ID: p.id}
	if m.saysNoLens(caller, p) {
		v.refuse("held", why)
		raised, err := keep(m.tx, m.family, p.entry, p.raw)
		w.raised = w.raised || raised
		return v, err
	}
	v.refuse("refused", why)
	if e := p.entry; why != error(errTaken) && e.Device == caller.Device.ID && e.DSeq > 0 && e.DSeq <= care.MaxCounter {
		return v, m.tx.Log().Refused(m.family, e.Device, e.DSeq)
	}
	return v, nil
}

func (v *Verdict) refuse(verdict string, err error) {
	v.Verdict = verdict
	var e *care.Error
	if errors.As(err, &e) {
		v.Code, v.Message, v.Field = e.Code, e.Text, e.Field
	}
}

// membership answers whether an entry's wearer and author belong to a family,
// and remembers those that do for the length of a request.
type membership struct {
	tx       *store.Tx
	family   care.FamilyID
	as       care.PersonID // whose device it is; "": not asked
	restored time.Time     // when the log was last put back from a backup, or zero
	wearers  map[care.WearerID]bool
	authors  map[care.PersonID]bool
}

// check refuses an entry of another family, or of another device unless that
// one's entries may be handed in. An entry to be held is never handed in: only
// the device that wrote it has it. What cannot be looked up is an error of
// another kind than [care.Invalid] and refuses nothing: a verdict is for good, a
// fault may pass.
func (m membership) check(e *care.Entry, device care.DeviceID, hold bool) error {
	foreign := e.Device != device
	if foreign {
		may, err := m.mayHandIn(e)
		if err != nil {
			return err
		}
		if hold || !may {
			return care.Refuse("foreign-device", "device", "an entry is sent by the device that wrote it; "+
				"another device of the family hands in a symptom report, and anything else only when the server was put back from a backup after it had received the entry")
		}
	}
	if !m.wearers[e.Wearer] {
		own, err := m.owns(e.Wearer)
		if err != nil {
			return err
		}
		if !own {
			return care.Refuse("foreign-wearer", "wearer", "this wearer does not belong to this family")
		}
		m.wearers[e.Wearer] = true
	}
	if err := m.voice(e); err != nil || e.Kind.Clinical() {
		return err // its author is of the practice, which the mac proves
	}
	// A device writes as its own person only. What concerns a sore eye is taken
	// whoever it says has written it.
	if !foreign && m.as != "" && e.Author != m.as && e.Kind != care.Symptoms && !ofWear(e, m.before(e)) {
		return care.Refuse("foreign-author", "author", "a device writes as its own person only")
	}
	return m.known(e.Author, foreign)
}

// known refuses an author who does not belong to the family.
func (m membership) known(author care.PersonID, foreign bool) error {
	if m.authors[author] {
		return nil
	}
	var a care.Person
	err := m.tx.Try(func() (err error) { a, err = m.tx.Register().Person(author); return err })
	if store.Faulted(err) {
		return nil // the device is the family's, and more cannot be known
	}
	if faulty(err) {
		return err
	}
	if foreign && err != nil {
		return nil // joined after the backup was made
	}
	if err != nil || a.Family != m.family {
		return care.Refuse("foreign-author", "author", "this person does not belong to this family")
	}
	m.authors[author] = true
	return nil
}

// owns reports whether a wearer is of the family. Where the file is damaged the list of
// the family's wearers says so.
func (m membership) owns(id care.WearerID) (bool, error) {
	var w care.Wearer
	err := m.tx.Try(func() (err error) { w, err = m.tx.Register().Wearer(id); return err })
	if store.Faulted(err) {
		return slices.Contains(m.tx.Register().WearersOf(m.family), id), nil
	}
	if faulty(err) {
		return false, err
	}
	return err == nil && w.Family == m.family, nil
}

// faulty reports whether the store could not answer, which is not "there is no
// such thing".
func faulty(err error) bool { return err != nil && care.KindOf(err) != care.NotFound }

// movedOn reports whether an entry is stored, just as it is, in the log of
// another family: of a wearer who was of this one once and has become a family
// of their own. A device offers it again, because its own log was numbered
// anew, and has nothing to mend.
func (m membership) movedOn(e *care.Entry) (bool, error) {
	w, err := m.tx.Register().Wearer(e.Wearer)
	if faulty(err) {
		return false, err
	}
	if err != nil || w.Family == m.family {
		return false, nil
	}
	have, err := m.tx.Log().Entry(w.Family, e.ID)
	if faulty(err) {
		return false, err
	}
	return err == nil && e.SameContent(&have), nil
}

// skewOf returns the device's clock minus the server's in milliseconds, 0 when
// the device did not say, and where two clocks are not held apart.
func skewOf(deviceNow string, now time.Time) int64 {
	t, err := time.Parse(time.RFC3339, deviceNow)
	if err != nil {
		return 0
	}
	if d := t.Sub(now); d.Abs() > unmetSlack {
		return d.Milliseconds()
	}
	return 0
}

func fill(tx *store.Tx, caller register.Caller, req Request, reply *Reply) error {
	var err error
	if reply.Epoch, err = tx.Log().EpochOf(caller.Person.Family); err != nil {
		return err
	}
	after := req.Cursor
	if req.Epoch != reply.Epoch {
		after = 0
	}
	page, err := tx.Log().Page(caller.Person.Family, after, pageEntries, pageBytes)
	if err != nil {
		return err
	}
	reply.Cursor, reply.Changes, reply.More, reply.Checksum = page.Cursor, page.Entries, page.More, page.Checksum
	reply.Watermark = tx.Log().Watermark(caller.Person.Family, caller.Device.ID)
	reply.Now = tx.Now
	reply.Alerts, err = familyAlerts(tx, caller.Person.Family, req.Schema)
	return err
}

// seen notes a device that only reads, at most once an hour, and at once when
// its app can read more or less than before.
func (in *Intake) seen(caller register.Caller, req Request, now time.Time) error {
	if caller.Person.ID == "" { // whose device's record is lost
		return nil
	}
	has := in.holds(caller, req)
	if has == caller.Device.Has && req.Schema == caller.Device.Schema && now.Sub(caller.Device.LastSeen) <= seenInterval {
		return nil
	}
	return in.DB.Write(func(tx *store.Tx) error {
		if err := tx.Access().Reauthorise(caller); err != nil {
			return err
		}
		return tx.Register().ChangeDevice(caller.Device.ID, func(d *care.Device) { d.LastSeen, d.Schema, d.Has = tx.Now, req.Schema, has })
	})
}

// holdsLook is how many entries at most are looked through for what the practice
// wrote since a device's place was last noted: as many as a reply brings.
const holdsLook = pageEntries

// holds returns how far a device holds what the practice wrote: as noted, until its
// cursor has passed another entry of the practice. So a word costs one write for
// each device, and nothing else does.
func (in *Intake) holds(caller register.Caller, req Request) care.LogPlace {
	had := caller.Device.Has
	err := in.DB.View(func(tx *store.Tx) error {
		epoch, err := tx.Log().EpochOf(caller.Person.Family)
		if err != nil || req.Epoch != epoch || had.Epoch == epoch && had.FSeq >= req.Cursor {
			return err
		}
		from := uint64(0)
		if had.Epoch == epoch {
			from = had.FSeq
		}
		place := care.LogPlace{Epoch: epoch, FSeq: req.Cursor}
		if tx.Log().PracticeWrote(caller.Person.Family, from, req.Cursor, holdsLook) {
			had = place
		}
		return nil
	})
	if err != nil {
		return caller.Device.Has // only a receipt: the next request says it again
	}
	return had
}
