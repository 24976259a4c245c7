package care

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// Schema is the newest version of the log this program reads. Each version is
// closed: its kinds are those of [Kinds]. An entry says the version that
// brought its kind. One of a later version is held, never refused, so a newer
// phone loses nothing to an older server.
const Schema = 3

// Limits on one entry, in bytes.
const (
	MaxEntryBytes = 32 << 10 // an acuity run of 200 trials takes about 4 KiB
	MaxNoteRunes  = 2000
)

// Every field has a closed range, so that what is accepted can be kept, ordered
// and computed with by every reader. They are wide: nothing is refused because
// a clock is wrong by years.
const (
	// FirstYear and LastYear bound every date and instant: 1970 is where a phone
	// begins that has lost its clock, 2038 where older ones end.
	FirstYear, LastYear = 1900, 2199
	// MaxCounter is the largest device counter: the largest whole number that
	// JavaScript holds exactly, 2^53 - 1 (ECMA-262, Number.MAX_SAFE_INTEGER).
	MaxCounter = 1<<53 - 1
	maxVersion = 1_000_000
	// maxDepth is how deep the values of an entry may be nested; ours nest three
	// deep, and common readers of JSON give up at some hundreds.
	maxDepth = 32
)

// The ids that RFC 9562 (5.9, 5.10) sets apart stand for "none" and "last".
const (
	nilID EntryID = "00000000-0000-0000-0000-000000000000"
	maxID EntryID = "ffffffff-ffff-ffff-ffff-ffffffffffff"
)

func inCalendar(year int) bool { return year >= FirstYear && year <= LastYear }

// isZone reports whether s can be the name of a zone: of letters, digits, and
// the marks that such names have. Whether there is one of the name is not asked.
func isZone(s string) bool {
	for i := range len(s) {
		if c := s[i]; !isDigit(c) && !isLower(c) && (c < 'A' || c > 'Z') && !strings.ContainsRune("/_+-:", rune(c)) {
			return false
		}
	}
	return s != "" && len(s) <= 64
}

// tooDeep reports whether JSON is nested deeper than an entry may be.
func tooDeep(raw []byte) bool {
	depth, quoted := 0, false
	for i := 0; i < len(raw); i++ {
		switch c := raw[i]; {
		case quoted && c == '\\':
			i++
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '{' || c == '[':
			if depth++; depth > maxDepth {
				return true
			}
		case c == '}' || c == ']':
			depth--
		}
	}
	return false
}

// Entry is one thing somebody wrote, as it crosses the wire and is stored.
type Entry struct {
	ID         EntryID         `json:"id"`
	Wearer     WearerID        `json:"wearer"`
	Device     DeviceID        `json:"device"`
	DSeq       uint64          `json:"dseq"` // the device's own counter, from 1, no gaps
	Author     PersonID        `json:"author"`
	Kind       EntryKind       `json:"kind"`
	Night      civil.Date      `json:"night"`  // date of the evening; 12:00 to 11:59
	Wall       string          `json:"wall"`   // device wall clock, YYYY-MM-DDTHH:MM:SS
	Zone       string          `json:"zone"`   // IANA zone at writing
	Offset     int             `json:"offset"` // minutes east of UTC at writing
	HLC        string          `json:"hlc"`    // hybrid logical clock: 13-digit ms, dash, 4-digit counter
	V          int             `json:"v"`      // log schema version
	Supersedes []EntryID       `json:"supersedes,omitempty"`
	Retracts   EntryID         `json:"retracts,omitempty"`
	Body       json.RawMessage `json:"body"`

	FSeq   uint64    `json:"fseq,omitempty"`    // per-family sequence, given by the server
	Recv   time.Time `json:"recv,omitzero"`     // receipt, server clock, UTC
	SkewMS int64     `json:"skew_ms,omitempty"` // device clock minus server clock at receipt
	// The device that handed the entry in, when it is not the one that wrote it: after
	// the server was put back from a backup, or a symptom report. And the receipt before
	// a restore, as the device that sent it had been told. Both are empty for most entries.
	Via       DeviceID  `json:"via,omitempty"`
	FirstRecv time.Time `json:"first_recv,omitzero"`
	// Judged is what the entry said of wearing when the server took it in, kept
	// for good; ByName and Mac are of what the practice wrote: who, because a phone
	// cannot look staff up, and the proof that it came from here, see [Entry.Signed].
	Judged Marks  `json:"judged,omitzero"`
	ByName string `json:"by_name,omitempty"`
	Mac    string `json:"mac,omitempty"`

	parts members // of the body, once it has been read
	extra []byte  // members of the envelope this program does not know, see ParseEntry
}

// Extra reports whether the envelope has members that this program does not know.
func (e *Entry) Extra() bool { return len(e.extra) > 0 }

// Received returns when the server first had the entry; after a restore that is
// the claim of the device that sent it again.
func (e *Entry) Received() time.Time {
	if !e.FirstRecv.IsZero() {
		return e.FirstRecv
	}
	return e.Recv
}

// IsEntryID reports whether s may be the id of an entry: a UUID in lower case.
func IsEntryID(s string) bool { return isUUID(s) && s != string(nilID) && s != string(maxID) }

// isUUID reports whether s is a UUID in lower case.
func isUUID(s string) bool {
	if len(s) != 36 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		switch dash := i == 8 || i == 13 || i == 18 || i == 23; {
		case dash != (c == '-'):
			return false
		case !dash && !isDigit(c) && (c < 'a' || c > 'f'):
			return false
		}
	}
	return true
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isLower(c byte) bool { return c >= 'a' && c <= 'z' }

// isHLC reports whether s is 13 digits, a dash and 4 digits.
func isHLC(s string) bool {
	if len(s) != 18 || s[13] != '-' {
		return false
	}
	for i := range len(s) {
		if i != 13 && !isDigit(s[i]) {
			return false
		}
	}
	return true
}

// isID reports whether s is 1 to 64 letters, digits, dashes or underscores.
func isID(s string) bool {
	for i := range len(s) {
		if c := s[i]; !isDigit(c) && !isLower(c) && (c < 'A' || c > 'Z') && c != '_' && c != '-' {
			return false
		}
	}
	return s != "" && len(s) <= 64
}

// isKind reports whether s is a word in lower case of at most 40 letters and
// dashes.
func isKind(s string) bool {
	for i := range len(s) {
		if c := s[i]; !isLower(c) && (c != '-' || i == 0) {
			return false
		}
	}
	return s != "" && len(s) <= 40
}

// SkewLimit is the clock difference from which a device's clock is noted as
// suspect. Nothing is refused for its time.
const SkewLimit = 5 * time.Minute

// Instant returns the moment of writing as the device claims it, in UTC.
func (e *Entry) Instant() (time.Time, error) {
	t, err := time.Parse("2006-01-02T15:04:05", e.Wall)
	if err != nil {
		return time.Time{}, err
	}
	return t.Add(-time.Duration(e.Offset) * time.Minute), nil
}

// skew is by how much the device's clock was ahead of the server's at receipt.
func (e *Entry) skew() time.Duration { return time.Duration(e.SkewMS) * time.Millisecond }

// ServerTime returns the moment of writing by the server's clock, as far as it is known
// how wrong the device's was; never after the receipt.
func (e *Entry) ServerTime() (time.Time, error) {
	at, err := e.Instant()
	if at = at.Add(-e.skew()); !e.Received().IsZero() && at.After(e.Received()) {
		at = e.Received()
	}
	return at, err
}

// ServerNight returns the night that an entry is about by the server's clock: one that
// was off by days moved it by as many.
func (e *Entry) ServerNight() civil.Date {
	at, err := e.Instant()
	by, _ := e.ServerTime()
	if err != nil {
		return e.Night
	}
	loc := e.Location()
	night := e.Night.AddDays(civil.NightOf(by, loc).DaysSince(civil.NightOf(at, loc)))
	if got := civil.NightOf(e.Received(), loc); !e.Received().IsZero() && night.After(got) {
		return got
	}
	return night
}

// Location returns the zone at writing, or a fixed offset when this machine
// does not know the name.
func (e *Entry) Location() *time.Location {
	if loc, err := civil.LoadZone(e.Zone); err == nil && loc != time.Local {
		return loc
	}
	return time.FixedZone(e.Zone, e.Offset*60)
}

// After reports whether e comes after o in the order of the log: by hybrid
// logical clock, then by id.
func (e *Entry) After(o *Entry) bool {
	if e.HLC != o.HLC {
		return e.HLC > o.HLC
	}
	return e.ID > o.ID
}

// SameContent reports whether two entries say the same, apart from what the
// server added and from which device of the family carries them: an entry may
// be sent on by another device when the one that wrote it is gone.
func (e *Entry) SameContent(o *Entry) bool {
	a, b := *e, *o
	for _, x := range []*Entry{&a, &b} {
		x.Device, x.DSeq = "", 0
		x.Forget()
		x.Body = Canonical(x.Body)
	}
	ja, errA := json.Marshal(a)
	jb, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(ja, jb) && bytes.Equal(a.extra, b.extra)
}

// Forget takes off what the server adds, which no device decides.
func (e *Entry) Forget() {
	e.FSeq, e.Recv, e.SkewMS, e.Via, e.FirstRecv, e.Judged = 0, time.Time{}, 0, "", time.Time{}, Marks{}
}

// Answer returns one member of the body as it was written, empty when it is not
// there.
func (e *Entry) Answer(name string) string { return e.bodyParts().get(name) }

// bodyParts takes the body apart; a body that is no object has no members.
func (e *Entry) bodyParts() members {
	if e.parts != nil {
		return e.parts
	}
	m, err := readMembers(e.Body)
	if err != nil {
		return nil
	}
	return m
}

// AppendJSON appends the entry as encoding/json writes it, with the body as it
// came and with the members of the envelope that this program does not know. What the server added stands last, so the bytes before are those of the
// entry as the device wrote it.
func (e *Entry) AppendJSON(out []byte) []byte {
	text := func(name, v string) {
		out = append(append(append(out, '"'), name...), '"', ':')
		start := len(out)
		out = append(append(append(out, '"'), v...), '"')
		if plain(out[start:]) {
			return
		}
		out = out[:start]
		raw, err := json.Marshal(v)
		if err != nil {
			panic(err) // a string always marshals
		}
		out = append(out, raw...)
	}
	number := func(name string, v int64) {
		out = strconv.AppendInt(append(append(append(out, ',', '"'), name...), '"', ':'), v, 10)
	}
	out = append(out, '{')
	text("id", string(e.ID))
	for _, f := range []struct{ name, v string }{{"wearer", string(e.Wearer)}, {"device", string(e.Device)}} {
		out = append(out, ',')
		text(f.name, f.v)
	}
	number("dseq", int64(e.DSeq))
	for _, f := range []struct{ name, v string }{
		{"author", string(e.Author)}, {"kind", string(e.Kind)}, {"night", e.Night.String()}, {"wall", e.Wall}, {"zone", e.Zone},
	} {
		out = append(out, ',')
		text(f.name, f.v)
	}
	number("offset", int64(e.Offset))
	out = append(out, ',')
	text("hlc", e.HLC)
	number("v", int64(e.V))
	for i, id := range e.Supersedes {
		if i == 0 {
			out = append(out, `,"supersedes":[`...)
		} else {
			out = append(out, ',')
		}
		out = append(append(append(out, '"'), id...), '"')
		if i == len(e.Supersedes)-1 {
			out = append(out, ']')
		}
	}
	if e.Retracts != "" {
		out = append(out, ',')
		text("retracts", string(e.Retracts))
	}
	out = append(append(append(out, `,"body":`...), e.Body...), e.extra...)
	if e.FSeq != 0 {
		number("fseq", int64(e.FSeq))
	}
	if !e.Recv.IsZero() {
		out = append(e.Recv.AppendFormat(append(out, `,"recv":"`...), time.RFC3339Nano), '"')
	}
	if e.SkewMS != 0 {
		number("skew_ms", e.SkewMS)
	}
	if e.Judged != (Marks{}) {
		out = e.Judged.appendJSON(append(out, `,"judged":`...))
	}
	if e.Via != "" {
		out = append(out, ',')
		text("via", string(e.Via))
	}
	if !e.FirstRecv.IsZero() {
		out = append(e.FirstRecv.AppendFormat(append(out, `,"first_recv":"`...), time.RFC3339Nano), '"')
	}
	for _, f := range []struct{ name, v string }{{"by_name", e.ByName}, {"mac", e.Mac}} {
		if f.v != "" {
			out = append(out, ',')
			text(f.name, f.v)
		}
	}
	return append(out, '}')
}

// ReadBack holds what is about to be stored against the entry: it reads the
// bytes as every later reader will. The error is of kind [Invalid]: what cannot
// be read back must never be called accepted.
func (e *Entry) ReadBack(stored []byte) error {
	have, err := ParseEntry(stored)
	if err != nil {
		return &Error{Kind: Invalid, Code: "cannot-be-kept", Text: "this entry cannot be read back from the log, so it is not taken", Err: err}
	}
	same := have.ID == e.ID && have.Wearer == e.Wearer && have.Device == e.Device && have.DSeq == e.DSeq && have.Author == e.Author &&
		have.Kind == e.Kind && have.Night == e.Night && have.Wall == e.Wall && have.Zone == e.Zone && have.Offset == e.Offset &&
		have.HLC == e.HLC && have.V == e.V && slices.Equal(have.Supersedes, e.Supersedes) && have.Retracts == e.Retracts &&
		bytes.Equal(have.Body, e.Body) && bytes.Equal(have.extra, e.extra) && have.FSeq == e.FSeq && have.Recv.Equal(e.Recv) &&
		have.SkewMS == e.SkewMS && have.Via == e.Via && have.FirstRecv.Equal(e.FirstRecv) &&
		have.Judged == e.Judged && have.ByName == e.ByName && have.Mac == e.Mac
	if !same {
		return Refuse("cannot-be-kept", "", "this entry reads otherwise in the log than it was sent, so it is not taken")
	}
	return nil
}

// Signed returns the bytes that the mac of an entry is over: the whole envelope
// as its author wrote it, and the body, in canonical form. Which device carries
// it, and what the server added on receipt, is no part of it.
func (e *Entry) Signed() []byte {
	s := *e
	s.Forget()
	s.Device, s.DSeq, s.Mac, s.Body = "", 0, "", Canonical(s.Body)
	return s.AppendJSON(nil)
}

// envelope names every member of an entry that this program reads.
var envelope = []string{
	"id", "wearer", "device", "dseq", "author", "kind", "night", "wall", "zone", "offset", "hlc", "v",
	"supersedes", "retracts", "body", "fseq", "recv", "skew_ms", "via", "first_recv",
	"judged", "by_name", "mac",
}

// ParseEntry reads one entry without checking it, for what is stored already.
// Members of the envelope that this program does not know are kept and written
// again by [Entry.AppendJSON], sorted by name, so that an older server loses
// nothing of what a newer phone says.
func ParseEntry(raw []byte) (Entry, error) {
	if e, ok := quickEntry(raw); ok {
		return e, nil
	}
	var e Entry
	if json.Unmarshal(raw, &e) == nil && bytes.Equal(e.AppendJSON(make([]byte, 0, len(raw))), raw) {
		return e, nil // a correction of a phone, which writes an entry as we do
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(raw, &all); err != nil {
		return e, err
	}
	// encoding/json takes a name in any case, so that a member nobody knows could
	// stand for one of ours: only names as we write them are read.
	known, extra := make(members, 0, len(envelope)), []byte(nil)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		if slices.Contains(envelope, name) {
			known = append(known, member{name, string(all[name])})
			continue
		}
		quoted, err := json.Marshal(name)
		if err != nil {
			return e, err
		}
		extra = append(append(append(append(extra, ','), quoted...), ':'), all[name]...)
	}
	e = Entry{}
	if err := json.Unmarshal(known.object(), &e); err != nil {
		return e, err
	}
	e.extra = extra
	return e, nil
}

// DecodeEntry reads one entry and checks everything that can be checked
// without the store. The result is complete or the error is an [Error] of kind
// [Invalid]; [Held] tells apart the entry that must be kept raw.
func DecodeEntry(raw []byte) (Entry, error) {
	e, err := DecodeEnvelope(raw)
	if err != nil {
		return e, err
	}
	return e, e.CheckBody()
}

// DecodeEnvelope is [DecodeEntry] without a look into the body, which
// [Entry.CheckBody] takes: an entry that is stored already need not be checked
// again.
func DecodeEnvelope(raw []byte) (Entry, error) {
	if len(raw) > MaxEntryBytes {
		return Entry{}, Refuse("entry-too-large", "", "an entry takes at most %d bytes, this one has %d", MaxEntryBytes, len(raw))
	}
	if tooDeep(raw) {
		return Entry{}, Refuse("bad-entry", "", "the values of an entry are nested at most %d deep", maxDepth)
	}
	e, err := ParseEntry(raw)
	if err != nil {
		return e, decodeError(err, "")
	}
	if err := e.CheckEnvelope(); err != nil {
		return e, err
	}
	if name, twice := e.twice(raw); twice {
		return e, Refuse("bad-entry", name, "%q stands twice, so that two readers may read it differently", name)
	}
	if e.V > Schema {
		return e, errHeld
	}
	return e, nil
}

var errHeld = Refuse("newer-schema", "v",
	"this entry was written by a newer app; it is kept as it is and will be read after the server is updated")

// Held reports whether err means "keep the entry raw, do not read it yet".
func Held(err error) bool { return err == error(errHeld) }

// CheckEnvelope returns the first fault of what stands outside the body.
func (e *Entry) CheckEnvelope() error {
	switch {
	case !isUUID(string(e.ID)) || e.ID == nilID || e.ID == maxID:
		return Refuse("bad-id", "id", "want a UUID in lower case, not the nil or the max UUID of RFC 9562")
	case !isID(string(e.Wearer)):
		return Refuse("bad-wearer", "wearer", "want a wearer id: 1 to 64 letters, digits, - or _")
	case !isID(string(e.Device)):
		return Refuse("bad-device", "device", "want a device id: 1 to 64 letters, digits, - or _")
	case e.DSeq < 1 || e.DSeq > MaxCounter:
		return Refuse("bad-dseq", "dseq", "want the device's own counter, 1 to %d", uint64(MaxCounter))
	case !isID(string(e.Author)):
		return Refuse("bad-author", "author", "want a person id: 1 to 64 letters, digits, - or _")
	case !isKind(string(e.Kind)):
		return Refuse("bad-kind", "kind", "want a word in lower case, at most 40 letters")
	case !inCalendar(e.Night.Year):
		return Refuse("bad-night", "night", "want the date of the evening as YYYY-MM-DD, of the years %d to %d", FirstYear, LastYear)
	case !isZone(e.Zone):
		return Refuse("bad-zone", "zone", "want an IANA zone name such as Europe/Lisbon: 1 to 64 letters, digits, /, _, +, - or :")
	case e.Offset < -14*60 || e.Offset > 14*60:
		return Refuse("bad-offset", "offset", "want minutes east of UTC, -840 to 840")
	case !isHLC(e.HLC):
		return Refuse("bad-hlc", "hlc", "want 13 digits of milliseconds, a dash and 4 digits")
	case e.V < 1 || e.V > maxVersion:
		return Refuse("bad-version", "v", "want the log schema version, 1 to %d", maxVersion)
	case len(e.Supersedes) > 20:
		return Refuse("bad-supersedes", "supersedes", "at most 20 entries can be superseded at once")
	}
	if at, err := e.Instant(); err != nil || len(e.Wall) != len("2006-01-02T15:04:05") || !inCalendar(at.Year()) {
		return Refuse("bad-wall", "wall", "want the device's wall clock as YYYY-MM-DDTHH:MM:SS, of the years %d to %d", FirstYear, LastYear)
	}
	for _, id := range append([]EntryID{e.Retracts}, e.Supersedes...) {
		if id != "" && !isUUID(string(id)) || id == e.ID || id == nilID {
			return Refuse("bad-reference", "supersedes", "want ids of other entries")
		}
	}
	return nil
}

// decodeError turns an error of encoding/json into words.
func decodeError(err error, prefix string) *Error {
	field := prefix
	text := "not valid JSON"
	if te, ok := err.(*json.UnmarshalTypeError); ok {
		field = prefix + te.Field
		text = strings.TrimPrefix(JSONWords(err), te.Field+": ")
	} else if _, syntax := err.(*json.SyntaxError); !syntax {
		text = JSONWords(err) // from UnmarshalText of a date or a clock: our own words
		if bytes.Contains([]byte(text), []byte("date ")) && prefix == "" {
			field = "night"
		}
	}
	return &Error{Kind: Invalid, Code: "bad-entry", Field: field, Text: text, Err: err}
}

// Canonical returns JSON with sorted keys and no spaces, so that equal values
// have equal bytes. Bytes that are not JSON come back unchanged.
func Canonical(raw json.RawMessage) json.RawMessage {
	if plain(raw) {
		return raw
	}
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return raw
	}
	out, err := json.Marshal(v)
	if err != nil {
		return raw
	}
	return out
}

// plain reports whether raw is a value in its canonical form that is told at a
// glance: true, false, a small whole number, or a word of common characters.
func plain[T ~string | ~[]byte](raw T) bool {
	switch {
	case string(raw) == "true" || string(raw) == "false":
		return true
	case len(raw) == 0 || len(raw) > 40 || string(raw) == `"`:
		return false
	case raw[0] == '"':
		for i := 1; i < len(raw)-1; i++ {
			if c := raw[i]; !isDigit(c) && !isLower(c) && c != '-' && c != ':' && c != '_' && c != '/' && (c < 'A' || c > 'Z') {
				return false
			}
		}
		return raw[len(raw)-1] == '"'
	}
	for i := range len(raw) {
		if !isDigit(raw[i]) {
			return false
		}
	}
	return len(raw) <= 6 && (raw[0] != '0' || len(raw) == 1)
}
