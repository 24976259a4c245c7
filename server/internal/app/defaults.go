package app

import (
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/practice"
)

// startPractice gives a practice that has set nothing a name and the zone, so
// that dates and hours are right from the first minute. It leaves alone
// whatever has been set.
func startPractice(db *store.DB, zone string) error {
	return db.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		if p.Name == "" && p.Zone == "" && p.Contacts.Phone == "" {
			p = practice.Usual(zone)
			if err := tx.Register().PutPractice(p); err != nil {
				return err
			}
		}
		var rota escalate.Rota
		if err := tx.Register().Setting("rota", &rota); err != nil || rota.Zone != "" || len(rota.Slots) > 0 || p.Zone == "" {
			return err
		}
		rota.Zone = p.Zone
		return tx.Register().SetSetting("rota", rota)
	})
}

// MachineZone returns the IANA name of this machine's zone: what the variable TZ
// holds, or where /etc/localtime leads; "UTC" when neither names a zone.
func MachineZone(tz string, readLink func(string) (string, error)) string {
	names := []string{strings.TrimPrefix(tz, ":")}
	if to, err := readLink("/etc/localtime"); err == nil {
		_, name, _ := strings.Cut(to, "zoneinfo/")
		names = append(names, name)
	}
	for _, name := range names {
		if _, err := civil.LoadZone(name); err == nil && name != "" && name != "Local" {
			return name
		}
	}
	return "UTC"
}
