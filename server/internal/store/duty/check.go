package duty

import (
	"bytes"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store/pairs"
)

func (tx *Tx) checkAlerts() (f pairs.Faults) {
	err := alerts.Scan(tx.p, nil, func(_ []byte, a escalate.Alert) bool {
		f.Unless(tx.p.Has(string(WearerAlerts), pairs.Key(string(a.Wearer), string(a.ID))), "alert %s: not in the list of the wearer", a.ID)
		f.Unless(tx.p.Has("live_alerts", []byte(a.ID)) == a.Live(), "alert %s: is %s, and the list of live alerts says otherwise", a.ID, a.State)
		return true
	})
	f.Unless(err == nil, "alerts: %v", err)
	tx.p.EachKey("live_alerts", func(k []byte) { f.Unless(tx.p.Has("alerts", k), "live_alerts: there is no alert %q", k) })
	tx.p.Lists(&f, WearerAlerts, func(owner, member string) bool {
		a, err := tx.Alert(care.AlertID(member))
		return pairs.Unread(err) || err == nil && string(a.Wearer) == owner
	})
	return f
}

// checkRows checks the outbox against its order of instants.
func (tx *Tx) checkRows() (f pairs.Faults) {
	err := outbox.Scan(tx.p, nil, func(k []byte, r escalate.Row) bool {
		f.Unless(tx.p.Has("outbox_due", pairs.Key(instant(r), string(k))), "outbox: message %q is due at no instant", k)
		return true
	})
	f.Unless(err == nil, "outbox: %v", err)
	tx.p.EachKey("outbox_due", func(k []byte) {
		f.Unless(len(k) > 9 && tx.p.Has("outbox", k[9:]), "outbox_due: there is no message %q", k)
	})
	f.Same(tx.p, "outbox_due", "outbox")
	return f
}

// checkDue checks the reminders' instants against their order.
func (tx *Tx) checkDue() (f pairs.Faults) {
	for k, at := range tx.p.Ascend("due_at", nil) {
		f.Unless(len(at) == 8 && tx.p.Has("due", append(append(bytes.Clone(at), pairs.Sep), k...)), "due_at: wearer %q stands at no instant", k)
	}
	rows, wearers := 0, 0
	tx.p.EachKey("due_at", func([]byte) { wearers++ })
	tx.p.EachKey("due", func(k []byte) {
		if len(k) < 9 || !pairs.HasPrefix(k, pairs.Key(changedLog, "")) {
			rows++
			return
		}
		f.Unless(tx.p.Has("due_at", k[9:]), "due: wearer %q is to be looked at, and stands at no instant", k[9:])
	})
	f.Unless(rows == wearers, "due holds %d instants, due_at %d wearers", rows, wearers)
	return f
}

// Check holds alerts, messages and reminders against their indices.
func (tx *Tx) Check() pairs.Faults {
	pairs.ReadAll(tx.p, waiting)
	return slices.Concat(tx.checkAlerts(), tx.checkRows(), tx.checkDue())
}
