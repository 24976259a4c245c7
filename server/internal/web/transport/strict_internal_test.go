package transport

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"
)

// What two readers may read differently is refused (RFC 8259, section 4).
func TestStrictBodies(t *testing.T) {
	t.Parallel()
	for body, ok := range map[string]bool{
		`{"a":1,"b":{"a":2},"c":[{"a":1},{"a":2}]}`: true,
		` {"a":"x"} `: true, `[]`: true, `{}`: true,
		`{"a":1}{"a":2}`: false, `{"a":1} x`: false, `{"a":1,"a":2}`: false, `{"a":1,"A":2}`: false,
		`{"b":[{"c":1,"c":2}]}`: false, `{"a":1`: false, ``: false,
	} {
		if err := strict([]byte(body), nil); (err == nil) != ok {
			t.Errorf("%s: %v, want it taken %t", body, err, ok)
		}
	}
}

// A member is read under its own name only, in whatever it stands; encoding/json alone
// takes it in any letter case ("preferring exact matches but also accepting
// case-insensitive matches", its documentation of Unmarshal).
func TestMembersAreReadAsTheyAreWritten(t *testing.T) {
	t.Parallel()
	type inner struct {
		At time.Time `json:"at"`
	}
	type request struct {
		inner
		Name string           `json:"name"`
		List []inner          `json:"list"`
		By   map[string]inner `json:"by"`
		Ref  *inner           `json:"ref,omitempty"`
		Raw  json.RawMessage  `json:"raw"`
		Any  map[string]any   `json:"any"`
	}
	for body, ok := range map[string]bool{
		`{"name":"a","at":"x","list":[{"at":"x"}],"by":{"A":{"at":"x"},"b":{}},"ref":{"at":"x"},"raw":{"X":1},"any":{"X":{"y":1}}}`: true,
		`{"Name":"a"}`: false, `{"NAME":"a"}`: false, `{"AT":"x"}`: false, `{"list":[{"At":"x"}]}`: false, `{"by":{"a":{"AT":"x"}}}`: false,
		`{"ref":{"aT":"x"}}`: false, `{"ref":null}`: true,
	} {
		if err := strict([]byte(body), reflect.TypeFor[*request]()); (err == nil) != ok {
			t.Errorf("%s: %v, want it taken %t", body, err, ok)
		}
	}
}
