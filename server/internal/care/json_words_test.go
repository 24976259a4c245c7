package care_test

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
)

// What JSON is refused for is said in words that name no type and no package of a
// programming language, with the member at fault.
func TestJSONWords(t *testing.T) {
	t.Parallel()
	ours := regexp.MustCompile(`json:|Unmarshal|\bint\b|uint|float64|\[\]|struct|care\.|Go `)
	for _, c := range []struct{ raw, want string }{
		{`{"n":"x"}`, "n: wrong type: found text, want a whole number"}, {`{"s":7}`, "s: wrong type: found number, want text"},
		{`{"b":"x"}`, "want true or false"}, {`{"l":{}}`, "want a list"}, {`{"o":[]}`, "want an object"}, {`{"p":"x"}`, "want an object"},
		{`{"f":"x"}`, "want a number"}, {`{"more":1}`, `there is no member "more"`}, {`{"n":1`, "ends too early"}, {``, "ends too early"},
		{"\x00\xff{", "not valid JSON, at byte 1"}, {`{"n":1e99}`, "want a whole number"},
	} {
		var v struct {
			N int    `json:"n"`
			S string `json:"s"`
			B bool
			L []string
			O map[string]int
			P *struct{ X int }
			F float64
		}
		dec := json.NewDecoder(strings.NewReader(c.raw))
		dec.DisallowUnknownFields()
		got := care.JSONWords(dec.Decode(&v))
		if !strings.Contains(got, c.want) || ours.MatchString(got) {
			t.Errorf("%q: %q, want %q", c.raw, got, c.want)
		}
	}
}
