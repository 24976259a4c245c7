package register

import (
	"encoding/json"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// PlanRecord is one version of a wearer's care plan, as schedule.Plan writes it.
type PlanRecord struct {
	Version int             `json:"version"`
	By      care.PersonID   `json:"by"`
	At      time.Time       `json:"at"`
	Plan    json.RawMessage `json:"plan"`
}

var plans = pairs.Table[PlanRecord]{Name: "plans"}

// PutPlan stores a new version of a wearer's plan and returns its number.
func (tx *Chart) PutPlan(w care.WearerID, by care.PersonID, plan json.RawMessage) (PlanRecord, error) {
	have, err := tx.Plans(w)
	if err != nil {
		return PlanRecord{}, err
	}
	r := PlanRecord{len(have) + 1, by, tx.p.Now, plan}
	return r, plans.Put(tx.p, pairs.Key(string(w), uint64(r.Version)), r)
}

// Plans returns every version of a wearer's plan, oldest first.
func (tx *Chart) Plans(w care.WearerID) ([]PlanRecord, error) {
	return plans.List(tx.p, pairs.Key(string(w), ""))
}

// Plan returns the plan in force, or a not-found error.
func (tx *Chart) Plan(w care.WearerID) (r PlanRecord, err error) {
	raw := tx.newestPlan(w)
	if raw == nil {
		return r, care.Errorf(care.NotFound, "no-plan", "this wearer has no plan yet")
	}
	err = json.Unmarshal(raw, &r)
	return r, err
}

// PlanInForce returns the plan in force, without who made it and when; the zero
// plan when there is none. Its slices must not be changed.
func (tx *Chart) PlanInForce(w care.WearerID) (schedule.Plan, error) {
	raw := tx.newestPlan(w)
	if raw == nil {
		return schedule.Plan{}, nil
	}
	return pairs.Cached(tx.p, plans.Name, raw, func() (schedule.Plan, error) {
		var v struct {
			Plan schedule.Plan `json:"plan"`
		}
		err := json.Unmarshal(raw, &v)
		return v.Plan, err
	})
}

func (tx *Chart) newestPlan(w care.WearerID) []byte {
	// The first key after the wearer's is a stranger; the one before it counts.
	k, raw := tx.p.Last(plans.Name, append([]byte(w), pairs.Sep+1))
	if k == nil || !pairs.HasPrefix(k, pairs.Key(string(w), "")) {
		return nil
	}
	return raw
}

// FollowUp records what somebody did about a reason to call.
type FollowUp struct {
	Reason  string        `json:"reason"` // the rule that listed it
	By      care.PersonID `json:"by"`
	At      time.Time     `json:"at"`
	Outcome string        `json:"outcome"`
	Note    string        `json:"note,omitempty"`
	Until   civil.Date    `json:"until"` // the reason is not listed again before
}

var followups = pairs.Table[FollowUp]{Name: "followups"}

// PutFollowUp stores the newest follow-up of a reason.
func (tx *Chart) PutFollowUp(w care.WearerID, f FollowUp) error {
	return followups.Put(tx.p, pairs.Key(string(w), f.Reason), f)
}

// FollowUps returns the newest follow-up of each reason for a wearer.
func (tx *Chart) FollowUps(w care.WearerID) ([]FollowUp, error) {
	return followups.List(tx.p, pairs.Key(string(w), ""))
}
