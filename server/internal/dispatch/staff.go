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
	return tellStaff(tx, c.ID)
}

// MailChanged tells everybody of the practice that somebody's mail address, or the
// owner's, is another from now on: at the former one too, where all that is mailed to
// them goes as well for a day. An address where there was none is told to nobody.
func MailChanged(tx *store.Tx, p care.PersonID, before string, c register.StaffChange) error {
	if before == "" {
		return nil
	}
	if err := tx.Access().KeepFormerMail(p, before); err != nil {
		return err
	}
	if p == escalate.PracticeOwner {
		return tellStaff(tx, c.ID)
	}
	c.Kind, c.Person, c.At, c.From = register.StaffMail, p, tx.Now, tx.Now
	return NoteStaffChange(tx, c)
}

// tellStaff mails everybody of the practice about one change.
func tellStaff(tx *store.Tx, id string) error {
	staff, err := tx.Register().Staff()
	if err != nil {
		return err
	}
	for _, r := range escalate.StaffNotice(staff, id, tx.Now) {
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
