package care

import (
	"bytes"
	"encoding/json"
	"regexp"
	"time"

	"nightkeep/schedule/civil"
)

// Schema is the newest version of the log this program reads. Version 1 is
// closed: its kinds and fields are those of [Kinds]. An entry of a later
// version is held, never refused, so a newer phone loses nothing to an older
// server.
const Schema = 1

// Limits on one entry, in bytes.
const (
	MaxEntryBytes = 32 << 10 // an acuity run of 200 trials takes about 4 KiB
	MaxNoteRunes  = 2000
)

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
}

var (
	uuidForm = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$`)
	hlcForm  = regexp.MustCompile(`^\d{13}-\d{4}$`)
	idForm   = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)
	kindForm = regexp.MustCompile(`^[a-z][a-z-]{0,39}$`)
)

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

// Location returns the zone at writing, or a fixed offset when this machine
// does not know the name.
func (e *Entry) Location() *time.Location {
	if loc, err := civil.LoadZone(e.Zone); err == nil {
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
// server added.
func (e *Entry) SameContent(o *Entry) bool {
	a, b := *e, *o
	for _, x := range []*Entry{&a, &b} {
		x.FSeq, x.Recv, x.SkewMS = 0, time.Time{}, 0
		x.Body = Canonical(x.Body)
	}
	ja, errA := json.Marshal(a)
	jb, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(ja, jb)
}

// DecodeEntry reads one entry and checks everything that can be checked
// without the store. The result is complete or the error is an [Error] of kind
// [Invalid]; [Held] tells apart the entry that must be kept raw.
func DecodeEntry(raw []byte) (Entry, error) {
	var e Entry
	if len(raw) > MaxEntryBytes {
		return e, Refuse("entry-too-large", "", "an entry takes at most %d bytes, this one has %d", MaxEntryBytes, len(raw))
	}
	if err := json.Unmarshal(raw, &e); err != nil {
		return e, decodeError(err, "")
	}
	if err := e.checkEnvelope(); err != nil {
		return e, err
	}
	if e.V > Schema {
		return e, errHeld
	}
	return e, e.checkBody()
}

var errHeld = Refuse("newer-schema", "v",
	"this entry was written by a newer app; it is kept as it is and will be read after the server is updated")

// Held reports whether err means "keep the entry raw, do not read it yet".
func Held(err error) bool { return err == error(errHeld) }

func (e *Entry) checkEnvelope() error {
	switch {
	case !uuidForm.MatchString(string(e.ID)):
		return Refuse("bad-id", "id", "want a UUID in lower case")
	case !idForm.MatchString(string(e.Wearer)):
		return Refuse("bad-wearer", "wearer", "want a wearer id: 1 to 64 letters, digits, - or _")
	case !idForm.MatchString(string(e.Device)):
		return Refuse("bad-device", "device", "want a device id: 1 to 64 letters, digits, - or _")
	case e.DSeq < 1:
		return Refuse("bad-dseq", "dseq", "want the device's own counter, 1 or more")
	case !idForm.MatchString(string(e.Author)):
		return Refuse("bad-author", "author", "want a person id: 1 to 64 letters, digits, - or _")
	case !kindForm.MatchString(string(e.Kind)):
		return Refuse("bad-kind", "kind", "want a word in lower case, at most 40 letters")
	case e.Night.IsZero():
		return Refuse("bad-night", "night", "want the date of the evening as YYYY-MM-DD")
	case e.Zone == "" || len(e.Zone) > 64:
		return Refuse("bad-zone", "zone", "want an IANA zone name such as Europe/Lisbon")
	case e.Offset < -14*60 || e.Offset > 14*60:
		return Refuse("bad-offset", "offset", "want minutes east of UTC, -840 to 840")
	case !hlcForm.MatchString(e.HLC):
		return Refuse("bad-hlc", "hlc", "want 13 digits of milliseconds, a dash and 4 digits")
	case e.V < 1:
		return Refuse("bad-version", "v", "want the log schema version, 1 or more")
	case len(e.Supersedes) > 20:
		return Refuse("bad-supersedes", "supersedes", "at most 20 entries can be superseded at once")
	}
	if _, err := e.Instant(); err != nil {
		return Refuse("bad-wall", "wall", "want the device's wall clock as YYYY-MM-DDTHH:MM:SS")
	}
	for _, id := range append([]EntryID{e.Retracts}, e.Supersedes...) {
		if id != "" && !uuidForm.MatchString(string(id)) || id == e.ID {
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
		field, text = prefix+te.Field, "wrong type: found "+te.Value+", want "+te.Type.String()
	} else if _, syntax := err.(*json.SyntaxError); !syntax {
		text = err.Error() // from UnmarshalText of a date or a clock: our own words
		if bytes.Contains([]byte(text), []byte("date ")) && prefix == "" {
			field = "night"
		}
	}
	return &Error{Kind: Invalid, Code: "bad-entry", Field: field, Text: text, Err: err}
}

// Canonical returns JSON with sorted keys and no spaces, so that equal values
// have equal bytes. Bytes that are not JSON come back unchanged.
func Canonical(raw json.RawMessage) json.RawMessage {
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
