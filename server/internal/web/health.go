package web

import (
	"net/http"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// health is what a machine watches. It names no person and no count that could
// tell one.
type health struct {
	OK     bool `json:"ok"`
	Store  bool `json:"store"`  // a write transaction commits
	Outbox bool `json:"outbox"` // no message has waited too long
	Tick   bool `json:"tick"`   // the reminder tick is alive
	Backup bool `json:"backup"` // the newest is at most two intervals old, or none is scheduled; not part of ok
	// Unreadable is how many stored records could not be read and are set aside;
	// not part of ok, since the rest is served.
	Unreadable int `json:"unreadable"`
	// Push says that push services take messages: not none for ten minutes. Not part
	// of ok: alerts that wait are, by Outbox.
	Push bool `json:"push"`
	// ClockStep is by how many seconds the server's clock was set within the last
	// day; 0 when it was not. Not part of ok.
	ClockStep float64   `json:"clock_step_seconds"`
	Now       time.Time `json:"now"`
	OldestMin float64   `json:"oldest_outbox_minutes"`
}

// Limits beyond which the server is not well: a message to a person waits at
// most a few retries, and the tick comes every 30 seconds.
const (
	outboxTooOld = 15 * time.Minute
	tickTooOld   = 3 * time.Minute
	pushTooLong  = 10 * time.Minute
)

func (c *call) health() error {
	h := c.srv.look()
	if !h.OK {
		c.Status(http.StatusServiceUnavailable)
	}
	return c.reply(h)
}

// look looks how the server is.
func (s *Server) look() health {
	h := health{Now: s.Now().UTC(), Tick: true, Backup: true}
	if s.LastBackup != nil {
		at, every := s.LastBackup()
		h.Backup = h.Now.Sub(at) <= 2*every
	}
	h.Store = s.DB.Write(func(tx *store.Tx) error { return tx.SetSetting("health", tx.Now) }) == nil
	err := s.DB.View(func(tx *store.Tx) error {
		oldest, err := tx.OldestOutbox()
		if !oldest.IsZero() {
			h.OldestMin = max(0, tx.Now.Sub(oldest).Minutes())
		}
		return err
	})
	h.Push = true
	if s.PushFailing != nil {
		since := s.PushFailing()
		h.Push = since.IsZero() || s.Now().Sub(since) < pushTooLong
	}
	if s.ClockStep != nil {
		h.ClockStep = s.ClockStep().Seconds()
	}
	h.Unreadable = len(s.DB.Unreadable())
	h.Outbox = err == nil && h.OldestMin < outboxTooOld.Minutes()
	if s.LastTick != nil {
		h.Tick = s.Now().Sub(s.LastTick()) < tickTooOld
	}
	h.OK = h.Store && h.Outbox && h.Tick
	return h
}

// receipt stores what a service worker reports of a notification.
func (c *call) receipt() error {
	var r receipt
	if err := c.read(&r); err != nil {
		return err
	}
	if r.Event != "shown" && r.Event != "opened" || r.Tag == "" || len(r.Tag) > 100 {
		return care.Refuse("bad-receipt", "event", "want {tag, event} with event shown or opened")
	}
	err := c.write(func(tx *store.Tx) error { return c.noteReceipt(tx, r) })
	if err != nil {
		return err
	}
	return c.reply(done{true})
}
