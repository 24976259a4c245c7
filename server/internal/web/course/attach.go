package course

import (
	"encoding/base64"
	"slices"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// What attachments may take, our choice: a picture of 12 megapixels as a camera
// writes it, some for each visit, and for one wearer as much as a hundred visits
// with a small picture each need.
const (
	mostBytes    = 2 << 20  // of one file
	mostOfVisit  = 12       // files
	mostOfWearer = 60 << 20 // bytes, as stored
)

type attachmentList struct {
	Attachments []course.Attachment `json:"attachments"`
	Left        int                 `json:"left_bytes"` // that this wearer's attachments may still take
	Most        int                 `json:"most_bytes"` // of one file
}

type newAttachment struct {
	Visit string `json:"visit"`
	Eye   string `json:"eye,omitempty"` // right, left, or empty
	What  string `json:"what"`
	Type  string `json:"type"` // as the browser names it; the bytes decide
	Data  string `json:"data"` // base64
}

type attachmentReply struct {
	Attachment course.Attachment `json:"attachment"`
}

func (c *call) attachments() error {
	var l attachmentList
	err := c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		l.Attachments, err = register.Shelved[course.Attachment](tx.Chart(), register.Attachments, w.ID)
		return err
	})
	if err != nil {
		return err
	}
	l.Left, l.Most = max(0, mostOfWearer-taken(l.Attachments)), mostBytes
	course.NewestFirst(l.Attachments)
	c.AuditSeen("read attachments", c.Params("id"))
	return c.Reply(l)
}

func taken(list []course.Attachment) (bytes int) {
	for _, a := range list {
		bytes += a.Size
	}
	return bytes
}

// attach keeps a picture or document of a visit. What comes in is never kept as it
// came: a picture is drawn anew, so that nothing hides in it, the place where it
// was taken least of all.
func (c *call) attach() error {
	var req newAttachment
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := checkAttachment(&req); err != nil {
		return err
	}
	raw, err := base64.StdEncoding.DecodeString(req.Data)
	if err != nil {
		return care.Refuse("bad-file", "data", "want the file's bytes in base64")
	}
	if len(raw) > mostBytes {
		return care.Errorf(care.TooLarge, "too-large", "the file has %d bytes; a file takes at most %d", len(raw), mostBytes)
	}
	kind, clean, err := cleaned(req.Type, raw)
	if err != nil {
		return err
	}
	var r attachmentReply
	return c.update("attached", &r, func(tx *store.Tx, w care.Wearer, _ civil.Date) (string, error) {
		if _, err := visitOf(tx, w.ID, req.Visit); err != nil {
			return "", err
		}
		all, err := register.Shelved[course.Attachment](tx.Chart(), register.Attachments, w.ID)
		if err != nil {
			return "", err
		}
		if err := roomFor(all, req.Visit, len(clean)); err != nil {
			return "", err
		}
		a := course.Attachment{ID: access.NewID(), Visit: req.Visit, Eye: req.Eye, What: req.What, Type: kind, Size: len(clean), At: tx.Now, By: c.Caller.Person.Name}
		r.Attachment = a
		return a.ID, tx.Chart().Attach(w.ID, a.ID, a, clean)
	})
}

func checkAttachment(a *newAttachment) error {
	if !slices.Contains([]string{"", "right", "left"}, a.Eye) {
		return care.Refuse("bad-eye", "eye", "want right, left, or nothing")
	}
	if err := needed("what", a.What, "a few words on what it shows"); err != nil {
		return err
	}
	return tooLong(said{"what", a.What, 120})
}

// roomFor refuses what is too much for a visit or a wearer.
func roomFor(all []course.Attachment, visit string, size int) error {
	n := 0
	for _, a := range all {
		if a.Visit == visit {
			n++
		}
	}
	if n >= mostOfVisit {
		return care.Errorf(care.Conflict, "too-many", "this visit has %d attachments, and takes %d", n, mostOfVisit)
	}
	if have := taken(all); have+size > mostOfWearer {
		return care.Errorf(care.Conflict, "no-room", "the attachments of one wearer take at most %d MiB; %d are taken and this one needs %.1f: take one out first", mostOfWearer>>20, have>>20, float64(size)/(1<<20))
	}
	return nil
}

// attachment sends the bytes. A picture may be shown, a document is a file to save;
// either is cut off from everything else, should a browser open it by itself.
func (c *call) attachment() error {
	var a course.Attachment
	var raw []byte
	err := c.View(func(tx *store.Tx) (err error) {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if a, err = register.OnShelf[course.Attachment](tx.Chart(), register.Attachments, w.ID, c.Params("attachment")); err != nil {
			return err
		}
		raw, err = tx.Chart().Attached(w.ID, a.ID)
		return err
	})
	if err != nil {
		return err
	}
	if len(raw) != a.Size {
		return care.Errorf(care.Unavailable, "damaged", "this attachment cannot be read whole; the administrator sees which part of the data file is damaged")
	}
	if err := c.Audit("read attachment", c.Params("id")+" "+a.ID); err != nil {
		return err
	}
	name := map[string]string{"image/jpeg": "picture.jpg", "image/png": "picture.png", "application/pdf": "document.pdf"}[a.Type]
	if name == "" {
		return care.Errorf(care.Unavailable, "damaged", "this attachment is of no kind that this program shows")
	}
	how := "inline"
	if a.Type == "application/pdf" {
		how = "attachment"
	}
	c.Set("Content-Security-Policy", "sandbox; default-src 'none'; frame-ancestors 'none'")
	c.Set(fiber.HeaderContentType, a.Type)
	c.Set(fiber.HeaderContentDisposition, how+`; filename="`+name+`"`)
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.Send(raw)
}

func (c *call) detach() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		id := c.Params("attachment")
		if _, err := register.OnShelf[course.Attachment](tx.Chart(), register.Attachments, w.ID, id); err != nil {
			return err
		}
		if err := tx.Chart().Detach(w.ID, id); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "took out attachment", string(w.ID)+" "+id)
	})
}
