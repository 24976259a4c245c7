package register

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Invitation lets one person join on one device. Only the hash of its code is
// stored.
type Invitation struct {
	ID      string        `json:"id,omitempty"` // names it to who made it; tells nothing about the code
	Person  care.PersonID `json:"person"`
	By      care.PersonID `json:"by"`
	Created time.Time     `json:"created"`
	From    time.Time     `json:"from,omitzero"` // it lets nobody in before, see [StaffChange]
	Expires time.Time     `json:"expires"`
	Used    time.Time     `json:"used,omitzero"`
	Revoked bool          `json:"revoked"`
}

// Credential ties the hash of a bearer token to a device. Expires is zero for
// a family device, which is good until revoked; the other times are of a
// session of the staff.
type Credential struct {
	Device    care.DeviceID `json:"device"`
	Created   time.Time     `json:"created"`
	Expires   time.Time     `json:"expires,omitzero"`
	Seen      time.Time     `json:"seen,omitzero"`      // somebody last did something with it, to about a minute
	Rechecked time.Time     `json:"rechecked,omitzero"` // last proved with a passkey
	Linked    bool          `json:"linked,omitempty"`   // made with a one-time link
}

var (
	invitations = pairs.Table[Invitation]{Name: "invitations"}
	credentials = pairs.Table[Credential]{Name: "credentials"}
)

// hashSecret is what stands in the file for a secret. Tokens and calendar
// addresses have 256 random bits, which need no salt and no slow hash; codes have
// 54, are used once and live for days at most.
//
// A secret is looked up by its hash and compared with nothing else: how long
// that takes tells about a hash, which nobody can choose. Every look-up below
// reads all that it needs and decides once, at the end, so that a secret that was
// good once is refused like one that never was.
func hashSecret(secret string) []byte {
	sum := sha256.Sum256([]byte(secret))
	return []byte(hex.EncodeToString(sum[:]))
}

// Invite stores an invitation under its code.
func (tx *Access) Invite(code string, inv Invitation) error {
	return invitations.Put(tx.p, hashSecret(code), inv)
}

// Redeem uses an invitation up. A code that is unknown, used, revoked or
// expired gives one and the same error, so that guessing learns nothing.
func (tx *Access) Redeem(code string) (Invitation, error) {
	k := hashSecret(code)
	inv, err := invitations.Get(tx.p, k)
	if err != nil || !tx.usable(inv) {
		return inv, BadInvitation()
	}
	if tx.p.Now.Before(inv.From) { // said to whoever has the true code only
		return inv, care.Errorf(care.Conflict, "link-waits", "this link waits until somebody else of the practice has confirmed it, or until its time has come")
	}
	inv.Used = tx.p.Now
	return inv, invitations.Put(tx.p, k, inv)
}

// BadInvitation is the one refusal of every code that lets nobody in.
func BadInvitation() error {
	return care.Refuse("bad-invitation", "code", "this invitation is not valid: it may have been used, withdrawn or run out; ask the clinic for a new one")
}

// usable reports whether an invitation can still be redeemed.
func (tx *Access) usable(inv Invitation) bool {
	return inv.Used.IsZero() && !inv.Revoked && !tx.p.Now.After(inv.Expires)
}

// InvitationsBy returns the invitations of families that somebody has made and
// that can still be used.
func (tx *Access) InvitationsBy(by care.PersonID) ([]Invitation, error) {
	var out []Invitation
	err := invitations.Scan(tx.p, nil, func(_ []byte, inv Invitation) bool {
		if inv.By == by && inv.ID != "" && tx.usable(inv) {
			out = append(out, inv)
		}
		return true
	})
	return out, err
}

// InvitedUntil returns, for everybody with an invitation that can still be used,
// until when the last of them can be.
func (tx *Access) InvitedUntil() (map[care.PersonID]time.Time, error) {
	out := map[care.PersonID]time.Time{}
	err := invitations.Scan(tx.p, nil, func(_ []byte, inv Invitation) bool {
		if tx.usable(inv) && inv.Expires.After(out[inv.Person]) {
			out[inv.Person] = inv.Expires
		}
		return true
	})
	return out, err
}

// RevokeInvitation withdraws an invitation that by has made. One that is used,
// run out or another's gives the same not-found error.
func (tx *Access) RevokeInvitation(by care.PersonID, id string) (Invitation, error) {
	var at []byte
	var found Invitation
	err := invitations.Scan(tx.p, nil, func(k []byte, inv Invitation) bool {
		if id != "" && inv.ID == id && inv.By == by && tx.usable(inv) {
			at, found = append([]byte(nil), k...), inv
		}
		return at == nil
	})
	if err != nil {
		return found, err
	}
	if at == nil {
		return found, care.Errorf(care.NotFound, "no-such-invitation", "you have no such invitation that can still be used")
	}
	found.Revoked = true
	return found, invitations.Put(tx.p, at, found)
}

// WithdrawOwn withdraws every code that somebody has made for a further device
// of their own and that can still be used.
func (tx *Access) WithdrawOwn(p care.PersonID) error {
	open := map[string]Invitation{}
	err := invitations.Scan(tx.p, nil, func(k []byte, inv Invitation) bool {
		if inv.By == p && inv.Person == p && tx.usable(inv) {
			open[string(k)] = inv
		}
		return true
	})
	if err != nil {
		return err
	}
	for k, inv := range open {
		inv.Revoked = true
		if err := invitations.Put(tx.p, []byte(k), inv); err != nil {
			return err
		}
	}
	return nil
}

// DeleteCredential forgets a token.
func (tx *Access) DeleteCredential(token string) error {
	return credentials.Delete(tx.p, hashSecret(token))
}

// Caller is who a token speaks for, as it was when the request came. It carries
// what decides and no record, so that none can be written back; a transaction
// that writes asks [Access.Reauthorise] first and reads again what it changes.
type Caller struct {
	Device  CallerDevice
	Person  CallerPerson
	Session CallerSession
	key     []byte // of the credential; nil where a test has none
}

// CallerDevice is the device of a caller.
type CallerDevice struct {
	ID       care.DeviceID
	LastSeen time.Time
	SkewMS   int64
	Schema   int
	Has      care.LogPlace
}

// CallerPerson is the person of a caller.
type CallerPerson struct {
	ID     care.PersonID
	Name   string
	Role   care.Role
	Family care.FamilyID
	Wearer care.WearerID
}

// Named returns who the caller is, for what is written about them: a new
// document's author, not a record to store.
func (p CallerPerson) Named() care.Person { return care.Person{ID: p.ID, Name: p.Name, Role: p.Role} }

// CallerSession is what a session has proved.
type CallerSession struct {
	Created, Expires, Seen, Rechecked time.Time
	Linked                            bool
}

// CallerOf returns the device and person of a token. A token that is unknown,
// expired, of a revoked device or of somebody who left gives one and the same
// [care.Unauthenticated] error; so does none. With late set, one that has expired still tells
// which device it was; that is for what a device reports, never for reading.
func (tx *Access) CallerOf(token string, late bool) (Caller, error) {
	c, errC := credentials.Cached(tx.p, hashSecret(token))
	d, errD := tx.register.Device(c.Device)
	lost := errC == nil && errD != nil
	if lost {
		d, errD = tx.register.lostDevice(c.Device)
	}
	p, errP := tx.register.Person(d.Person)
	switch {
	case lost && errD == nil: // what it reports is taken in, and nothing else
		p, errP = care.Person{Family: d.Family}, nil
	case errP == nil || errD != nil || care.KindOf(errP) == care.NotFound:
	case d.Family != "": // a family's device: what it reports is taken in, whoever holds it
		p, errP = care.Person{ID: d.Person, Family: d.Family}, nil
	case pairs.IsDamaged(errP):
		return Caller{}, errP
	}
	over := !late && !c.Expires.IsZero() && tx.p.Now.After(c.Expires)
	if token == "" || errC != nil || errD != nil || errP != nil || over || d.Revoked || p.Gone {
		return Caller{}, notSignedIn()
	}
	return Caller{
		CallerDevice{d.ID, d.LastSeen, d.SkewMS, d.Schema, d.Has}, CallerPerson{p.ID, p.Name, p.Role, p.Family, p.Wearer},
		CallerSession{c.Created, c.Expires, c.Seen, c.Rechecked, c.Linked}, hashSecret(token),
	}, nil
}

// Reauthorise returns nil when a caller may still act in this transaction: the
// credential is there, the device is not revoked, the person has not left, and
// both are of the family and the role that they were of. Else it is the error
// of [Access.CallerOf], because to the caller it is the same.
func (tx *Access) Reauthorise(c Caller) error {
	if c.key != nil && !tx.p.Has(credentials.Name, c.key) {
		return notSignedIn()
	}
	d, errD := tx.register.Device(c.Device.ID)
	p, errP := tx.register.Person(c.Person.ID)
	if c.Person.ID == "" { // the device could not be read before either
		d, errD = tx.register.lostDevice(c.Device.ID)
		p, errP = care.Person{Family: d.Family}, nil
	} else if c.Person.Role == "" && errP != nil && care.KindOf(errP) != care.NotFound { // could not be read before either
		p, errP = care.Person{ID: d.Person, Family: d.Family}, nil
	} else if c.Person.Role == "" {
		p.Role = ""
	}
	for _, err := range []error{errD, errP} { // what cannot be read says nothing of the caller
		if err != nil && care.KindOf(err) != care.NotFound {
			return err
		}
	}
	if errD != nil || errP != nil || d.Revoked || p.Gone || d.Person != p.ID || d.Family != c.Person.Family || p.Family != c.Person.Family || p.Role != c.Person.Role {
		return notSignedIn()
	}
	if p.Family == "" {
		return nil
	}
	if _, err := tx.register.Family(p.Family); err != nil && care.KindOf(err) == care.NotFound {
		return notSignedIn()
	}
	return nil // also of a family whose record cannot be read
}

func notSignedIn() error {
	return care.Errorf(care.Unauthenticated, "no-credential", "this device is not signed in; open your invitation or ask the clinic for a new one")
}

// Subscription is where Web Push messages for a device go.
type Subscription struct {
	Endpoint string `json:"endpoint"`
	P256dh   string `json:"p256dh"`
	Auth     string `json:"auth"`
}

var subscriptions = pairs.Table[Subscription]{Name: "subscriptions"}

// PutSubscription stores the device's one subscription.
func (tx *Access) PutSubscription(d care.DeviceID, s Subscription) error {
	return subscriptions.Put(tx.p, []byte(d), s)
}

// Subscription returns the device's subscription, or a not-found error.
// A damaged part of the file is an error and ends nothing else.
func (tx *Access) Subscription(d care.DeviceID) (s Subscription, err error) {
	err = tx.p.Try(func() (err error) { s, err = subscriptions.Get(tx.p, []byte(d)); return err })
	return s, err
}

// DropSubscription forgets the device's subscription.
func (tx *Access) DropSubscription(d care.DeviceID) error {
	return subscriptions.Delete(tx.p, []byte(d))
}

// SubscribedStaffDevices returns the clinic's devices that take notifications.
func (tx *Access) SubscribedStaffDevices() ([]care.Device, error) {
	var out []care.Device
	err := subscriptions.Scan(tx.p, nil, func(k []byte, _ Subscription) bool {
		if d, err := tx.register.Device(care.DeviceID(k)); err == nil && d.Family == "" && !d.Revoked {
			out = append(out, d)
		}
		return true
	})
	return out, err
}

// AddCredential stores a device's token by its hash; the same token again
// replaces it, but only for the same device.
func (tx *Access) AddCredential(token string, c Credential) error {
	k := hashSecret(token)
	if have, err := credentials.Get(tx.p, k); err == nil && have.Device != c.Device {
		return care.Errorf(care.Conflict, "already-there", "this token is of another device")
	}
	return credentials.Put(tx.p, k, c)
}

// ChangeCredential changes what is kept of a token as it stands now.
func (tx *Access) ChangeCredential(token string, f func(*Credential)) error {
	k := hashSecret(token)
	c, err := credentials.Get(tx.p, k)
	if err != nil {
		return err
	}
	f(&c)
	return credentials.Put(tx.p, k, c)
}

// Reachable returns the devices of a family that take messages.
func (tx *Access) Reachable(f care.FamilyID) (out []care.Device, err error) {
	all, err := tx.register.Devices(f)
	for _, d := range all {
		if _, err := tx.Subscription(d.ID); !d.Revoked && err == nil {
			out = append(out, d)
		}
	}
	return out, err
}
