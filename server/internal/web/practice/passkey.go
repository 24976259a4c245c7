package practice

import (
	"encoding/base64"
	"encoding/json"
	"errors"
	"net/url"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/transport"
)

// relyingParty is this site to an authenticator: its host name and address.
func (c *call) relyingParty() (*webauthn.WebAuthn, error) {
	u, err := url.Parse(c.Srv.BaseURL)
	if err != nil {
		return nil, err
	}
	w, err := webauthn.New(&webauthn.Config{
		RPID: u.Hostname(), RPDisplayName: "Nightkeep clinic", RPOrigins: []string{u.Scheme + "://" + u.Host},
		AuthenticatorSelection: protocol.AuthenticatorSelection{
			ResidentKey: protocol.ResidentKeyRequirementRequired, UserVerification: protocol.VerificationRequired,
		},
	})
	if err != nil {
		return nil, &care.Error{Kind: care.Unavailable, Code: "no-passkeys", Text: "passkeys need the server to be opened by a host name over https, or as localhost; set base-url", Err: err}
	}
	return w, nil
}

// holder is a member of staff as the library sees them. The user handle is the
// person's opaque id.
type holder struct {
	person care.Person
	keys   []register.Passkey
	creds  []webauthn.Credential
}

func (h *holder) WebAuthnID() []byte                         { return []byte(h.person.ID) }
func (h *holder) WebAuthnName() string                       { return h.person.Name }
func (h *holder) WebAuthnDisplayName() string                { return h.person.Name }
func (h *holder) WebAuthnCredentials() []webauthn.Credential { return h.creds }

func loadHolder(tx *store.Tx, id care.PersonID) (*holder, error) {
	p, err := tx.Register().Person(id)
	if err != nil {
		return nil, err
	}
	if !p.Role.Staff() || p.Gone {
		return nil, care.Errorf(care.NotFound, "not-found", "there is no such member of staff")
	}
	h := &holder{person: p}
	if h.keys, err = tx.Access().Passkeys(id); err != nil {
		return nil, err
	}
	for _, k := range h.keys {
		var c webauthn.Credential
		if err := json.Unmarshal(k.Credential, &c); err != nil {
			return nil, err
		}
		h.creds = append(h.creds, c)
	}
	return h, nil
}

// mayRegister refuses a new passkey in a session that proved too little: it takes a
// fresh one-time link, good for one passkey, or a fresh proof with another passkey.
func (c *call) mayRegister() error {
	if c.byLink() {
		return nil
	}
	return c.Rechecked()
}

// byLink reports whether the session is of a fresh one-time link that has made no
// passkey yet.
func (c *call) byLink() bool {
	s := c.Caller.Session
	return s.Linked && c.Srv.Now().Sub(s.Created) < linkedLife
}

func (c *call) newPasskey() error {
	if err := c.mayRegister(); err != nil {
		return err
	}
	rp, err := c.relyingParty()
	if err != nil {
		return err
	}
	var h *holder
	err = c.View(func(tx *store.Tx) (err error) { h, err = loadHolder(tx, c.Caller.Person.ID); return err })
	if err != nil {
		return err
	}
	options, data, err := rp.BeginRegistration(h, webauthn.WithExclusions(webauthn.Credentials(h.creds).CredentialDescriptors()))
	if err != nil {
		return err
	}
	c.begin(ceremony{data: *data, person: h.person.ID})
	return c.Reply(options)
}

type passkeyRequest struct {
	Name       string          `json:"name"`
	Credential json.RawMessage `json:"credential"`
}

func (c *call) storePasskey() error {
	var req passkeyRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.mayRegister(); err != nil {
		return err
	}
	name := strings.TrimSpace(req.Name)
	if name == "" {
		name = browserName(c.Get("User-Agent"))
	}
	if utf8.RuneCountInString(name) > 60 || !care.OneLine(name) {
		return care.Refuse("bad-name", "name", "want a name for the passkey of at most 60 characters that can be seen")
	}
	parsed, err := protocol.ParseCredentialCreationResponseBytes(req.Credential)
	if err != nil {
		return badPasskey(err)
	}
	open, ok := c.answered(parsed.Response.CollectedClientData.Challenge)
	if !ok || open.person != c.Caller.Person.ID {
		return badPasskey(nil)
	}
	rp, err := c.relyingParty()
	if err != nil {
		return err
	}
	made, err := rp.CreateCredential(&holder{person: c.Caller.Person.Named()}, open.data, parsed)
	if err != nil {
		return badPasskey(err)
	}
	raw, err := json.Marshal(made)
	if err != nil {
		return err
	}
	key := register.Passkey{ID: base64.RawURLEncoding.EncodeToString(made.ID), Person: c.Caller.Person.ID, Name: name, Credential: raw}
	return c.DoneUpdate(func(tx *store.Tx) error {
		key.Created = tx.Now
		if err := c.usedLink(tx); err != nil {
			return err
		}
		return errors.Join(tx.Access().PutPasskey(key), tx.Audit().Append(key.Person, "added passkey", ""))
	})
}

// usedLink notes that a session's link has made its one passkey, and tells everybody of
// the practice: whoever got hold of the link can now come back.
func (c *call) usedLink(tx *store.Tx) error {
	now, err := tx.Access().CallerOf(c.Token, false)
	if err != nil {
		return err
	}
	if c.Caller.Session = now.Session; !c.byLink() {
		return c.Rechecked() // by a passkey, or another request was quicker
	}
	if err := tx.Access().ChangeCredential(c.Token, func(s *register.Credential) { s.Linked = false }); err != nil {
		return err
	}
	return NoteAtOnce(tx, register.StaffPasskey, c.Caller.Person.Named())
}

// badPasskey is the one answer to a passkey that does not fit, whatever the
// reason.
func badPasskey(err error) error {
	return &care.Error{Kind: care.Invalid, Code: "bad-passkey", Field: "credential", Text: "this passkey was not accepted; try again, or ask for a one-time link", Err: err}
}

func (c *call) challenge() error {
	if err := c.LimitUnknown(); err != nil {
		return err
	}
	rp, err := c.relyingParty()
	if err != nil {
		return err
	}
	options, data, err := rp.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired))
	if err != nil {
		return err
	}
	options.Response.AllowedCredentials = c.ownKeys()
	c.begin(ceremony{data: *data})
	return c.Reply(options)
}

// ownKeys returns the passkeys of whoever is signed in here and awake, so that
// a browser that holds a colleague's too asks for the right one. Nobody else is
// told of any passkey.
func (c *call) ownKeys() (out []protocol.CredentialDescriptor) {
	_ = c.View(func(tx *store.Tx) error {
		caller, err := tx.Access().CallerOf(c.HeldToken(transport.StaffCookie), false)
		if err != nil || !caller.Person.Role.Staff() || c.Srv.Now().Sub(caller.Session.Seen) > transport.SessionIdle {
			return err
		}
		h, err := loadHolder(tx, caller.Person.ID)
		if err == nil {
			out = webauthn.Credentials(h.creds).CredentialDescriptors()
		}
		return err
	})
	return out
}

// prove checks an assertion and notes that the passkey was used.
func (c *call) prove(tx *store.Tx, raw json.RawMessage) (care.Person, error) {
	parsed, err := protocol.ParseCredentialRequestResponseBytes(raw)
	if err != nil {
		return care.Person{}, badPasskey(err)
	}
	open, ok := c.answered(parsed.Response.CollectedClientData.Challenge)
	if !ok || open.person != "" {
		return care.Person{}, badPasskey(nil)
	}
	rp, err := c.relyingParty()
	if err != nil {
		return care.Person{}, err
	}
	var h *holder
	used, err := rp.ValidateDiscoverableLogin(func(_, handle []byte) (webauthn.User, error) {
		h, err = loadHolder(tx, care.PersonID(handle))
		return h, err
	}, open.data, parsed)
	if err != nil {
		return care.Person{}, badPasskey(err)
	}
	if used.Authenticator.CloneWarning {
		return care.Person{}, badPasskey(nil) // the counter went back: a copy is about
	}
	return h.person, h.noteUse(tx, used)
}

func (h *holder) noteUse(tx *store.Tx, used *webauthn.Credential) error {
	id := base64.RawURLEncoding.EncodeToString(used.ID)
	for _, k := range h.keys {
		if k.ID != id {
			continue
		}
		raw, err := json.Marshal(used)
		if err != nil {
			return err
		}
		k.Credential, k.LastUsed = raw, tx.Now
		return tx.Access().PutPasskey(k)
	}
	return badPasskey(nil)
}

type assertion struct {
	Credential json.RawMessage `json:"credential"`
}

func (c *call) passkeySignIn() error {
	var req assertion
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.LimitUnknown(); err != nil {
		return err
	}
	var token string
	err := c.Update(func(tx *store.Tx) error {
		p, err := c.prove(tx, req.Credential)
		if err != nil {
			return err
		}
		token, err = c.startSession(tx, p, "signed in by passkey", register.Credential{Rechecked: tx.Now})
		return err
	})
	if err != nil {
		return err
	}
	c.giveSession(token)
	return c.Done()
}

// recheck proves again, in a session, that its person is there.
func (c *call) recheck() error {
	var req assertion
	if err := c.Read(&req); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		p, err := c.prove(tx, req.Credential)
		if err != nil {
			return err
		}
		if p.ID != c.Caller.Person.ID {
			return badPasskey(nil)
		}
		return tx.Access().ChangeCredential(c.Token, func(s *register.Credential) { s.Rechecked, s.Seen = tx.Now, tx.Now })
	})
}

type passkeyList struct {
	Passkeys []passkeyView `json:"passkeys"`
}

type passkeyView struct {
	ID       string    `json:"id"`
	Name     string    `json:"name"`
	Created  time.Time `json:"created"`
	LastUsed time.Time `json:"last_used,omitzero"`
}

func (c *call) passkeys() error {
	out := passkeyList{[]passkeyView{}}
	return c.ReplyView(&out, func(tx *store.Tx) error {
		all, err := tx.Access().Passkeys(c.Caller.Person.ID)
		for _, k := range all {
			out.Passkeys = append(out.Passkeys, passkeyView{k.ID, k.Name, k.Created, k.LastUsed})
		}
		return err
	})
}

func (c *call) deletePasskey() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	me := c.Caller.Person.ID
	return c.DoneUpdate(func(tx *store.Tx) error {
		if err := tx.Access().DeletePasskey(me, c.Params("id")); err != nil {
			return err
		}
		return tx.Audit().Append(me, "removed passkey", "")
	})
}
