package transport

import (
	"cmp"
	"net/http"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/watch"
)

// health is what a machine watches. It names no person and no count that could
// tell one; what is wrong in words is on the status page.
type health struct {
	OK        bool     `json:"ok"`                  // nothing fails
	Rehearsal bool     `json:"rehearsal,omitempty"` // a copy of a backup that is being tried
	State     string   `json:"state"`               // well, degraded or fails, see package watch
	Troubles  []string `json:"troubles"`            // stable words of what is wrong, the gravest first
	Store     bool     `json:"store"`               // the disk takes writes
	Outbox    bool     `json:"outbox"`              // no message has waited too long
	Tick      bool     `json:"tick"`                // the reminder tick is alive
	Backup    bool     `json:"backup"`              // the newest is at most two intervals old; not part of ok
	// Unreadable is how many stored records could not be read and are set aside;
	// part of ok only when alerts or messages are among them, since the rest is served.
	Unreadable int `json:"unreadable"`
	// Push says that push services take messages: not none for ten minutes. Not part
	// of ok: alerts that wait are, by Outbox.
	Push bool `json:"push"`
	// ClockStep is by how many seconds the server's clock was set within the last
	// day; 0 when it was not. Not part of ok.
	ClockStep float64   `json:"clock_step_seconds"`
	Now       time.Time `json:"now"`
	OldestMin float64   `json:"oldest_outbox_minutes"`

	list  []watch.Trouble
	facts watch.Facts
}

func (c *Call) health() error {
	h := c.Srv.look()
	if !h.OK {
		c.Status(http.StatusServiceUnavailable)
	}
	return c.Reply(h)
}

// Troubles returns what is wrong with the server, the gravest first.
func (s *Server) Troubles() []watch.Trouble { return s.look().list }

// look looks how the server is. It writes only while the disk is known to refuse
// writes, to see whether it still does: otherwise strangers could keep it busy.
func (s *Server) look() health {
	var f watch.Facts
	if s.Facts != nil {
		f = s.Facts()
	}
	now := s.Now()
	f.Refused, f.RefusesStill = s.db.Refused()
	if f.RefusesStill {
		f.RefusesStill = s.diskRefuses()
	}
	f.File, f.Gone = s.db.Size(), !s.db.InPlace()
	err := s.db.View(func(tx *store.Tx) error { return readFacts(tx, &f, now) })
	err = cmp.Or(err, s.db.View((*store.Tx).Lists)) // what nobody has asked for yet may be lost with it
	f.ReportsFail = s.Intake.Storing.FailsSince()
	f.Unreadable, f.LostAlerts, f.LostPeople = len(s.db.Unreadable()), s.LostAlerts(), s.lost(ofPeople)
	h := health{Now: now.UTC(), Rehearsal: s.Rehearsal, Unreadable: f.Unreadable, ClockStep: f.ClockStep.Seconds(), list: watch.Look(f, now), facts: f}
	if err != nil {
		h.list = append([]watch.Trouble{{What: "disk", Degree: watch.Fails, Text: "What reports and alerts need cannot be read: they may not be stored, raised, shown or sent. Phone whoever is on duty, stop the server, and run check and repair."}}, h.list...)
	}
	if !f.OldestOutbox.IsZero() {
		h.OldestMin = max(0, now.Sub(f.OldestOutbox).Minutes())
	}
	h.Troubles = []string{}
	for _, t := range h.list {
		h.Troubles = append(h.Troubles, t.What)
	}
	h.OK, h.State = watch.Worst(h.list) < watch.Fails, watch.Worst(h.list).String()
	h.Store, h.Outbox, h.Tick = !h.fails("disk"), !h.has("outbox"), !h.has("tick")
	h.Backup, h.Push = !h.has("backup"), !h.has("push")
	return h
}

// readFacts fills in what the file tells, and reads what every alert needs to see
// that it can be read.
func readFacts(tx *store.Tx, f *watch.Facts, now time.Time) (err error) {
	if f.OldestOutbox, err = tx.Duty().OldestOutbox(); err != nil {
		return err
	}
	if _, err := tx.Duty().LiveAlerts(); err != nil {
		return err
	}
	if _, err := tx.Register().Staff(); err != nil {
		return err
	}
	if f.Rehearsed, err = tx.Register().ReadBack(); err != nil {
		return err
	}
	var lacks store.Lacks
	if err := tx.Register().Setting(store.LacksSetting, &lacks); err != nil {
		return err
	}
	f.Restored, f.LeftAlerts, f.Blind = lacks.At, lacks.Left, lacks.Blind
	var rota escalate.Rota
	if err := tx.Register().Setting("rota", &rota); err != nil || len(rota.Slots) == 0 {
		return err
	}
	person, _ := escalate.OnDuty(rota, now)
	there := person != ""
	f.OnDuty = &there
	return nil
}

// LostAlerts counts the alerts and messages, and the parts of the file that held some,
// that cannot be read: one of them may wait for somebody.
func (s *Server) LostAlerts() int { return s.lost(ofAlerts) }

// lost counts what cannot be read of some buckets.
func (s *Server) lost(of func(bucket string) bool) (n int) {
	for _, u := range s.db.Unreadable() {
		if of(u.Bucket) || of(u.Key) { // a digest names its bucket
			n++
		}
	}
	return n
}

// ofPeople reports whether a bucket keeps who somebody is, what lets them in, and how
// they are reached.
func ofPeople(bucket string) bool {
	return slices.Contains([]string{"people", "families", "devices", "credentials", "passkeys", "subscriptions"}, bucket)
}

// ofAlerts reports whether a bucket keeps what tells somebody of an alert.
func ofAlerts(bucket string) bool {
	return slices.Contains([]string{"alerts", "live_alerts", "outbox", "outbox_due"}, bucket)
}

// diskRefuses tries a write that needs fresh pages, and takes it away again: a
// small one can succeed on a full disk, in pages the file has already.
func (s *Server) diskRefuses() bool {
	try := func(value any) error {
		return s.db.Write(func(tx *store.Tx) error { return tx.Register().SetSetting("health", value) })
	}
	return try(strings.Repeat("0", probeBytes)) != nil || try("") != nil
}

// probeBytes is more than a report with everything it brings about.
const probeBytes = 256 << 10

func (h health) has(what string) bool { return slices.Contains(h.Troubles, what) }

func (h health) fails(what string) bool {
	return slices.ContainsFunc(h.list, func(t watch.Trouble) bool { return t.What == what && t.Degree == watch.Fails })
}
