package store

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"nightkeep/server/internal/care"
)

// Invitation lets one person join on one device. Only the hash of its code is
// stored.
type Invitation struct {
	ID      string        `json:"id,omitempty"` // names it to who made it; tells nothing about the code
	Person  care.PersonID `json:"person"`
	By      care.PersonID `json:"by"`
	Created time.Time     `json:"created"`
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
	invitations = table[Invitation]{"invitations"}
	credentials = table[Credential]{"credentials"}
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
func (tx *Tx) Invite(code string, inv Invitation) error {
	return invitations.put(tx, hashSecret(code), inv)
}

// Redeem uses an invitation up. A code that is unknown, used, revoked or
// expired gives one and the same error, so that guessing learns nothing.
func (tx *Tx) Redeem(code string) (Invitation, error) {
	k := hashSecret(code)
	inv, err := invitations.get(tx, k)
	if err != nil || !tx.usable(inv) {
		return inv, BadInvitation()
	}
	inv.Used = tx.Now
	return inv, invitations.put(tx, k, inv)
}

// BadInvitation is the one refusal of every code that lets nobody in.
func BadInvitation() error {
	return care.Refuse("bad-invitation", "code", "this invitation is not valid: it may have been used, withdrawn or run out; ask the clinic for a new one")
}

// usable reports whether an invitation can still be redeemed.
func (tx *Tx) usable(inv Invitation) bool {
	return inv.Used.IsZero() && !inv.Revoked && !tx.Now.After(inv.Expires)
}

// InvitationsBy returns the invitations of families that somebody has made and
// that can still be used.
func (tx *Tx) InvitationsBy(by care.PersonID) ([]Invitation, error) {
	var out []Invitation
	err := invitations.scan(tx, nil, func(_ []byte, inv Invitation) bool {
		if inv.By == by && inv.ID != "" && tx.usable(inv) {
			out = append(out, inv)
		}
		return true
	})
	return out, err
}

// InvitedUntil returns, for everybody with an invitation that can still be used,
// until when the last of them can be.
func (tx *Tx) InvitedUntil() (map[care.PersonID]time.Time, error) {
	out := map[care.PersonID]time.Time{}
	err := invitations.scan(tx, nil, func(_ []byte, inv Invitation) bool {
		if tx.usable(inv) && inv.Expires.After(out[inv.Person]) {
			out[inv.Person] = inv.Expires
		}
		return true
	})
	return out, err
}

// RevokeInvitation withdraws an invitation that by has made. One that is used,
// run out or another's gives the same not-found error.
func (tx *Tx) RevokeInvitation(by care.PersonID, id string) (Invitation, error) {
	var at []byte
	var found Invitation
	err := invitations.scan(tx, nil, func(k []byte, inv Invitation) bool {
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
	return found, invitations.put(tx, at, found)
}

// WithdrawOwn withdraws every code that somebody has made for a further device
// of their own and that can still be used.
func (tx *Tx) WithdrawOwn(p care.PersonID) error {
	open := map[string]Invitation{}
	err := invitations.scan(tx, nil, func(k []byte, inv Invitation) bool {
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
		if err := invitations.put(tx, []byte(k), inv); err != nil {
			return err
		}
	}
	return nil
}

// DeleteCredential forgets a token.
func (tx *Tx) DeleteCredential(token string) error {
	return credentials.delete(tx, hashSecret(token))
}

// Caller is who a token speaks for, as it was when the request came. It carries
// what decides and no record, so that none can be written back; a transaction
// that writes asks [Tx.Still] first and reads again what it changes.
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
func (tx *Tx) CallerOf(token string, late bool) (Caller, error) {
	c, errC := recall(tx, func(m *memos) *memo[Credential] { return &m.credentials }, credentials, hashSecret(token))
	d, errD := tx.Device(c.Device)
	p, errP := tx.Person(d.Person)
	over := !late && !c.Expires.IsZero() && tx.Now.After(c.Expires)
	if token == "" || errC != nil || errD != nil || errP != nil || over || d.Revoked || p.Gone {
		return Caller{}, notSignedIn()
	}
	return Caller{
		CallerDevice{d.ID, d.LastSeen, d.SkewMS, d.Schema}, CallerPerson{p.ID, p.Name, p.Role, p.Family, p.Wearer},
		CallerSession{c.Created, c.Expires, c.Seen, c.Rechecked, c.Linked}, hashSecret(token),
	}, nil
}

// Still returns nil when a caller may still act in this transaction: the
// credential is there, the device is not revoked, the person has not left, and
// both are of the family and the role that they were of. Else it is the error
// of [Tx.CallerOf], because to the caller it is the same.
func (tx *Tx) Still(c Caller) error {
	if c.key != nil && !tx.has(credentials.name, c.key) {
		return notSignedIn()
	}
	d, errD := tx.Device(c.Device.ID)
	p, errP := tx.Person(c.Person.ID)
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
	if _, err := tx.Family(p.Family); err != nil {
		return notSignedIn()
	}
	return nil
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

var subscriptions = table[Subscription]{"subscriptions"}

// PutSubscription stores the device's one subscription.
func (tx *Tx) PutSubscription(d care.DeviceID, s Subscription) error {
	return subscriptions.put(tx, []byte(d), s)
}

// Subscription returns the device's subscription, or a not-found error.
func (tx *Tx) Subscription(d care.DeviceID) (Subscription, error) {
	return subscriptions.get(tx, []byte(d))
}

// DropSubscription forgets the device's subscription.
func (tx *Tx) DropSubscription(d care.DeviceID) error {
	return subscriptions.delete(tx, []byte(d))
}

// SubscribedStaffDevices returns the clinic's devices that take notifications.
func (tx *Tx) SubscribedStaffDevices() ([]care.Device, error) {
	var out []care.Device
	err := subscriptions.scan(tx, nil, func(k []byte, _ Subscription) bool {
		if d, err := tx.Device(care.DeviceID(k)); err == nil && d.Family == "" && !d.Revoked {
			out = append(out, d)
		}
		return true
	})
	return out, err
}
