package register

import (
	"testing"

	"nightkeep/server/internal/store/pairs"
)

// A bucket of secrets, or of keys by which somebody is let in, has a row in the
// table by which everything of a leaver is ended.
func TestEverySecretIsEndedByTheTable(t *testing.T) {
	t.Parallel()
	for _, b := range pairs.Buckets {
		if b.Secret && grants[b.Name].end == nil {
			t.Errorf("%s holds secrets and has no row in grants", b.Name)
		}
	}
	for _, name := range []string{"passkeys", "devices"} {
		if grants[name].end == nil {
			t.Errorf("%s has no row in grants", name)
		}
	}
}
