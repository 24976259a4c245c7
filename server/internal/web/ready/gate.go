package ready

import (
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/transport"
)

// MayInvite refuses the first invitation of a new family while something is
// missing that its child would rely on tonight. A family that has or had a device,
// or a log, goes on as it was: a missing setting must not lock a parent out. So
// does the demo, where nobody is real.
func MayInvite(s *transport.Server, tx *store.Tx, f care.FamilyID) error {
	known, err := knownFamily(tx, f)
	if err != nil || known || s.Demo != nil {
		return err
	}
	own, err := Read(tx)
	if err != nil {
		return err
	}
	list, err := Find(s, tx, own)
	if err != nil {
		return err
	}
	var open []string
	for _, m := range list {
		if m.Invite {
			open = append(open, m.Text)
		}
	}
	if len(open) == 0 {
		return nil
	}
	return care.Errorf(care.Conflict, "not-ready", "no new family is invited until somebody watches. Still open:\n%s", strings.Join(open, "\n"))
}

func knownFamily(tx *store.Tx, f care.FamilyID) (bool, error) {
	devices, err := tx.Register().Devices(f)
	if err != nil || len(devices) > 0 {
		return true, err
	}
	wearers, err := tx.Register().Wearers(f)
	for _, w := range wearers {
		if tx.Log().HasWear(w.ID) {
			return true, err
		}
	}
	return false, err
}
