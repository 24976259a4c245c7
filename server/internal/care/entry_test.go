package care_test

import (
	"encoding/json"
	"errors"
	"maps"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
)

func good() map[string]any {
	return map[string]any{
		"id": "01900000-0000-7000-8000-000000000001", "wearer": "w1", "device": "d1", "dseq": 1, "author": "p1",
		"kind": "insertion", "night": "2026-03-28", "wall": "2026-03-28T21:40:00", "zone": "Europe/Lisbon", "offset": 0,
		"hlc": "1774734000000-0000", "v": 1, "body": map[string]any{"at": "21:40", "eyes": "both"},
	}
}

// What a device may not send, and which field the answer names. The accepted
// forms are those of the entry contract in ENTRIES.md.
func TestDecodeEntryRefuses(t *testing.T) {
	t.Parallel()
	symptoms := func(body map[string]any) map[string]any {
		return map[string]any{"kind": "symptoms", "body": body}
	}
	for _, tc := range []struct {
		name, code, field string
		over              map[string]any
	}{
		{"unknown kind", "unknown-kind", "kind", map[string]any{"kind": "dream"}},
		{"kind not a word", "bad-kind", "kind", map[string]any{"kind": "Insertion!"}},
		{"night in a local form", "bad-entry", "night", map[string]any{"night": "28/03/2026"}},
		{"night that does not exist", "bad-entry", "night", map[string]any{"night": "2026-02-30"}},
		{"no night", "bad-night", "night", map[string]any{"night": ""}},
		{"counter from zero", "bad-dseq", "dseq", map[string]any{"dseq": 0}},
		{"id not a UUID", "bad-id", "id", map[string]any{"id": "7"}},
		{"supersedes itself", "bad-reference", "supersedes", map[string]any{"supersedes": []string{"01900000-0000-7000-8000-000000000001"}}},
		{"hour 24", "bad-field", "body.at", map[string]any{"body": map[string]any{"at": "24:00", "eyes": "both"}}},
		{"missing eyes", "missing-field", "body.eyes", map[string]any{"body": map[string]any{"at": "21:40"}}},
		{"kind of a later version", "unknown-kind", "kind", map[string]any{"kind": "pause", "body": map[string]any{"reason": "away", "to": "2026-03-28"}}},
		{"pause without a reason", "missing-field", "body.reason", map[string]any{"v": 2, "kind": "pause", "body": map[string]any{"to": "2026-03-28"}}},
		{"pause for no good reason", "bad-field", "body.reason", map[string]any{"v": 2, "kind": "pause", "body": map[string]any{"reason": "bored", "to": "2026-03-28"}}},
		{"pause that ends before it begins", "bad-pause", "body.to", map[string]any{"v": 2, "kind": "pause", "body": map[string]any{"reason": "ill", "to": "2026-03-27"}}},
		{"pause of 31 nights, 28 March to 27 April", "bad-pause", "body.to", map[string]any{"v": 2, "kind": "pause", "body": map[string]any{"reason": "away", "to": "2026-04-27"}}},
		{"snooze until an instant", "bad-field", "body.until", map[string]any{"v": 2, "kind": "snooze", "body": map[string]any{"until": "2026-03-28T21:35:00Z"}}},
		{"third eye", "bad-field", "body.eyes", map[string]any{"body": map[string]any{"at": "21:40", "eyes": "third"}}},
		{"body null", "bad-body", "body", map[string]any{"body": nil}},
		{"rating 6", "bad-field", "body.rating", map[string]any{"kind": "evening-sight", "body": map[string]any{"rating": 6}}},
		{"rating with a half", "bad-field", "body.rating", map[string]any{"kind": "evening-sight", "body": map[string]any{"rating": 2.5}}},
		{"retraction of nothing", "bad-reference", "retracts", map[string]any{"kind": "retraction", "body": map[string]any{}}},
		{"symptoms of no eye", "missing-field", "body.right", symptoms(map[string]any{"ill": "no"})},
		{"unknown answer to a sign", "bad-field", "body.right", symptoms(map[string]any{"right": map[string]any{"pain": "a lot"}})},
		{"trial out of range", "bad-field", "body.trials", map[string]any{"kind": "acuity-run", "body": map[string]any{
			"eye": "right", "distance_m": 3, "px_per_mm": 6, "trials": [][]float64{{9, 1}}}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			m := good()
			maps.Copy(m, tc.over)
			raw, _ := json.Marshal(m)
			_, err := care.DecodeEntry(raw)
			var e *care.Error
			if !errors.As(err, &e) || e.Kind != care.Invalid {
				t.Fatalf("got %v, want an invalid-input error", err)
			}
			if e.Code != tc.code || e.Field != tc.field || e.Text == "" {
				t.Errorf("got code %q field %q text %q, want %q %q", e.Code, e.Field, e.Text, tc.code, tc.field)
			}
		})
	}
}

func TestDecodeEntryKeepsWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	m := good()
	m["body"] = map[string]any{"at": "21:40", "eyes": "both", "someday": 7}
	raw, _ := json.Marshal(m)
	e, err := care.DecodeEntry(raw)
	if err != nil || !strings.Contains(string(e.Body), "someday") {
		t.Fatalf("unknown field lost: %s, %v", e.Body, err)
	}
	m["v"], m["kind"] = care.Schema+1, "dream-diary"
	raw, _ = json.Marshal(m)
	if _, err := care.DecodeEntry(raw); !care.Held(err) {
		t.Fatalf("an unknown kind of a later schema: got %v, want held", err)
	}
}

// A member of the envelope that this program does not know is written again
// with its value untouched; one it knows is written once, in whatever case it
// came. It tells two entries apart.
func TestEnvelopeKeepsWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	const head = `{"id":"01900000-0000-7000-8000-000000000001","wearer":"w1","device":"d1","dseq":1,"author":"p1","kind":"note","night":"2026-03-28",` +
		`"wall":"2026-03-28T21:40:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774734000000-0000","v":1,"body":{"text":"a"}`
	for _, tc := range []struct{ name, tail, want string }{
		{"nothing more", ``, ``},
		{"in the order of their names, digits as they came", `,"signed":12345678901234567890,"mood":{"b":1.0,"a":[]}`, `,"mood":{"b":1.0,"a":[]},"signed":12345678901234567890`},
		{"null and an empty name", `,"":null`, `,"":null`},
		{"what the server adds is no unknown member", `,"fseq":3,"via":"d9"`, `,"fseq":3,"via":"d9"`},
		{"a known name in capitals is another name", `,"ZONE":[1]`, `,"ZONE":[1]`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			e, err := care.DecodeEntry([]byte(head + tc.tail + "}"))
			if err != nil {
				t.Fatal(err)
			}
			if got := string(e.AppendJSON(nil)); got != head+tc.want+"}" {
				t.Errorf("got  %s\nwant %s", got, head+tc.want+"}")
			}
		})
	}
	one, err1 := care.DecodeEntry([]byte(head + `,"mood":1}`))
	other, err2 := care.DecodeEntry([]byte(head + `,"mood":2}`))
	if err1 != nil || err2 != nil || one.SameContent(&other) {
		t.Errorf("entries that differ in a member we do not know count as the same (%v, %v)", err1, err2)
	}
	if _, err := care.DecodeEntry([]byte(head + `,"mood":"` + strings.Repeat("x", care.MaxEntryBytes) + `"}`)); err == nil {
		t.Error("an entry over the limit was taken because its size is in a member we do not know")
	}
}

func FuzzDecodeEntry(f *testing.F) {
	raw, _ := json.Marshal(good())
	f.Add(raw)
	f.Add([]byte(`{"night":1e999}`))
	f.Add([]byte(`[]`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		e, err := care.DecodeEntry(raw)
		if err != nil {
			return
		}
		back := e.AppendJSON(nil)
		again, err := care.DecodeEntry(back)
		if err != nil || !again.SameContent(&e) {
			t.Fatalf("accepted entry does not survive its own form: %v\n%s", err, back)
		}
	})
}

// An entry writes itself as encoding/json would, also where text must be
// escaped.
func TestEntryWritesItself(t *testing.T) {
	t.Parallel()
	other := []care.EntryID{"01900000-0000-7000-8000-00000000000a", "01900000-0000-7000-8000-00000000000b"}
	for _, tc := range []struct {
		name string
		edit func(*care.Entry)
	}{
		{"plain", func(*care.Entry) {}},
		{"zone with a quotation mark", func(e *care.Entry) { e.Zone = `a"b<c` }},
		{"correction of two", func(e *care.Entry) { e.Supersedes = other }},
		{"retraction", func(e *care.Entry) { e.Retracts = other[0] }},
		{"with the server's fields", func(e *care.Entry) {
			e.FSeq, e.SkewMS, e.Recv = 7, -600000, time.Date(2026, 3, 28, 22, 0, 0, 5e6, time.UTC)
		}},
		{"handed in after a restore", func(e *care.Entry) {
			e.Via, e.FirstRecv = "d2", time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)
		}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			raw, _ := json.Marshal(good())
			e, err := care.DecodeEntry(raw)
			if err != nil {
				t.Fatal(err)
			}
			tc.edit(&e)
			want, err := json.Marshal(e)
			if err != nil {
				t.Fatal(err)
			}
			if got := string(e.AppendJSON(nil)); got != string(want) {
				t.Errorf("got  %s\nwant %s", got, want)
			}
		})
	}
}
