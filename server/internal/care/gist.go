package care

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"iter"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Gist is what can be made out of an entry that cannot be read: what each of its members
// says by itself.
type Gist struct {
	// ID is the id as it was sent, whatever it is, so that the phone knows its entry
	// again in the verdict.
	ID string
	// Report says that it means to be a symptom report: one of its members named kind,
	// in any letter case, says symptoms in some spelling or wrapped in a list, or none is a kind and the body
	// speaks of the right or the left eye, as that of no other kind does. Of what is no
	// object any word of symptoms is enough.
	Report bool

	wearer WearerID
	device DeviceID
	dseq   uint64
}

// GistOf reads what it can of an entry. It never fails.
func GistOf(raw []byte) Gist {
	var g Gist
	if !bytes.HasPrefix(bytes.TrimLeft(raw, " \t\r\n"), []byte("{")) {
		g.Report = MeansReport(string(raw))
		return g
	}
	kinds, body := 0, json.RawMessage(nil)
	for name, value := range Members(raw) {
		switch strings.ToLower(name) {
		case "id":
			if json.Unmarshal(value, &g.ID) != nil {
				g.ID = string(value)
			}
		case "wearer":
			_ = json.Unmarshal(value, &g.wearer)
		case "dseq":
			_ = json.Unmarshal(value, &g.dseq)
		case "device":
			_ = json.Unmarshal(value, &g.device)
		case "body":
			body = value
		case "kind":
			var kind string
			if json.Unmarshal(value, &kind) != nil {
				kind = string(value) // a list or an object, which may say it too
			} else if kind != "" {
				kinds++
			}
			g.Report = g.Report || MeansReport(kind)
		}
	}
	if kinds == 0 {
		for name := range Members(body) {
			g.Report = g.Report || name == "right" || name == "left"
		}
	}
	return g
}

var escaped = regexp.MustCompile(`\\u[0-9a-fA-F]{4}`)

// Members walks the members of an object as they were written, also one that
// stands twice, up to where it is JSON no more.
func Members(raw []byte) iter.Seq2[string, json.RawMessage] {
	return func(yield func(string, json.RawMessage) bool) {
		dec := json.NewDecoder(bytes.NewReader(raw))
		if open, err := dec.Token(); err != nil || open != json.Delim('{') {
			return
		}
		for dec.More() {
			name, err := dec.Token()
			if err != nil {
				return
			}
			var value json.RawMessage
			if dec.Decode(&value) != nil || !yield(fmt.Sprint(name), value) {
				return
			}
		}
	}
}

// MeansReport reports whether a text speaks of symptoms, in any letter case and with
// whatever stands around or between its letters, also with letters written by their
// numbers (RFC 8259, 7).
func MeansReport(text string) bool {
	text = escaped.ReplaceAllStringFunc(text, func(u string) string {
		n, _ := strconv.ParseUint(u[2:], 16, 16) // four hexadecimal digits
		return string(rune(n))
	})
	letters := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' {
			return r
		}
		return -1
	}, strings.ToLower(text))
	return strings.Contains(letters, "ymptom") // the first letter may be a lookalike of another script
}

// Wearer returns the wearer's id as it was sent, when it can be one.
func (g Gist) Wearer() (WearerID, bool) { return g.wearer, isID(string(g.wearer)) }

// Unread returns a symptom report that could not be read as an entry that every reader
// can: with a whole envelope, and with what was sent as a text in the place of the body,
// which no reader takes for answers. Id and counter are those that were sent where they
// can be read; all else is of e. Of what is longer than an entry may be the beginning is
// kept.
func (g Gist) Unread(raw []byte, e Entry) Entry {
	e.Kind, e.V = Symptoms, 1
	if IsEntryID(g.ID) {
		e.ID = EntryID(g.ID)
	} else {
		e.ID = MarkedID(raw, e.Wearer)
	}
	if g.device == e.Device && g.dseq <= MaxCounter {
		e.DSeq = g.dseq
	}
	cut := raw[:min(len(raw), MaxEntryBytes)]
	e.Body, _ = json.Marshal(strings.ToValidUTF8(string(cut), "\uFFFD")) // a text always marshals
	return e
}

// MarkedID returns an id for what was sent about a wearer without one: the same for the
// same, so that what is sent again is known. It is a UUID of version 8 (RFC 9562, 5.8).
func MarkedID(raw []byte, w WearerID) EntryID {
	sum := sha256.Sum256(slices.Concat([]byte(w), []byte{0}, raw))
	sum[6], sum[8] = sum[6]&0x0f|0x80, sum[8]&0x3f|0x80
	return EntryID(fmt.Sprintf("%x-%x-%x-%x-%x", sum[:4], sum[4:6], sum[6:8], sum[8:10], sum[10:16]))
}

// twice returns a member of an entry, or of anything in it, that is named twice
// (RFC 8259, 4).
func (e *Entry) twice(raw []byte) (name string, twice bool) {
	if e.parts == nil {
		return namedTwice(raw)
	}
	for i, m := range e.parts { // read from the usual form, in which nothing else can be
		if slices.ContainsFunc(e.parts[:i], func(o member) bool { return o.name == m.name }) {
			return m.name, true
		}
	}
	return "", false
}

// namedTwice walks any JSON for an object that names a member twice.
func namedTwice(raw []byte) (name string, twice bool) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	var open []map[string]bool // of each value that is open its names, nil of a list
	wantName := false
	for {
		t, err := dec.Token()
		if err != nil {
			return "", false
		}
		inside := len(open) > 0 && open[len(open)-1] != nil
		if s, ok := t.(string); ok && inside && wantName {
			if open[len(open)-1][s] {
				return s, true
			}
			open[len(open)-1][s], wantName = true, false
			continue
		}
		switch t {
		case json.Delim('{'):
			open = append(open, map[string]bool{})
		case json.Delim('['):
			open = append(open, nil)
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		}
		wantName = len(open) > 0 && open[len(open)-1] != nil
	}
}
