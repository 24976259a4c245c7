package intake

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/server/internal/care"
)

// ReadRequest reads the body of a request. One written as our phones write it
// is taken apart without a decoder; any other is left to encoding/json, which
// also says what is wrong with it.
func ReadRequest(body []byte) (Request, error) {
	if !utf8.Valid(body) {
		body = bytes.ToValidUTF8(body, []byte("\uFFFD")) // as encoding/json reads it; other phones could not read it at all
	}
	if req, ok := quickRequest(body); ok {
		return req, nil
	}
	return slowRequest(body)
}

// slowRequest reads a request of any form. Members are read as they are named, once;
// those of a newer app are left alone.
func slowRequest(body []byte) (req Request, err error) {
	members := map[string]any{"epoch": &req.Epoch, "cursor": &req.Cursor, "entries": &req.Entries, "now": &req.Now, "sum": &req.Sum, "schema": &req.Schema}
	seen := map[string]bool{}
	if err := json.Unmarshal(body, &struct{}{}); err != nil {
		return req, err
	}
	for name, value := range care.Members(body) {
		to, ours := members[name]
		for known := range members {
			if known != name && strings.EqualFold(known, name) || seen[name] {
				return req, fmt.Errorf("%q: a member is named once, and as it is written here: epoch, cursor, entries, now, sum, schema", name)
			}
		}
		seen[name] = true
		if ours {
			if err := json.Unmarshal(value, to); err != nil {
				return req, fmt.Errorf("%s: %s", name, care.JSONWords(err))
			}
		}
	}
	return req, nil
}

// usualEntry is about how many bytes an entry takes, to size what holds them.
const usualEntry = 300

// quickRequest reads {"epoch":…,"cursor":…,"entries":[…],"now":…,"sum":…,"schema":…}
// without spaces, now, sum and a schema of one digit at will.
func quickRequest(body []byte) (req Request, ok bool) {
	rest, ok := bytes.CutPrefix(body, []byte(`{"epoch":"`))
	if !ok {
		return req, false
	}
	if req.Epoch, rest, ok = word(rest); !ok {
		return req, false
	}
	if rest, ok = bytes.CutPrefix(rest, []byte(`,"cursor":`)); !ok {
		return req, false
	}
	number, rest, ok := bytes.Cut(rest, []byte(`,"entries":[`))
	if !ok {
		return req, false
	}
	cursor, err := strconv.ParseUint(string(number), 10, 64)
	if err != nil || len(number) > 1 && number[0] == '0' {
		return req, false
	}
	req.Cursor = cursor
	about := min(len(rest)/usualEntry+1, MaxEntries)
	req.Entries, req.list = make([]json.RawMessage, 0, about), make([]parsed, 0, about)
	for len(rest) > 0 && rest[0] != ']' {
		end := objectEnd(rest)
		if end < 0 || end >= len(rest)-1 || len(req.Entries) > MaxEntries {
			return req, false
		}
		raw := rest[:end:end]
		p := parseOne(raw)
		if p.err != nil && !json.Valid(raw) {
			return req, false
		}
		req.Entries, req.list = append(req.Entries, raw), append(req.list, p)
		if rest = rest[end:]; rest[0] == ',' && rest[1] == '{' {
			rest = rest[1:]
		} else if rest[0] != ']' {
			return req, false
		}
	}
	if rest, ok = bytes.CutPrefix(rest, []byte("]")); !ok {
		return req, false
	}
	for _, last := range []struct {
		name string
		to   *string
	}{{`,"now":"`, &req.Now}, {`,"sum":"`, &req.Sum}} {
		if value, given := bytes.CutPrefix(rest, []byte(last.name)); given {
			if *last.to, rest, ok = word(value); !ok {
				return req, false
			}
		}
	}
	if number, given := bytes.CutPrefix(rest, []byte(`,"schema":`)); given && len(number) == 2 && number[0] >= '1' && number[0] <= '9' {
		req.Schema, rest = int(number[0]-'0'), number[1:]
	}
	return req, string(rest) == "}"
}

// word reads a text of common characters up to its closing quote.
func word(rest []byte) (string, []byte, bool) {
	end := bytes.IndexByte(rest, '"')
	if end < 0 || bytes.ContainsFunc(rest[:end], func(r rune) bool { return r < ' ' || r == '\\' || r > '~' }) {
		return "", rest, false
	}
	return string(rest[:end]), rest[end+1:], true
}

// plainText reports whether a text needs no escaping, as an id does not.
func plainText(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}

// objectEnd returns where the object at the beginning of rest ends, -1 when it
// does not. Whether what is in between is JSON is for others to say.
func objectEnd(rest []byte) int {
	depth := 0
	for i := 0; i < len(rest); i++ {
		switch rest[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return i + 1
			}
		case '"':
			for i++; i < len(rest) && rest[i] != '"'; i++ {
				if rest[i] == '\\' {
					i++
				}
			}
		}
		if depth == 0 {
			return -1
		}
	}
	return -1
}

// AppendJSON appends the reply as encoding/json would write it, with the stored
// entries as they are: they are JSON already, and are most of it.
func (r *Reply) AppendJSON(out []byte) ([]byte, error) {
	var failed error
	value := func(name string, v any) {
		raw, err := json.Marshal(v)
		if err != nil {
			failed = err
		}
		out = append(append(append(append(out, ',', '"'), name...), '"', ':'), raw...)
	}
	size := 1024 + 80*len(r.Verdicts)
	for _, raw := range r.Changes {
		size += len(raw) + 1
	}
	out = append(slices.Grow(out, size), `{"verdicts":[`...)
	for i, v := range r.Verdicts {
		if i > 0 {
			out = append(out, ',')
		}
		if v.Code == "" && v.Message == "" && v.Field == "" && plainText(v.ID) {
			out = append(append(out, `{"id":"`...), v.ID...)
			out = append(append(append(out, `","verdict":"`...), v.Verdict...), `"}`...)
			continue
		}
		raw, err := json.Marshal(v)
		if err != nil {
			return out, err
		}
		out = append(out, raw...)
	}
	out = strconv.AppendUint(append(out, `],"watermark":`...), r.Watermark, 10)
	value("epoch", r.Epoch)
	out = strconv.AppendUint(append(out, `,"cursor":`...), r.Cursor, 10)
	out = append(out, `,"changes":[`...)
	for i, raw := range r.Changes {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, raw...)
	}
	out = strconv.AppendBool(append(out, `],"more":`...), r.More)
	value("checksum", r.Checksum)
	if len(r.Alerts) == 0 {
		out = append(out, `,"alerts":[]`...)
	} else {
		value("alerts", r.Alerts)
	}
	out = append(r.Now.AppendFormat(append(out, `,"now":"`...), time.RFC3339Nano), '"', '}')
	return out, failed
}
