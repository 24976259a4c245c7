package care

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"time"

	"nightkeep/schedule/civil"
)

// quickEntry reads an entry that is written just as [Entry.AppendJSON] writes
// it, as our phones do and as the log stores it, in a tenth of the time. It need not be careful: what it
// read is written again, and any difference means that encoding/json must look.
func quickEntry(raw []byte) (Entry, bool) {
	var e Entry
	rest := raw
	ok := true
	text := func(before string) string {
		var v []byte
		rest, ok = cut(rest, before, ok)
		if end := bytes.IndexByte(rest, '"'); ok && end >= 0 {
			v, rest = rest[:end], rest[end+1:]
			return string(v)
		}
		ok = false
		return ""
	}
	number := func(before string) int {
		rest, ok = cut(rest, before, ok)
		n := 0
		for n < len(rest) && n < 18 && (isDigit(rest[n]) || rest[n] == '-') {
			n++
		}
		v, err := strconv.Atoi(string(rest[:n]))
		rest, ok = rest[n:], ok && err == nil
		return v
	}
	e.ID = EntryID(text(`{"id":"`))
	e.Wearer = WearerID(text(`,"wearer":"`))
	e.Device = DeviceID(text(`,"device":"`))
	e.DSeq = uint64(number(`,"dseq":`))
	e.Author = PersonID(text(`,"author":"`))
	e.Kind = EntryKind(text(`,"kind":"`))
	night := text(`,"night":"`)
	e.Wall = text(`,"wall":"`)
	e.Zone = text(`,"zone":"`)
	e.Offset = number(`,"offset":`)
	e.HLC = text(`,"hlc":"`)
	e.V = number(`,"v":`)
	rest, ok = cut(rest, `,"body":`, ok)
	if stored := bytes.LastIndex(rest, []byte(`,"fseq":`)); ok && stored >= 0 {
		body := rest[:stored]
		rest = rest[stored:]
		e.FSeq = uint64(number(`,"fseq":`))
		recv, err := time.Parse(time.RFC3339, text(`,"recv":"`))
		e.Recv, ok = recv, ok && err == nil && int64(e.FSeq) > 0
		if bytes.HasPrefix(rest, []byte(`,"skew_ms":`)) {
			e.SkewMS = int64(number(`,"skew_ms":`))
		}
		rest = append(slices.Clip(body), '}')
	}
	if !ok || len(rest) < 3 || rest[0] != '{' || rest[len(rest)-2] != '}' || int64(e.DSeq) < 0 {
		return e, false
	}
	e.Body = bytes.Clone(rest[:len(rest)-1])
	var err error
	if e.Night, err = civil.ParseDate(night); err != nil || !json.Valid(e.Body) {
		return e, false
	}
	return e, bytes.Equal(e.AppendJSON(make([]byte, 0, len(raw))), raw)
}

func cut(rest []byte, before string, ok bool) ([]byte, bool) {
	after, found := bytes.CutPrefix(rest, []byte(before))
	return after, ok && found
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
