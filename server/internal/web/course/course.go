// Package course is the interface of the console about what becomes of a wearer
// beside the nightly log: the lenses as things, pictures and documents of visits,
// the end of wear and a new start, adverse events, what was answered before
// fitting.
package course

import (
	"strings"
	"unicode/utf8"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

type call struct{ *transport.Call }

// Routes returns the routes of this room.
func Routes() []transport.Route {
	t := transport.Table[*call](func(c *transport.Call) *call { return &call{c} })
	return []transport.Route{
		t.Get("/api/clinic/wearers/:id/lenses", access.ClinicDesk, "Lenses of a wearer as things, and which the family has at home.", lensList{}, (*call).lenses),
		t.Post("/api/clinic/wearers/:id/lenses", access.ClinicDesk, "Store a lens, new or changed.", lensRequest{}, lensReply{}, (*call).saveLens),

		t.Get("/api/clinic/wearers/:id/attachments", access.Clinical, "Pictures and documents of the visits, newest first, without their bytes.", attachmentList{}, (*call).attachments),
		t.Post("/api/clinic/wearers/:id/attachments", access.Clinical, "Attach a JPEG, PNG or PDF to a visit, base64 in the body.", newAttachment{}, attachmentReply{}, (*call).attach),
		t.Get("/api/clinic/wearers/:id/attachments/:attachment", access.Clinical, "The picture, or the PDF as a file to save.", nil, (*call).attachment),
		t.Delete("/api/clinic/wearers/:id/attachments/:attachment", access.Clinical, "Take an attachment out. Needs a confirmation.", transport.Done{}, (*call).detach),

		t.Get("/api/clinic/wearers/:id/course", access.Clinical, "Stretches of wear, how they ended and the wash-out, adverse events, what was answered before fitting, who consented.", courseView{}, (*call).course),
		t.Post("/api/clinic/wearers/:id/candidates", access.Clinical, "Keep what was answered before fitting.", candidateRequest{}, transport.Done{}, (*call).keepCandidate),
		t.Post("/api/clinic/wearers/:id/end", access.Clinical, "End wear, with the reason; the plan and the family's phones say so.", endRequest{}, transport.Done{}, (*call).end),
		t.Post("/api/clinic/wearers/:id/spectacles", access.Clinical, "Note when spectacles were given out after the end.", spectaclesRequest{}, transport.Done{}, (*call).spectacles),
		t.Post("/api/clinic/wearers/:id/go-on", access.Clinical, "Take the end of wear back: it was written by mistake.", againRequest{}, transport.Done{}, (*call).goOn),
		t.Post("/api/clinic/wearers/:id/start-over", access.Clinical, "Begin a new course with a new baseline.", againRequest{}, transport.Done{}, (*call).startOver),

		t.Post("/api/clinic/wearers/:id/events", access.Clinical, "Store an adverse event, new or a later version.", eventRequest{}, eventReply{}, (*call).saveEvent),
		t.Get("/api/clinic/wearers/:id/events/:event/file", access.Clinical, "An adverse event as a file, for the practice to send. Needs a confirmation.", nil, (*call).eventFile),
	}
}

// pathWearer returns the wearer the path names. That of drills has no file.
func (c *call) pathWearer(tx *store.Tx) (care.Wearer, error) {
	id := care.WearerID(c.Params("id"))
	if id == care.DrillWearer {
		return care.Wearer{}, care.Errorf(care.Conflict, "drill", "this is the practice's own family for drills: nothing of it is kept as a child's")
	}
	return tx.Register().Wearer(id)
}

// head names the wearer that a page is about.
type head struct {
	ID     care.WearerID `json:"id"`
	Name   string        `json:"name"`
	Code   string        `json:"code"`
	Family care.FamilyID `json:"family"`
}

func headOf(w care.Wearer) head { return head{w.ID, w.Name, w.Code, w.Family} }

// said is a free text of a form and how long it may be.
type said struct {
	field, text string
	most        int
}

// tooLong refuses the first text that is longer than its field.
func tooLong(list ...said) error {
	for _, s := range list {
		if n := utf8.RuneCountInString(s.text); n > s.most {
			return care.Refuse("too-long", s.field, "want at most %d characters, this has %d", s.most, n)
		}
	}
	return nil
}

// needed refuses an empty text.
func needed(field, text, want string) error {
	if strings.TrimSpace(text) == "" {
		return care.Refuse("missing", field, "want %s", want)
	}
	return nil
}

// notYet refuses a date in the future.
func notYet(field string, d, today civil.Date) error {
	if d.After(today) {
		return care.Refuse("not-possible", field, "%s is in the future; want a date up to today", d)
	}
	return nil
}

// stale refuses a save that began from another version than the newest.
func stale(have, base int, what string) error {
	if have == base {
		return nil
	}
	return care.Errorf(care.Conflict, "changed", "this %s has version %d by now and you began from version %d; nothing of yours was saved", what, have, base)
}

// update writes for the wearer of the path and says in the audit what was done.
func (c *call) update(did string, out any, f func(tx *store.Tx, w care.Wearer, today civil.Date) (id string, err error)) error {
	return c.ReplyUpdate(out, func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		today, _, err := record.Today(tx)
		if err != nil {
			return err
		}
		id, err := f(tx, w, today)
		if err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, did, strings.TrimSpace(string(w.ID)+" "+id))
	})
}

// visitOf returns a visit of a wearer.
func visitOf(tx *store.Tx, w care.WearerID, id string) (course.Visit, error) {
	all, err := register.Visits[course.Visit](tx.Chart(), w)
	for _, v := range all {
		if v.ID == id {
			return v, err
		}
	}
	if err != nil {
		return course.Visit{}, err
	}
	return course.Visit{}, care.Refuse("unknown-visit", "visit", "there is no such visit of this wearer; save the visit first")
}
