package care

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// quickEntry reads an entry that is written just as [Entry.AppendJSON] writes
// it, as our phones do and as the log stores it, in a tenth of the time. It need
// not be careful: what it read is written again, and any difference means that
// encoding/json must look. The entry shares nothing with raw.
func quickEntry(raw []byte) (Entry, bool) {
	r := reader{rest: string(raw), ok: true}
	var e Entry
	e.ID = EntryID(r.text(`{"id":"`))
	e.Wearer = WearerID(r.text(`,"wearer":"`))
	e.Device = DeviceID(r.text(`,"device":"`))
	e.DSeq = uint64(r.number(`,"dseq":`))
	e.Author = PersonID(r.text(`,"author":"`))
	e.Kind = EntryKind(r.text(`,"kind":"`))
	night := r.text(`,"night":"`)
	e.Wall = r.text(`,"wall":"`)
	e.Zone = r.text(`,"zone":"`)
	e.Offset = int(r.number(`,"offset":`))
	e.HLC = r.text(`,"hlc":"`)
	e.V = int(r.number(`,"v":`))
	r.skip(`,"body":`)
	body := strings.TrimSuffix(r.rest, "}")
	if stored := strings.LastIndex(r.rest, `,"fseq":`); r.ok && stored >= 0 {
		body, r.rest = r.rest[:stored], r.rest[stored:]
		e.FSeq = uint64(r.number(`,"fseq":`))
		recv, err := time.Parse(time.RFC3339, r.text(`,"recv":"`))
		e.Recv, r.ok = recv, r.ok && err == nil && int64(e.FSeq) > 0
		if strings.HasPrefix(r.rest, `,"skew_ms":`) {
			e.SkewMS = r.number(`,"skew_ms":`)
		}
	}
	if !r.ok || len(body) < 2 || body[0] != '{' || body[len(body)-1] != '}' || int64(e.DSeq) < 0 {
		return e, false
	}
	e.Body = json.RawMessage(body)
	var err error
	if e.Night, err = civil.ParseDate(night); err != nil || !json.Valid(e.Body) {
		return e, false
	}
	var room [1024]byte
	return e, bytes.Equal(e.AppendJSON(room[:0]), raw)
}

// reader takes a text apart from its beginning; it is no longer ok once
// something was not as expected.
type reader struct {
	rest string
	ok   bool
}

func (r *reader) skip(before string) {
	after, found := strings.CutPrefix(r.rest, before)
	r.rest, r.ok = after, r.ok && found
}

// text reads what stands between before and the next quote.
func (r *reader) text(before string) string {
	r.skip(before)
	v, after, found := strings.Cut(r.rest, `"`)
	r.rest, r.ok = after, r.ok && found
	return v
}

// number reads the whole number that stands after before.
func (r *reader) number(before string) int64 {
	r.skip(before)
	n := 0
	for n < len(r.rest) && n < 18 && (isDigit(r.rest[n]) || r.rest[n] == '-') {
		n++
	}
	v, err := strconv.ParseInt(r.rest[:n], 10, 64)
	r.rest, r.ok = r.rest[n:], r.ok && err == nil
	return v
}

// member is one member of a body.
type member struct {
	name string
	raw  json.RawMessage
}

// members are those of one JSON object; of members with one name the last.
type members []member

func (m members) get(name string) (json.RawMessage, bool) {
	for i := len(m) - 1; i >= 0; i-- {
		if m[i].name == name {
			return m[i].raw, true
		}
	}
	return nil, false
}

// readMembers takes an object apart. A flat one in its usual form, which most
// bodies are, is read without a decoder.
func readMembers(body json.RawMessage) (members, error) {
	if m, ok := flatMembers(body); ok {
		return m, nil
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(body, &all); err != nil {
		return nil, err
	}
	if all == nil {
		return nil, errNotObject
	}
	m := make(members, 0, len(all))
	for name, raw := range all {
		m = append(m, member{name, raw})
	}
	return m, nil
}

var errNotObject = Refuse("bad-body", "body", "want an object")

// flatMembers reads an object without spaces whose members are plain names and
// plain values, see plain, or short decimal fractions. Anything else is not ok.
func flatMembers(body []byte) (members, bool) {
	if len(body) < 2 || body[0] != '{' || body[len(body)-1] != '}' {
		return nil, false
	}
	rest := body[1 : len(body)-1]
	m := make(members, 0, 8)
	for len(rest) > 0 {
		colon := bytes.IndexByte(rest, ':')
		if colon < 3 || rest[0] != '"' || !plain(rest[:colon]) {
			return nil, false
		}
		name := string(rest[1 : colon-1])
		rest = rest[colon+1:]
		end := valueEnd(rest)
		if end <= 0 || !plain(rest[:end]) && !fraction(rest[:end]) {
			return nil, false
		}
		m = append(m, member{name, rest[:end:end]})
		if rest = rest[end:]; len(rest) > 0 {
			if rest = rest[1:]; len(rest) == 0 {
				return nil, false // a comma and nothing after it
			}
		}
	}
	return m, true
}

// valueEnd returns where a plain value ends: at a comma, or at the end.
func valueEnd(rest []byte) int {
	if end := bytes.IndexByte(rest, ','); end >= 0 {
		return end
	}
	return len(rest)
}

// fraction reports whether raw is a number such as 12.5.
func fraction(raw []byte) bool {
	whole, part, ok := bytes.Cut(raw, []byte("."))
	return ok && len(part) > 0 && len(part) <= 6 && plain(whole) && isDigit(whole[0]) && allDigits(part)
}

func allDigits(raw []byte) bool {
	for _, c := range raw {
		if !isDigit(c) {
			return false
		}
	}
	return true
}

// decoded returns a member's value as encoding/json gives it.
func decoded(raw json.RawMessage) (v any, err error) {
	switch {
	case string(raw) == "true":
		return true, nil
	case string(raw) == "false":
		return false, nil
	case len(raw) > 1 && raw[0] == '"' && plain(raw):
		return string(raw[1 : len(raw)-1]), nil
	case len(raw) == 1 && isDigit(raw[0]):
		return float64(raw[0] - '0'), nil
	}
	err = json.Unmarshal(raw, &v)
	return v, err
}
