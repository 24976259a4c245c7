package family

import (
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// readersSince is how far back a family sees who opened its record (our choice).
const readersSince = 365 * 24 * time.Hour

type readerList struct {
	Readers []reader `json:"readers"` // the newest first
}

// reader is somebody of the practice on one day (UTC).
type reader struct {
	At    time.Time `json:"at"` // the last time of that day
	Name  string    `json:"name"`
	Role  care.Role `json:"role"`
	Did   string    `json:"did" enum:"read,changed,exported"`
	Times int       `json:"times"`
}

// deed says in one word what a line of the audit log is about.
func deed(did string) string {
	switch {
	case strings.HasPrefix(did, "read"), strings.HasPrefix(did, "looked"):
		return "read"
	case strings.HasPrefix(did, "exported"):
		return "exported"
	}
	return "changed"
}

// readers answers with who of the practice opened, changed or copied the record of
// the caller's family. What nobody but the clinicians may know of, a teen's private
// words, is counted as reading.
func (c *call) readers() error {
	if err := c.TakeQuota(c.room.looks, string(c.Caller.Person.Family)); err != nil {
		return err
	}
	out := readerList{[]reader{}}
	return c.ReplyView(&out, func(tx *store.Tx) error {
		lines, err := tx.Archive().AuditOf(c.Caller.Person.Family)
		for _, a := range slices.Backward(lines) {
			p, fault := tx.Register().Person(a.Who)
			if fault != nil || !p.Role.Staff() || tx.Now.Sub(a.At) > readersSince {
				continue
			}
			r := reader{a.At, p.Name, p.Role, deed(a.Did), 1}
			same := slices.IndexFunc(out.Readers, func(x reader) bool {
				return x.Name == r.Name && x.Did == r.Did && x.At.UTC().Format(time.DateOnly) == r.At.UTC().Format(time.DateOnly)
			})
			if same >= 0 {
				out.Readers[same].Times++
				continue
			}
			out.Readers = append(out.Readers, r)
		}
		return err
	})
}
