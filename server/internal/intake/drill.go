package intake

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/register"
)

// PrepareDrill makes a test report of the practice's family for drills, and notes
// who asked for it; who is empty for the program itself. Errors are [care.Error]:
// Conflict "drill-runs", and "alert-waits" while a red flag of a child is not taken.
func PrepareDrill(tx *store.Tx, who care.Person) (report json.RawMessage, err error) {
	if err := MayDrill(tx); err != nil {
		return nil, err
	}
	if err := DrillHousehold(tx); err != nil {
		return nil, err
	}
	if err := tx.Audit().Append(who.ID, "started drill", ""); err != nil {
		return nil, err
	}
	return drillReport(tx)
}

// Drill hands a test report in as a phone would: from here on everything goes its
// usual way.
func (in *Intake) Drill(report json.RawMessage, who care.Person) error {
	caller := register.Caller{
		Device: register.CallerDevice{ID: care.DrillDevice, Schema: care.Schema},
		Person: register.CallerPerson{ID: care.DrillPerson, Role: care.Parent, Family: care.DrillFamily},
	}
	reply, err := in.Sync(caller, Request{Schema: care.Schema, Entries: []json.RawMessage{report}})
	if err != nil {
		return err
	}
	if v := reply.Verdicts[0]; v.Verdict != "accepted" {
		return fmt.Errorf("drill: the report was %s: %s", v.Verdict, v.Message)
	}
	return in.DB.Write(func(tx *store.Tx) error { return nameDrill(tx, who) })
}

// MayDrill refuses a drill beside another one, or while a child waits.
func MayDrill(tx *store.Tx) error {
	live, err := tx.Duty().LiveAlerts()
	for _, a := range live {
		if a.Drill {
			return care.Errorf(care.Conflict, "drill-runs", "a drill is running: it ends when a clinician takes it")
		}
		if a.State == escalate.Open && a.Level.RedFlag() {
			return care.Errorf(care.Conflict, "alert-waits", "a real alert waits to be taken: no drill now")
		}
	}
	return err
}

// DrillHousehold makes the practice's family for drills, once.
func DrillHousehold(tx *store.Tx) error {
	if _, err := tx.Register().Family(care.DrillFamily); care.KindOf(err) != care.NotFound {
		return err
	}
	p, err := tx.Register().Practice()
	if err != nil {
		return err
	}
	return errors.Join(
		tx.Register().AddFamily(care.Family{ID: care.DrillFamily, Name: "Drill", Zone: zoneOr(p.Zone), Created: tx.Now}),
		tx.Register().AddWearer(care.Wearer{ID: care.DrillWearer, Family: care.DrillFamily, Name: "Drill (nobody is ill)", Code: "DRILL"}),
		tx.Register().AddPerson(care.Person{ID: care.DrillPerson, Family: care.DrillFamily, Name: "The practice", Role: care.Parent}),
		tx.Register().AddDevice(care.Device{ID: care.DrillDevice, Family: care.DrillFamily, Person: care.DrillPerson, Name: "Nightkeep itself",
			Created: tx.Now, LastSeen: tx.Now, Schema: care.Schema, Rules: alerts.Default().Version}),
	)
}

func zoneOr(zone string) string {
	if _, err := civil.LoadZone(zone); err != nil || zone == "" {
		return "UTC"
	}
	return zone
}

// drillReport is a report of mild redness, which is an urgent alert, with every
// other question answered.
func drillReport(tx *store.Tx) (json.RawMessage, error) {
	f, err := tx.Register().Family(care.DrillFamily)
	if err != nil {
		return nil, err
	}
	loc, err := civil.LoadZone(f.Zone)
	if err != nil {
		return nil, err
	}
	eye := map[string]string{}
	for sign, answers := range alerts.Default().Answers(alerts.OfEye) {
		eye[sign] = answers[0] // the harmless one
	}
	eye["redness"] = "mild"
	now := tx.Now.In(loc)
	_, offset := now.Zone()
	return json.Marshal(map[string]any{
		"id": log.NewEntryID(tx.Now), "wearer": care.DrillWearer, "device": care.DrillDevice, "author": care.DrillPerson,
		"dseq": tx.Log().Watermark(care.DrillFamily, care.DrillDevice) + 1, "kind": care.Symptoms, "night": civil.NightOf(tx.Now, loc),
		"wall": now.Format("2006-01-02T15:04:05"), "zone": f.Zone, "offset": offset / 60, "hlc": fmt.Sprintf("%013d-0000", tx.Now.UnixMilli()), "v": care.Schema,
		"body": map[string]any{"right": eye, "other": "usual", "ill": "no", "now": "none", "water": "no", "note": "This is a drill. Nobody is ill."},
	})
}

// nameDrill notes on the drill that runs who started it.
func nameDrill(tx *store.Tx, who care.Person) error {
	all, err := tx.Duty().WearerAlerts(care.DrillWearer)
	i := slices.IndexFunc(all, func(a escalate.Alert) bool { return a.Live() })
	if err != nil || i < 0 {
		return err // taken within the same second
	}
	e := escalate.Event{Kind: escalate.Comment, By: who.ID, Name: who.Name, Role: who.Role, Text: "started this drill"}
	if who.ID == "" {
		return nil
	}
	_, err = dispatch.Apply(tx, escalate.Rules{}, all[i], e)
	return err
}

// DrillTaken ends the stops that drills left on the phones of the practice's family for
// drills: nobody is ill, and a year of drills is no list of stops.
func DrillTaken(tx *store.Tx, who care.Person) error {
	causes := CausesOf(WearNow(tx, care.DrillWearer))
	w, err := tx.Register().Wearer(care.DrillWearer)
	if err != nil || len(causes) == 0 {
		return err
	}
	body, err := json.Marshal(map[string]any{"eyes": "both", "answers": causes, "from": Tonight(tx, w.ID),
		"basis": "in-error", "text": "It was a drill, and " + who.Name + " has taken it."})
	if err != nil {
		return err
	}
	e, err := newEntry(tx, who, w, Draft{Kind: care.Resume, Body: body}, 0)
	if err != nil {
		return err
	}
	return errors.Join(e.CheckBody(), tx.Log().AppendFromPractice(w.Family, e))
}

// Drills returns every drill, the newest first. One that runs has a next step.
func Drills(tx *store.Tx) ([]escalate.Alert, error) {
	all, err := tx.Duty().WearerAlerts(care.DrillWearer)
	all = slices.DeleteFunc(all, func(a escalate.Alert) bool { return !a.Drill })
	slices.SortFunc(all, func(a, b escalate.Alert) int {
		return cmp.Or(b.Opened.Compare(a.Opened), b.NextStepAt.Compare(a.NextStepAt))
	})
	return all, err
}
