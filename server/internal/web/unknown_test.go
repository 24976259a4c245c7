package web_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// What an entry and its body hold beyond the fields this program knows comes
// back to every phone byte for byte: numbers digit for digit, keys in their
// order, text with the escapes it was sent with.
func TestUnknownFieldsComeBackAsSent(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	rng := rand.New(rand.NewPCG(8259, 0))
	sent, beside := map[string]string{}, map[string]string{}
	for batch := range 10 {
		var entries []string
		for i := range 20 {
			n := batch*20 + i + 1
			body := fmt.Sprintf(`{"later":%s,"text":"a note","even later":%s}`, anyJSON(rng, 3), anyJSON(rng, 3))
			id := fmt.Sprintf("01900000-0000-7000-8000-%012d", n)
			sent[id], beside[id] = body, anyJSON(rng, 3)
			entries = append(entries, fmt.Sprintf(`{"id":%q,"wearer":"w1","device":"d1","dseq":%d,"author":"p1","kind":"note","night":"2026-03-28",`+
				`"wall":"2026-03-28T21:40:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774734000000-0000","v":1,"body":%s,"someday":%s}`, id, n, body, beside[id]))
		}
		if status, raw := s.call("POST", "/api/sync", "family", syncBody(entries...)); status != 200 || strings.Count(raw, `"accepted"`) != 20 {
			t.Fatalf("batch %d: %d %s", batch, status, raw)
		}
	}
	var reply struct {
		Changes []struct {
			ID            string
			Body, Someday json.RawMessage
		}
	}
	if _, raw := s.call("POST", "/api/sync", "family", syncBody()); json.Unmarshal([]byte(raw), &reply) != nil {
		t.Fatal(raw)
	}
	if len(reply.Changes) != len(sent) {
		t.Fatalf("%d entries came back of %d", len(reply.Changes), len(sent))
	}
	for _, e := range reply.Changes {
		for _, pair := range [][2]string{{sent[e.ID], string(e.Body)}, {beside[e.ID], string(e.Someday)}} {
			if pair[0] != pair[1] {
				t.Errorf("sent %s\ngot  %s", pair[0], pair[1])
			}
		}
	}
}

// anyJSON makes a random value in the tightest form, with what other programs
// stumble over.
func anyJSON(rng *rand.Rand, depth int) string {
	leaves := []string{
		"null", "true", "1.0", "-0", "1e2", "12345678901234567890", "0.1000", "1E+10", `""`, `"née 🌙"`, `"<b>&amp;"`, `"\u003c"`,
		`"\ud83c\udf19"`, `"\/"`, "\"\u2028\"", `"\u0000"`,
	}
	if depth == 0 || rng.IntN(2) == 0 {
		return leaves[rng.IntN(len(leaves))]
	}
	var parts []string
	list := rng.IntN(2) == 0
	for i := range rng.IntN(4) {
		v := anyJSON(rng, depth-1)
		if !list {
			v = fmt.Sprintf(`"%c%d":%s`, 'z'-rune(i), i, v)
		}
		parts = append(parts, v)
	}
	if list {
		return "[" + strings.Join(parts, ",") + "]"
	}
	return "{" + strings.Join(parts, ",") + "}"
}
