package dispatch

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// NoteStaffChange notes that somebody may come to read wearers or to run the practice, and puts the mails
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

// GiveRoles gives the roles whose time has come.
func GiveRoles(tx *store.Tx) error {
	given, err := tx.Access().ApplyStaffChanges()
	if err != nil {
		return err
	}
	for _, c := range given {
		if err := RoleGiven(tx, c); err != nil {
			return err
		}
	}
	return nil
}

// RoleGiven lets go the alerts of somebody who answers none any more.
func RoleGiven(tx *store.Tx, c register.StaffChange) error {
	if c.Kind != register.StaffRole || c.Role == care.Clinician {
		return nil
	}
	return Unown(tx, c.Person)
}
