package store

import "testing"

// A bucket of secrets, or of keys by which somebody is let in, has a row in the
// table by which everything of a leaver is ended.
func TestEverySecretIsEndedByTheTable(t *testing.T) {
	t.Parallel()
	for name, o := range owners() {
		if o.secret && opened[name].end == nil {
			t.Errorf("%s holds secrets and has no row in opened", name)
		}
	}
	for _, name := range []string{"passkeys", "devices"} {
		if opened[name].end == nil {
			t.Errorf("%s has no row in opened", name)
		}
	}
}
