package care

import (
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// quickEntry reads an entry that is written just as [Entry.AppendJSON] writes
// it, as our phones do and as the log stores it, in a tenth of the time. It is
// not ok where a byte stands otherwise: then encoding/json must look. The entry
// shares nothing with raw.
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
	var body string
	if stored := strings.LastIndex(r.rest, `,"fseq":`); r.ok && stored >= 0 {
		body, r.rest = r.rest[:stored], r.rest[stored:]
		e.FSeq = uint64(r.number(`,"fseq":`))
		e.Recv = r.instant(`,"recv":"`)
		if strings.HasPrefix(r.rest, `,"skew_ms":`) {
			e.SkewMS = r.number(`,"skew_ms":`)
			r.ok = r.ok && e.SkewMS != 0 // which is left out
		}
		if end := strings.IndexByte(r.rest, '}'); strings.HasPrefix(r.rest, `,"judged":`) && end >= 0 {
			raw := r.rest[len(`,"judged":`) : end+1]
			e.Judged, r.rest = quickMarks(raw), r.rest[end+1:]
			r.ok = r.ok && string(e.Judged.appendJSON(nil)) == raw
		}
		r.skip("}")
		r.ok = r.ok && r.rest == "" && int64(e.FSeq) > 0
	} else {
		body = strings.TrimSuffix(r.rest, "}")
		r.ok = r.ok && len(body) < len(r.rest)
	}
	if !r.ok || len(body) < 2 || body[0] != '{' || body[len(body)-1] != '}' || int64(e.DSeq) < 0 {
		return e, false
	}
	var err error
	if e.Night, err = civil.ParseDate(night); err != nil {
		return e, false
	}
	e.Body = json.RawMessage(body)
	var flat bool
	if e.parts, flat = flatMembers(body); !flat && !json.Valid(e.Body) {
		return e, false
	}
	return e, true
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

// text reads what stands between before and the next quote, of characters that
// encoding/json writes as they are.
func (r *reader) text(before string) string {
	r.skip(before)
	for i := range len(r.rest) {
		switch c := r.rest[i]; {
		case c == '"':
			v := r.rest[:i]
			r.rest = r.rest[i+1:]
			return v
		case c < ' ' || c > '~' || c == '\\' || c == '<' || c == '>' || c == '&':
			r.ok = false
			return ""
		}
	}
	r.ok = false
	return ""
}

// number reads the whole number that stands after before, in its usual form.
func (r *reader) number(before string) int64 {
	r.skip(before)
	n := 0
	for n < len(r.rest) && n < 18 && (isDigit(r.rest[n]) || r.rest[n] == '-') {
		n++
	}
	text := r.rest[:n]
	v, err := strconv.ParseInt(text, 10, 64)
	usual := text == "0" || v != 0 && text[0] != '0' && !strings.HasPrefix(text, "-0")
	r.rest, r.ok = r.rest[n:], r.ok && err == nil && usual
	return v
}

// instant reads the instant that stands after before, in its usual form.
func (r *reader) instant(before string) time.Time {
	text := r.text(before)
	at, err := time.Parse(time.RFC3339, text)
	var room [40]byte
	r.ok = r.ok && err == nil && string(at.AppendFormat(room[:0], time.RFC3339Nano)) == text
	return at
}

// member is one member of a body, with its value as it is written.
type member struct{ name, raw string }

// members are those of one JSON object; of members with one name the last.
type members []member

// get returns a member's value as it is written, empty when there is none.
func (m members) get(name string) string {
	for i := len(m) - 1; i >= 0; i-- {
		if m[i].name == name {
			return m[i].raw
		}
	}
	return ""
}

// object writes members as one JSON object.
func (m members) object() json.RawMessage {
	out := []byte{'{'}
	for i, x := range m {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(append(append(append(out, '"'), x.name...), '"', ':'), x.raw...)
	}
	return append(out, '}')
}

// readMembers takes an object apart. A flat one in its usual form, which most
// bodies are, is read without a decoder.
func readMembers(body json.RawMessage) (members, error) {
	if m, ok := flatMembers(string(body)); ok {
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
		m = append(m, member{name, string(raw)})
	}
	return m, nil
}

var errNotObject = Refuse("bad-body", "body", "want an object")

// flatMembers reads an object without spaces whose members are plain names and
// plain values, see plain, or short decimal fractions. Anything else is not ok.
func flatMembers(body string) (members, bool) {
	if len(body) < 2 || body[0] != '{' || body[len(body)-1] != '}' {
		return nil, false
	}
	rest := body[1 : len(body)-1]
	m := make(members, 0, 8)
	for len(rest) > 0 {
		colon := strings.IndexByte(rest, ':')
		if colon < 3 || rest[0] != '"' || !plain(rest[:colon]) {
			return nil, false
		}
		name := rest[1 : colon-1]
		rest = rest[colon+1:]
		end := valueEnd(rest)
		if end <= 0 || !plain(rest[:end]) && !fraction(rest[:end]) {
			return nil, false
		}
		m = append(m, member{name, rest[:end]})
		if rest = rest[end:]; len(rest) > 0 {
			if rest = rest[1:]; len(rest) == 0 {
				return nil, false // a comma and nothing after it
			}
		}
	}
	return m, true
}

// valueEnd returns where a plain value ends: at a comma, or at the end.
func valueEnd(rest string) int {
	if end := strings.IndexByte(rest, ','); end >= 0 {
		return end
	}
	return len(rest)
}

// fraction reports whether raw is a number such as 12.5.
func fraction(raw string) bool {
	whole, part, ok := strings.Cut(raw, ".")
	return ok && len(part) > 0 && len(part) <= 6 && plain(whole) && isDigit(whole[0]) && allDigits(part)
}

func allDigits(raw string) bool {
	for i := range len(raw) {
		if !isDigit(raw[i]) {
			return false
		}
	}
	return true
}

// word reads a JSON string; the common ones without a decoder.
func word(raw string) (string, bool) {
	if len(raw) > 1 && raw[0] == '"' && plain(raw) {
		return raw[1 : len(raw)-1], true
	}
	if raw == "" || raw[0] != '"' {
		return "", false
	}
	var s string
	return s, json.Unmarshal([]byte(raw), &s) == nil
}

// decimal reads a JSON number.
func decimal(raw string) (float64, bool) {
	if len(raw) == 1 && isDigit(raw[0]) {
		return float64(raw[0] - '0'), true
	}
	v, err := strconv.ParseFloat(raw, 64)
	return v, err == nil
}
