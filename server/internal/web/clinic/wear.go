package clinic

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// wearView is where a wearer's eyes stand, why, and what the practice and the
// family said to each other.
type wearView struct {
	Wearer care.WearerID  `json:"wearer"`
	Name   string         `json:"name"`
	Night  civil.Date     `json:"night"` // tonight, by the zone at home
	Wear   care.Wear      `json:"wear"`
	Causes []care.EntryID `json:"causes"` // to be sent back with a resume
	// Evening is the next evening at home, or this one: from when lenses may go in
	// again at the earliest, as a form takes it.
	Evening civil.Date `json:"evening"`
	// Entries are the causes and everything either voice said, newest first.
	Entries  []json.RawMessage            `json:"entries"`
	Receipts map[care.EntryID]wearReceipt `json:"receipts"`
	// OldPhones is how many of the family's devices have not yet read the log
	// with an app that can show a decision: telephone.
	OldPhones  int         `json:"old_phones"`
	Incomplete *time.Time  `json:"incomplete_since,omitempty"` // put back from a backup then, and not every device has handed in since
	ReviewBy   *civil.Date `json:"review_by,omitempty"`        // as said last
	Reachable  int         `json:"reachable"`                  // the family's devices that take messages
	Booked     civil.Date  `json:"booked,omitzero"`            // the next visit booked, today or later
	// Diseases are what closings named and no review has cleared: to resume such an
	// eye wants words.
	Diseases []intake.Disease `json:"diseases"`
	// LensOn are the eyes in which a lens may still be that was said to be stuck or not
	// found: who decides about wear says where it is.
	LensOn []string `json:"lens_on"`
	// Unread are words of the family that nobody has read, and LensesIn the lenses that are
	// in: who lets lenses be worn again names the entries of both, see [sayRequest].
	Unread   []episode.FamilyWords `json:"unread"` // newest first
	LensesIn []episode.EpisodeLog  `json:"lenses_in"`
	// Claims are decisions that only phones of the family hold, the newest first.
	Claims []care.Claim `json:"claims"`
	// Withdrawn: the family took its consent back, so nobody logs the nights.
	Withdrawn bool `json:"consent_withdrawn,omitempty"`
}

// wearReceipt says who has an entry of the practice, and who has read it.
type wearReceipt struct {
	Read []wearReader `json:"read"`
	// Phones are the family's devices in use that hold it, by name, and Of is how
	// many there are.
	Phones []string `json:"phones"`
	Of     int      `json:"of"`
}

type wearReader struct {
	Person care.PersonID `json:"person"`
	Name   string        `json:"name"`
	At     time.Time     `json:"at"`
}

// conflictReply is the answer when the causes changed, or what is to be known: what
// holds now.
type conflictReply struct {
	Error transport.ErrorDetail `json:"error"`
	Wear  wearView              `json:"wear"`
}

func (c *call) wear() error {
	var v wearView
	return c.ReplyView(&v, func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err == nil {
			v, err = viewWear(tx, w)
		}
		return err
	})
}

// sayRequest is what is said to a family, and whether what is unlikely of it was
// asked about.
type sayRequest struct {
	intake.Saying
	Sure bool   `json:"sure,omitempty"`
	Lens string `json:"lens,omitempty"` // where a lens is that may still be on an eye: out, in or unknown
	// Known are the entries of unread words and of lenses that are in of which the author
	// says that he knows them. A release is refused while there are others.
	Known []care.EntryID `json:"known,omitempty"`
}

// knows refuses a release over words of the family that nobody has read, and over lenses
// that are in, of which its author does not say that he knows them.
func (s sayRequest) knows(tx *store.Tx, w care.Wearer) error {
	if !slices.ContainsFunc(s.Entries, func(d intake.Draft) bool { return d.Kind == care.Resume }) {
		return nil
	}
	words, lenses, err := toKnow(tx, w)
	if err != nil {
		return err
	}
	lacks := func(id care.EntryID) bool { return !slices.Contains(s.Known, id) }
	switch {
	case slices.ContainsFunc(lenses, func(l episode.EpisodeLog) bool { return lacks(l.Entry) }):
		return care.Errorf(care.Conflict, "not-known", "lenses are in by the log: see what is named here, and say that you know it, before lenses are worn again")
	case slices.ContainsFunc(words, func(f episode.FamilyWords) bool { return lacks(f.Entry) }):
		return care.Errorf(care.Conflict, "not-known", "the family has written and nobody has read it: read what is named here, or say that you know it, before lenses are worn again")
	}
	return nil
}

// toKnow are the words of a family that nobody has read, newest first, and the lenses
// that are in: what nobody who lets lenses be worn again may pass over.
func toKnow(tx *store.Tx, w care.Wearer) (words []episode.FamilyWords, lenses []episode.EpisodeLog, err error) {
	_, loc, err := record.Today(tx)
	if err != nil {
		return nil, nil, err
	}
	words, err = record.Words(tx, w, loc)
	words = slices.DeleteFunc(words, func(f episode.FamilyWords) bool { return f.Read != nil })
	for i := range words {
		words[i].At = words[i].At.In(loc)
	}
	slices.Reverse(words)
	return words, lensesIn(tx, w), err
}

// withLens returns the request with where a lens is in its stops, and the eyes in which
// one may be that it does not say is out.
func (s sayRequest) withLens(tx *store.Tx, w care.Wearer) (_ sayRequest, on []string, err error) {
	if on, err = intake.LensOn(tx, w); err != nil {
		return s, nil, err
	}
	if s.Saying, err = s.WithLens(on, s.Lens); s.Lens == "out" {
		on = nil
	}
	return s, on, err
}

// say writes what the caller says to the family.
func (c *call) say() error {
	var req sayRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if len(req.Entries) == 0 {
		return care.Refuse("nothing-said", "entries", "want one entry or more")
	}
	busy, err := c.busyHours(care.WearerID(c.Params("id")))
	if err != nil {
		return err
	}
	var v wearView
	err = c.Update(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if err := examinedSaid(req.Entries, false, false); err != nil {
			return err
		}
		if err := req.knows(tx, w); err != nil {
			return err
		}
		req, _, err := req.withLens(tx, w)
		if err != nil {
			return err
		}
		if err := sayNow(tx, c.Caller.Person.Named(), w, req, busy); err != nil {
			return err
		}
		v, err = viewWear(tx, w)
		return err
	})
	if err != nil {
		return c.conflicted(care.WearerID(c.Params("id")), err)
	}
	if c.Srv.Intake.Raised != nil {
		c.Srv.Intake.Raised()
	}
	return c.Reply(v)
}

// sayNow writes what is said to a family, asks about what is unlikely of it, and books
// what it books.
func sayNow(tx *store.Tx, who care.Person, w care.Wearer, req sayRequest, busy []bookedAt) error {
	said, err := intake.Say(tx, who, w, req.Saying)
	if err != nil {
		return err
	}
	if err := askSaid(tx, w, req, busy); err != nil {
		return err
	}
	return bookSaid(tx, who, w, said)
}

// examinedSaid refuses a word of the list that says that the eye was examined where the
// decision rests on something else: with a resume, on what it rests; at a closing,
// on its outcome (seen) or on what was found. A word by itself is its author's.
func examinedSaid(entries []intake.Draft, closing, seen bool) error {
	other, at := closing, -1
	for i, d := range entries {
		var b struct{ Phrase, Basis, Reason string }
		_ = json.Unmarshal(d.Body, &b) // a body that is not of its kind is refused by Say
		switch {
		case d.Kind == care.Word && (b.Phrase == "no-finding" || b.Phrase == "seen-rest"):
			at = i
		case d.Kind == care.Resume && (b.Basis == "by-telephone" || b.Basis == "in-error"):
			other, seen = true, false
		case d.Kind == care.Resume, d.Kind == care.Cease && b.Reason == "examination":
			other = false
		}
	}
	if at >= 0 && other && !seen {
		return care.Refuse("word-not-examined", fmt.Sprintf("entries.%d.body.phrase", at),
			"the word to the family says that the eye was examined, and the decision rests on no examination: choose another word")
	}
	return nil
}

// conflicted answers that the causes changed, or what is to be known, together with what
// holds now; any other error as it is.
func (c *call) conflicted(id care.WearerID, err error) error {
	var e *care.Error
	if !errors.As(err, &e) || e.Code != "causes-changed" && e.Code != "not-known" {
		return err
	}
	r := conflictReply{Error: transport.ErrorOf(e.Code, e.Text, e.Field).Error}
	fault := c.View(func(tx *store.Tx) error {
		w, err := tx.Register().Wearer(id)
		if err == nil {
			r.Wear, err = viewWear(tx, w)
		}
		return err
	})
	if fault != nil {
		return fault
	}
	c.Status(http.StatusConflict)
	return c.Reply(r)
}

func viewWear(tx *store.Tx, w care.Wearer) (wearView, error) {
	night := intake.Tonight(tx, w.ID)
	v := wearView{
		Wearer: w.ID, Name: w.Name, Night: night, Wear: care.WearOf(tx.Log().WearFacts(w.ID), night, false, nil),
		Entries: []json.RawMessage{}, Receipts: map[care.EntryID]wearReceipt{},
	}
	v.Claims = append([]care.Claim{}, tx.Log().Claims(w.ID)...)
	v.Causes, v.Evening = intake.CausesOf(v.Wear), intake.Evening(tx, w.ID)
	var err error
	if v.Diseases, err = intake.Diseases(tx, w.ID); err != nil {
		return v, err
	}
	reach, err := tx.Access().Reachable(w.Family)
	if v.Reachable = len(reach); err != nil {
		return v, err
	}
	if v.Booked, err = nextBooked(tx, w.ID); err != nil {
		return v, err
	}
	on, err := intake.LensOn(tx, w)
	if v.LensOn = append([]string{}, on...); err != nil {
		return v, err
	}
	if v.Unread, v.LensesIn, err = toKnow(tx, w); err != nil {
		return v, err
	}
	v.Withdrawn = withdrawn(tx, w.Family)
	if v.OldPhones, v.Incomplete, err = phonesOf(tx, w.Family); err != nil {
		return v, err
	}
	list := tx.Log().WearEntries(w.ID)
	v.addEntries(tx, list)
	return v, v.addPhones(tx, w.Family, list)
}

// addEntries adds what either voice said, and who read it.
func (v *wearView) addEntries(tx *store.Tx, list []*care.Entry) {
	for _, e := range slices.Backward(list) {
		switch {
		case e.Kind == care.Read:
			var of care.EntryID
			if json.Unmarshal([]byte(e.Answer("of")), &of) == nil {
				r := v.Receipts[of]
				r.Read = append(r.Read, wearReader{e.Author, record.Name(tx, e.Author), e.Recv})
				v.Receipts[of] = r
			}
			continue
		case e.Kind == care.Cease && v.ReviewBy == nil && slices.Contains(v.Causes, e.ID):
			on := e.ReviewBy() // of the newest: what was said last counts
			v.ReviewBy = &on
		}
		v.Entries = append(v.Entries, e.AppendJSON(nil))
	}
}

// addPhones adds to what the practice wrote which devices of the family hold it.
func (v *wearView) addPhones(tx *store.Tx, f care.FamilyID, list []*care.Entry) error {
	epoch, err := tx.Log().EpochOf(f)
	if err != nil {
		return err
	}
	devices, err := tx.Register().Devices(f)
	devices = slices.DeleteFunc(devices, func(d care.Device) bool { return d.Revoked })
	for _, e := range list {
		if !e.Kind.Clinical() || e.Kind == care.WearStart {
			continue
		}
		r := v.Receipts[e.ID]
		r.Phones, r.Of = []string{}, len(devices)
		if r.Read == nil {
			r.Read = []wearReader{}
		}
		for _, d := range devices {
			if d.Has.Epoch == epoch && d.Has.FSeq >= e.FSeq {
				r.Phones = append(r.Phones, d.Name)
			}
		}
		v.Receipts[e.ID] = r
	}
	return err
}

// dismissClaim puts away a decision that only a phone of the family holds.
func (c *call) dismissClaim() error {
	return c.DoneUpdate(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if err := tx.Log().DismissClaim(w.ID, care.EntryID(c.Params("entry")), c.Caller.Person.ID); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "put away a claimed decision", string(w.ID))
	})
}

// wordsRequest names words of a family that the caller has read.
type wordsRequest struct {
	Read []care.EntryID `json:"read"`
}

// readWords marks words of a family as read, by the caller.
func (c *call) readWords() error {
	var req wordsRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if len(req.Read) == 0 {
		return care.Refuse("nothing-read", "read", "want the ids of one entry or more")
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		return c.markRead(tx, w, req.Read)
	})
}

// markRead marks words about a wearer as read. Private ones only a clinician can
// have read.
func (c *call) markRead(tx *store.Tx, w care.Wearer, ids []care.EntryID) error {
	private, err := tx.Chart().Private(w.ID)
	if err != nil {
		return err
	}
	for _, id := range ids {
		switch alone := slices.ContainsFunc(private, func(p register.PrivateWords) bool { return p.ID == id }); {
		case alone && c.Caller.Person.Role != care.Clinician:
			continue // the desk has seen that there are some, not what they say
		case !alone && !slices.Contains(tx.Log().Words(w.ID), id):
			return care.Refuse("unknown-entry", "read", "there are no words %s about this wearer", id)
		}
		if err := tx.Chart().MarkRead(w.ID, id, c.Caller.Person.ID); err != nil {
			return err
		}
	}
	return nil
}

// privateWords are what a teen wrote to the clinicians alone.
type privateWords struct {
	Words []privateWord `json:"words"` // newest first
}

type privateWord struct {
	ID   care.EntryID `json:"id"`
	By   string       `json:"by"`
	At   time.Time    `json:"at"`
	Text string       `json:"text"`
}

func (c *call) private() error {
	reply := privateWords{Words: []privateWord{}}
	return c.ReplyUpdate(&reply, func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		list, err := tx.Chart().Private(w.ID)
		for _, p := range slices.Backward(list) {
			reply.Words = append(reply.Words, privateWord{p.ID, record.Name(tx, p.By), p.At, p.Text})
		}
		if err != nil || len(list) == 0 {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "read private words", string(w.ID))
	})
}

// phonesOf returns how many of a family's devices have never read the log with an
// app that can show a decision, and since when the state is incomplete: the log
// was put back from a backup, and a device has not been heard from since, so a
// decision may be on it alone.
func phonesOf(tx *store.Tx, f care.FamilyID) (old int, since *time.Time, err error) {
	restored, err := tx.Log().RestoredOf(f) // also a file put back by hand, which one of its phones made known
	if err != nil {
		return 0, nil, err
	}
	devices, err := tx.Register().Devices(f)
	for _, d := range devices {
		if d.Revoked {
			continue
		}
		if d.Schema < wearSchema && !d.LastSeen.IsZero() {
			old++
		}
		if !restored.IsZero() && d.Created.Before(restored) && d.LastSeen.Before(restored) {
			since = &restored
		}
	}
	return old, since, err
}

// wearSchema is the version of the log that brought what the practice says.
const wearSchema = 3
