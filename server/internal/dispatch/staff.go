package dispatch

import (
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// NoteStaffChange notes that somebody may come to read wearers, and puts the mails
// in the outbox by which everybody of the practice is told.
func NoteStaffChange(tx *store.Tx, c register.StaffChange) error {
	if err := tx.Access().AddStaffChange(c); err != nil {
		return err
	}
	staff, err := tx.Register().Staff()
	if err != nil {
		return err
	}
	for _, r := range escalate.StaffNotice(staff, c.ID, tx.Now) {
		if err := tx.Duty().PutRow(r); err != nil {
			return err
		}
	}
	return nil
}
