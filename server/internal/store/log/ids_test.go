package log_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/store/log"
)

// An id that the server gives is a UUID of version 7 as RFC 9562, section 5.7, has it:
// 48 bits of Unix milliseconds, then version and variant; and no two are the same.
func TestEntryIDsAreUUIDsOfVersion7(t *testing.T) {
	t.Parallel()
	form := regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	at := time.Date(2026, 3, 29, 7, 0, 0, 123_000_000, time.UTC)
	seen := map[string]bool{}
	for range 200 { // a bit that is left to chance is wrong in every other
		id := string(log.NewEntryID(at))
		ms, err := strconv.ParseInt(strings.ReplaceAll(id, "-", "")[:12], 16, 64)
		if err != nil || ms != at.UnixMilli() || !form.MatchString(id) || seen[id] {
			t.Fatalf("%s, %v: want version 7 of %d ms, said once", id, err, at.UnixMilli())
		}
		seen[id] = true
	}
}
