package clinic

import (
	"bufio"
	"bytes"
	"cmp"
	"net"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// exportCSV writes one line a night, oldest first, by code and without names. It
// goes out wearer by wearer: nobody waits for a whole practice to be read, and no
// transaction is open while a slow line takes what was read.
func (c *call) exportCSV() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	var ids []care.WearerID
	if err := c.View(func(tx *store.Tx) error { ids = tx.Register().WearerIDs(); return nil }); err != nil {
		return err
	}
	// Written down before it is sent: what left the building is known even when
	// the line breaks.
	if err := c.Audit("exported nights", "csv"); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, transport.CSVType)
	c.Set(fiber.HeaderContentDisposition, `attachment; filename="nights.csv"`)
	c.Set(fiber.HeaderCacheControl, "no-store")
	db, log, conn := c.Srv, c.Srv.Log, c.Context().Conn()
	unread := func() []pairs.Unreadable { return ofNights(db.Unreadable()) }
	c.Context().SetBodyStreamWriter(func(w *bufio.Writer) { // runs when this request's own context is gone
		if err := streamNights(db, ids, unread, w, conn); err != nil {
			log.Error("an export was cut short", "route", "/api/clinic/export.csv", "err", err)
			conn.Close() // so that half a file is not taken for a whole one
		}
	})
	return nil
}

// streamNights writes the nights of wearers, one wearer at a time, and at the end
// what of all that could not be read. Each piece has as long as a whole reply to get
// through.
func streamNights(db Viewer, ids []care.WearerID, unread func() []pairs.Unreadable, w *bufio.Writer, conn net.Conn) error {
	var piece bytes.Buffer
	out := interop.NewNightsCSV(&piece)
	send := func() error {
		if err := out.Flush(); err != nil {
			return err
		}
		_ = conn.SetWriteDeadline(time.Now().Add(transport.WriteTimeout)) // of the line, not of a rule
		if _, err := piece.WriteTo(w); err != nil {
			return err
		}
		return w.Flush()
	}
	for _, id := range ids {
		if err := db.View(func(tx *store.Tx) error { return wearerNights(tx, id, out) }); err != nil {
			return err
		}
		if err := send(); err != nil {
			return err
		}
	}
	for _, u := range unread() {
		if err := out.Unread("", u.Bucket+": "+u.Key); err != nil {
			return err
		}
	}
	return send()
}

// ofNights leaves of what cannot be read what nights are made of.
func ofNights(all []pairs.Unreadable) []pairs.Unreadable {
	return slices.DeleteFunc(all, func(u pairs.Unreadable) bool {
		return !slices.Contains([]string{"wearers", "nights", "entries", "received", "refs", "wear", "held"}, u.Bucket)
	})
}

// wearerNights writes the nights of one wearer; none of one who was erased
// meanwhile. Of one who cannot be read it says so.
func wearerNights(tx *store.Tx, id care.WearerID, out *interop.NightsCSV) error {
	var x care.Wearer
	var nights []care.Night
	var wear []care.WearFact
	var taken bool
	err := tx.Try(func() (err error) {
		if x, err = tx.Register().Wearer(id); err != nil {
			return err
		}
		if taken, err = tx.Access().Withdrawn(x.Family); err != nil || taken {
			return err // what everybody took back is counted for nobody
		}
		wear = tx.Log().WearFacts(id)
		nights, err = tx.Log().Nights(id, record.LongAgo, civil.DateOf(tx.Now).AddDays(1))
		return err
	})
	switch {
	case care.KindOf(err) == care.NotFound || taken:
		return nil
	case store.IsUnreadable(err):
		return out.Unread(cmp.Or(x.Code, string(id)), "the nights of this wearer cannot be read")
	case err != nil:
		return err
	}
	return out.Write(x.Code, nights, wear)
}
