package transport

import "testing"

// What two readers may read differently is refused (RFC 8259, section 4).
func TestStrictBodies(t *testing.T) {
	t.Parallel()
	for body, ok := range map[string]bool{
		`{"a":1,"b":{"a":2},"c":[{"a":1},{"a":2}]}`: true,
		` {"a":"x"} `: true, `[]`: true, `{}`: true,
		`{"a":1}{"a":2}`: false, `{"a":1} x`: false, `{"a":1,"a":2}`: false, `{"a":1,"A":2}`: false,
		`{"b":[{"c":1,"c":2}]}`: false, `{"a":1`: false, ``: false,
	} {
		if err := strict([]byte(body)); (err == nil) != ok {
			t.Errorf("%s: %v, want it taken %t", body, err, ok)
		}
	}
}
