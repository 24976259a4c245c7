package store

import (
	"errors"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/store/pairs"
)

// mended are the buckets that every report, its alert and its messages go through,
// the gravest last: with a damaged page in one of them nobody's could be stored. And
// those that somebody new is let in by, or is told by: what they have lost is made anew,
// by a link, an invitation, or at the device. Small enough, all of them, to be written
// anew in one transaction.
var mended = []string{
	"passkeys", "subscriptions", "invitations", "credentials", "devices", "family_devices", "staff_devices",
	"device_seqs", "fired", "waiting", "due", "due_at", "conflicts", "held", "audit", pairs.QuarantineBucket, pairs.DigestBucket,
	"outbox", "outbox_due", "wearer_alerts", "live_alerts", "alerts",
}

// mend sets apart those of the [mended] buckets that are damaged, begins them anew
// with what can be read, and works out their lists again. What was lost stays
// named: by a bucket's digest in a check, and by the list of what is unreadable. It
// reports whether there was any.
func (db *DB) mend() (bool, error) {
	var bad []string
	err := db.kv.View(func(k kv.Tx) error {
		for _, name := range mended {
			if k.Try(func() error {
				for range k.Ascend(name, nil) {
				}
				return nil
			}) != nil {
				bad = append(bad, name)
			}
		}
		return nil
	})
	if err != nil || len(bad) == 0 {
		return false, err
	}
	return true, db.file.SetApart(bad, func(k kv.Tx) error {
		tx := db.tx(k)
		var planned []care.WearerID
		for _, w := range tx.register.WearerIDs() {
			if tx.Try(func() error { _, err := tx.chart.Plan(w); return err }) == nil {
				planned = append(planned, w)
			}
		}
		err := tx.duty.Reindex(planned)
		if slices.Contains(bad, "family_devices") || slices.Contains(bad, "staff_devices") {
			err = errors.Join(err, tx.register.ReindexDevices())
		}
		return errors.Join(err, tx.log.Flush(), tx.pairs.PutDigests())
	})
}

// Faulted reports whether the program or the file failed on what a transaction did,
// and would fail again: not a full disk, nor an answer of the caller's own.
func Faulted(err error) bool { return IsUnreadable(err) || errors.Is(err, kv.ErrPanicked) }

// mendable reports whether an error may come from a bucket that can be mended; one
// without a name comes from the commit itself.
func mendable(err error) bool {
	var d kv.Damaged
	return errors.As(err, &d) && (d.Bucket == "" || slices.Contains(mended, d.Bucket))
}
