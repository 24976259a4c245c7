package web_test

import (
	"errors"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// askedPush is a push service that answers as it is told.
type askedPush struct {
	noPush
	err error
}

func (p *askedPush) Test(register.Subscription) error { return p.err }

// An administrator tests whether a colleague's devices ring: what the push
// service took counts as shown only once the device says so itself, and one whose
// permission has ended is named and dropped.
func TestAColleaguesDevicesAreTested(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	push := &askedPush{}
	s.srv.Push = push
	const at = "/api/clinic/staff/k1/push"
	s.says("POST", at, "desk", "{}", 403, "")
	s.says("POST", "/api/clinic/staff/p1/push", "admin", "{}", 404, "no-such-staff") // of a family
	s.says("POST", at, "admin", "{}", 409, "no device with notifications on")
	s.update(func(tx *store.Tx) error {
		return errors.Join(tx.Access().PutSubscription("dk", register.Subscription{Endpoint: "https://push.example/1"}),
			tx.Register().ChangeDevice("dk", func(d *care.Device) { d.Name = "Front desk" }))
	})
	s.says("POST", at, "admin", "{}", 200, `{"sent":[{"device":"Front desk","why":""}]}`)
	tested := func() (sent, arrived bool) {
		list := decode[struct {
			Staff []struct {
				ID      string
				Devices []map[string]string
			}
		}](t, s.says("GET", "/api/clinic/staff", "admin", "", 200, ""))
		for _, p := range list.Staff {
			if p.ID == "k1" && len(p.Devices) == 1 {
				return p.Devices[0]["sent"] != "", p.Devices[0]["arrived"] != ""
			}
		}
		return false, false
	}
	if sent, arrived := tested(); !sent || arrived {
		t.Errorf("taken by the push service: sent %v, shown %v", sent, arrived)
	}
	s.says("POST", "/api/receipts", "desk", `{"tag":"test","event":"shown"}`, 200, "")
	if sent, arrived := tested(); !sent || !arrived {
		t.Errorf("shown by the device: sent %v, shown %v", sent, arrived)
	}
	push.err = errors.New("dial tcp: refused")
	s.says("POST", at, "admin", "{}", 200, "its push service did not take it")
	push.err = care.Errorf(care.Conflict, "subscription-gone", "gone")
	s.says("POST", at, "admin", "{}", 200, "permission for notifications has ended")
	s.says("POST", at, "admin", "{}", 409, "no device with notifications on")
}
