package dispatch

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/duty"
	"nightkeep/server/internal/store/register"
)

// NotifyFamily puts a message for each of a family's devices that takes messages in
// the outbox, to be sent from an instant on: the practice has written the entry of
// this number.
func NotifyFamily(tx *store.Tx, f care.FamilyID, seq uint64, from time.Time) error {
	return notify(tx, f, escalate.KindWord, seq, from, "")
}

// NotifyStop does the same at once for every device but the one that wrote the
// entry: another phone must not ask for a lens that this one has stopped.
func NotifyStop(tx *store.Tx, f care.FamilyID, e *care.Entry) error {
	return notify(tx, f, escalate.KindStop, e.FSeq, tx.Now, e.Device)
}

// TellOfDevice tells a family's other devices, and the practice's console, that one
// more reads their log.
func TellOfDevice(tx *store.Tx, d care.Device) error {
	news := register.FamilyNews{Family: d.Family, Kind: register.NewDevice, Person: d.Person, Device: d.ID, At: tx.Now}
	if err := tx.Access().AddFamilyNews(news); err != nil {
		return err
	}
	return notify(tx, d.Family, escalate.KindDevice, uint64(tx.Now.UnixMilli()), tx.Now, d.ID)
}

func notify(tx *store.Tx, f care.FamilyID, kind escalate.Kind, seq uint64, from time.Time, but care.DeviceID) error {
	to, err := tx.Access().Reachable(f)
	if err != nil {
		return err
	}
	for _, d := range to {
		if d.ID == but {
			continue
		}
		row := escalate.Row{Alert: duty.WordsTo(f), Device: d.ID, Created: tx.Now, Due: from, Delivery: escalate.Delivery{
			Step: int(seq), Channel: escalate.Push, Target: d.Person, Kind: kind,
		}}
		if err := tx.Duty().PutRow(row); err != nil {
			return err
		}
	}
	return nil
}
