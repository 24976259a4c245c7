// Package care holds the words of the domain: families, wearers, entries,
// nights and errors. It owns the rules that decide whether an entry is well
// formed and how entries fold into nights. It reads no clock and does no I/O.
//
// Invariant: an [Entry] is never changed once accepted. What a night looks like
// is always computed from entries, and the result does not depend on the order
// in which they arrived.
package care

import (
	"slices"
	"time"

	"nightkeep/schedule"
)

// The identifiers are distinct types so that they cannot be swapped. All are
// opaque text, random, and carry no personal data.
type (
	// FamilyID names a family: the wearers and people who share one log.
	FamilyID string
	// WearerID names one wearer of lenses.
	WearerID string
	// PersonID names a member of a family or of the staff.
	PersonID string
	// DeviceID names one browser on one phone or computer.
	DeviceID string
	// EntryID is a UUIDv7 made on the device.
	EntryID string
	// AlertID names one alert.
	AlertID string
)

// The practice's own family for drills, its one wearer, person and first device.
// Nothing of it is real: no list, figure, review or export of wearers has it, and
// its alerts say that they are drills.
const (
	DrillFamily FamilyID = "drill"
	DrillWearer WearerID = "drill"
	DrillPerson PersonID = "drill"
	DrillDevice DeviceID = "drill"
)

// Role says what a person is to the product; [Roles] lists them.
type Role string

// The roles. Parent and teen belong to a family, the others to the practice.
const (
	Parent        Role = "parent"
	Teen          Role = "teen"
	Clinician     Role = "clinician"
	Desk          Role = "desk"
	Administrator Role = "administrator"
)

// StaffRoles are those of the practice, Roles are all. Both are read only.
var (
	StaffRoles = []Role{Clinician, Desk, Administrator}
	Roles      = append([]Role{Parent, Teen}, StaffRoles...)
)

// Staff reports whether the role belongs to the practice.
func (r Role) Staff() bool { return slices.Contains(StaffRoles, r) }

// Person is somebody who can write entries or act for the practice.
type Person struct {
	ID     PersonID `json:"id"`
	Family FamilyID `json:"family,omitempty"` // empty for staff
	Name   string   `json:"name"`
	Role   Role     `json:"role"`
	Wearer WearerID `json:"wearer,omitempty"` // the wearer this person is, for a teen
	Mail   string   `json:"mail,omitempty"`   // staff only
	Phone  string   `json:"phone,omitempty"`  // international form; of staff, for colleagues only
	Gone   bool     `json:"gone,omitempty"`   // left the practice or the family
	// Language is the one a member of staff has the console in (a tag of
	// [Languages]); empty for the browser's.
	Language string `json:"language,omitempty"`
	// Mute are ids of reminders that this member of a family is not told of while
	// somebody else is.
	Mute []string `json:"mute,omitempty"`
	// Authority is the statement on record that this person may decide for the
	// wearers of the family; zero while nobody has made one.
	Authority Authority `json:"authority,omitzero"`
}

// Authority is a statement of a member of staff about why somebody may agree to
// the care of a family's wearers.
type Authority struct {
	Basis string    `json:"basis" enum:"parent,guardian,adult,consented"`
	By    PersonID  `json:"by"` // of the practice
	At    time.Time `json:"at"`
}

// Bases are what the statement can say: a parent or a guardian with parental
// authority, a wearer of full age, a teen for whom somebody with it has agreed.
var Bases = []string{"parent", "guardian", "adult", "consented"}

// Family is a household: one log, one set of devices.
type Family struct {
	ID      FamilyID  `json:"id"`
	Name    string    `json:"name"`
	Zone    string    `json:"zone"` // IANA zone at home
	Created time.Time `json:"created"`
	// Language is the one the family speaks best (BCP 47); empty when not asked.
	Language string `json:"language,omitempty"`
	// Second is whom to phone when no parent answers; empty when nobody was named.
	Second Contact `json:"second,omitzero"`
	// Life is a random text that changes when entries left the log; empty while
	// none ever did.
	Life string `json:"life,omitempty"`
	// Restored is when a phone last knew more of this log than the server: the
	// data file had been put back by hand.
	Restored time.Time `json:"restored,omitzero"`
}

// Contact is somebody to phone who does not write in the log.
type Contact struct {
	Name     string `json:"name"`
	Phone    string `json:"phone"` // international form
	Relation string `json:"relation,omitempty"`
}

// Wearer is one child, teen or adult who wears lenses overnight.
type Wearer struct {
	ID     WearerID `json:"id"`
	Family FamilyID `json:"family"`
	Code   string   `json:"code"` // the practice's own short code, e.g. "W-0007"
	Name   string   `json:"name"`
	Birth  string   `json:"birth,omitempty"` // YYYY-MM-DD
	// Reminders is what the family chose about this wearer's reminders.
	Reminders schedule.Choices `json:"reminders,omitzero"`
}

// LogPlace is a place in a family's log: a number, in one life of the log.
type LogPlace struct {
	Epoch string `json:"epoch"`
	FSeq  uint64 `json:"fseq"`
}

// Device is one browser that may append to and read its own family's log.
type Device struct {
	ID       DeviceID  `json:"id"`
	Family   FamilyID  `json:"family,omitempty"` // empty for a staff device
	Person   PersonID  `json:"person"`
	Name     string    `json:"name"`
	Created  time.Time `json:"created"`
	LastSeen time.Time `json:"last_seen"`
	Revoked  bool      `json:"revoked"`
	SkewMS   int64     `json:"skew_ms"` // device clock minus server clock at last contact
	// Before is the device of the same browser whose log was cleared, which this
	// one took over from; empty for one that joined.
	Before DeviceID `json:"before,omitempty"`
	// Schema is the newest version of the log that the app on it reads, as it said
	// at last contact; 0 for one from before version 3.
	Schema int `json:"schema,omitempty"`
	// Has is how far into its family's log it holds what the practice wrote, as its
	// cursor said.
	Has LogPlace `json:"has,omitzero"`
	// Rules is the version of the rule table that the app on it advises by, as it
	// said last; 0 for one that never said.
	Rules int `json:"rules,omitempty"`
	// Lang is the language that the app on it was in when it said last, a tag of the
	// list of languages; empty for one that never said.
	Lang string `json:"lang,omitempty"`
	// Owes is when the first daily test message was sent that the device has not
	// shown; zero when it owes none. Only of staff devices.
	Owes time.Time `json:"owes,omitzero"`
	// Heard is when the device last showed a message that it owed; zero when it
	// never did. Only of staff devices.
	Heard time.Time `json:"heard,omitzero"`
	// Tested is when an administrator last sent it a test message; zero: never. Only
	// of staff devices.
	Tested time.Time `json:"tested,omitzero"`
}
