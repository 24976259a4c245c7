package web_test

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// whole returns an answer byte by byte, without the instant it was given at.
func (s *site) whole(method, path, cookie, body string) string {
	s.t.Helper()
	req := httptest.NewRequest(method, path, strings.NewReader(body))
	req.Header.Set("Content-Type", "application/json")
	if cookie != "" {
		req.Header.Set("Cookie", cookie)
	}
	res := s.do(req)
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	lines := []string{}
	for name, values := range res.Header {
		if name != "Date" {
			lines = append(lines, fmt.Sprint(name, ": ", values))
		}
	}
	slices.Sort(lines)
	return res.Status + "\n" + strings.Join(lines, "\n") + "\n\n" + string(raw)
}

// Whoever guesses a secret learns nothing from the answer: one that never was,
// that was used, withdrawn, has run out, or belongs to somebody who left or to
// the other side of the house is refused in the same bytes, status, headers and
// body (OWASP ASVS 4.0, 2.2.1 and 7.4.1).
func TestGuessesLearnNothing(t *testing.T) {
	t.Parallel()
	hour := time.Hour
	codes := func(tx *store.Tx, mine, others care.PersonID) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "pg", Family: "f1", Name: "Gone", Role: care.Parent, Gone: true}),
			tx.Register().AddPerson(care.Person{ID: "kg", Name: "Gone", Role: care.Desk, Gone: true}),
			tx.Access().Invite("USED", register.Invitation{Person: mine, By: "c1", Created: tx.Now, Expires: tx.Now.Add(hour), Used: tx.Now}),
			tx.Access().Invite("WITHDRAWN", register.Invitation{Person: mine, By: "c1", Created: tx.Now, Expires: tx.Now.Add(hour), Revoked: true}),
			tx.Access().Invite("RUNOUT", register.Invitation{Person: mine, By: "c1", Created: tx.Now, Expires: tx.Now.Add(-hour)}),
			tx.Access().Invite("OTHERS", register.Invitation{Person: others, By: "c1", Created: tx.Now, Expires: tx.Now.Add(hour)}),
			tx.Access().Invite("LEFT", register.Invitation{Person: "pg", By: "c1", Created: tx.Now, Expires: tx.Now.Add(hour)}),
			tx.Access().Invite("LEFTSTAFF", register.Invitation{Person: "kg", By: "c1", Created: tx.Now, Expires: tx.Now.Add(hour)}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	}
	badCodes := []string{"NEVERWAS", "USED", "WITHDRAWN", "RUNOUT", "OTHERS", "LEFT", "LEFTSTAFF"}
	tokens := func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "pg", Family: "f1", Name: "Gone", Role: care.Parent, Gone: true}),
			tx.Register().AddPerson(care.Person{ID: "kg", Name: "Gone", Role: care.Desk, Gone: true}),
			tx.Register().AddDevice(care.Device{ID: "dpg", Family: "f1", Person: "pg", Created: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "dkg", Person: "kg", Created: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "dkr", Person: "k1", Created: tx.Now, Revoked: true}),
			tx.Access().AddCredential("left", register.Credential{Device: "dpg", Created: tx.Now}),
			tx.Access().AddCredential("left-staff", register.Credential{Device: "dkg", Created: tx.Now, Expires: tx.Now.Add(hour), Seen: tx.Now}),
			tx.Access().AddCredential("ended", register.Credential{Device: "dkr", Created: tx.Now, Expires: tx.Now.Add(hour), Seen: tx.Now}),
			tx.Access().AddCredential("nowhere", register.Credential{Device: "dx", Created: tx.Now}),
			tx.Access().AddCredential("", register.Credential{Device: "dc", Created: tx.Now}), // opens nothing, whatever is stored
		} {
			if err != nil {
				return err
			}
		}
		return nil
	}
	for _, tc := range []struct {
		name    string
		prepare func(*store.Tx) error
		secrets []string // the first is one that never was
		try     func(s *site, secret string) string
		want    string
	}{
		{"join code", func(tx *store.Tx) error { return codes(tx, "p1", "k1") }, badCodes, func(s *site, secret string) string {
			return s.whole("POST", "/api/join", "", `{"code":"`+secret+`","device_name":"Phone","consent":"2"}`)
		}, "bad-invitation"},
		{"staff link", func(tx *store.Tx) error { return codes(tx, "k1", "p1") }, badCodes, func(s *site, secret string) string {
			return s.whole("POST", "/api/clinic/sign-in", "", `{"code":"`+secret+`"}`)
		}, "bad-invitation"},
		{"device", tokens, []string{"never-was", "", "revoked", "left", "nowhere"}, func(s *site, secret string) string {
			return s.whole("GET", "/api/family", "nightkeep_device="+secret, "")
		}, "no-credential"},
		{"session", tokens, []string{"never-was", "", "expired", "ended", "left-staff", "nowhere"}, func(s *site, secret string) string {
			return s.whole("GET", "/api/clinic/wearers", "nightkeep_staff="+secret, "")
		}, "no-credential"},
		{"calendar", func(tx *store.Tx) error {
			for _, secret := range []string{"replaced", "ended"} {
				if err := tx.Access().SetCalendar(secret, register.Calendar{Family: "f1", By: "p1", Created: tx.Now}); err != nil {
					return err
				}
			}
			return tx.Access().DropCalendar("f1")
		}, []string{"never-was", "replaced", "ended"}, func(s *site, secret string) string {
			return s.whole("GET", "/calendar/"+secret+".ics", "", "")
		}, "no-such-calendar"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.update(tc.prepare)
			never := tc.try(s, tc.secrets[0])
			if !strings.Contains(never, tc.want) {
				t.Fatalf("one that never was: %s; want %s", never, tc.want)
			}
			for _, secret := range tc.secrets[1:] {
				if got := tc.try(s, secret); got != never {
					t.Errorf("%q is answered\n%s\none that never was\n%s", secret, got, never)
				}
			}
		})
	}
}

// A link of the staff makes no device of a family: what such a device holds
// never ends, and sessions of the staff must. The link stays good for what it is
// for, as does a family's code that was tried at the console.
func TestCodesOpenOneDoorOnly(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.update(func(tx *store.Tx) error {
		return tx.Access().Invite("LINK", register.Invitation{Person: "k1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)})
	})
	s.says("POST", "/api/join", "", `{"code":"LINK","device_name":"Phone","consent":"2"}`, http.StatusUnprocessableEntity, "bad-invitation")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"CODE"}`, http.StatusUnprocessableEntity, "bad-invitation")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"LINK"}`, http.StatusOK, "")
	s.says("POST", "/api/join", "", `{"code":"CODE","device_name":"Phone","consent":"2"}`, http.StatusOK, `"p1"`)
}

// A session is kept awake under the token it was known by: whoever sends it in
// the other cookie, with words of their own in its place, makes no second token
// of these that would outlive the sign-out.
func TestNobodyChoosesAToken(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.update(func(tx *store.Tx) error {
		return tx.Access().AddCredential("desk", register.Credential{Device: "dk", Created: tx.Now, Expires: tx.Now.Add(time.Hour), Seen: tx.Now.Add(-5 * time.Minute)})
	})
	const both = "nightkeep_device=desk; nightkeep_staff=my-own-words"
	if got := s.whole("DELETE", "/api/push/subscription", both, ""); !strings.HasPrefix(got, "200") {
		t.Fatalf("answered %s", got)
	}
	s.says("GET", "/api/clinic/me", "my-own-words", "", http.StatusUnauthorized, "no-credential")
	s.says("GET", "/api/clinic/me", "desk", "", http.StatusOK, "")
}

// Whoever has a lost phone cannot come back with a code made on it before it was
// taken out of use, by the family or by the practice.
func TestRevokedDeviceLeavesNoCode(t *testing.T) {
	t.Parallel()
	for who, at := range map[string]string{"family": "/api/devices/dt", "desk": "/api/clinic/devices/dt"} {
		s := newSite(t)
		s.teens()
		made := decode[struct{ Code string }](t, s.says("POST", "/api/devices/invitation", "teen", "{}", http.StatusOK, ""))
		others := decode[struct{ Code string }](t, s.says("POST", "/api/devices/invitation", "family", "{}", http.StatusOK, ""))
		s.says("DELETE", at, who, "", http.StatusOK, "")
		s.says("POST", "/api/join", "", `{"code":"`+made.Code+`","device_name":"Phone","consent":"2"}`, http.StatusUnprocessableEntity, "bad-invitation")
		s.says("POST", "/api/join", "", `{"code":"`+others.Code+`","device_name":"Phone","consent":"2"}`, http.StatusOK, `"p1"`)
	}
}

// Whoever is refused for trying too often is told when to come back: a window of a minute
// for joining, signing in and challenges, of an hour for codes, both of our choice.
func TestWhoeverTriesTooOftenIsToldWhenToComeBack(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		path, who, body string
		most            time.Duration
	}{
		{"/api/join", "", `{"code":"x","device_name":"Phone","consent":"2"}`, time.Minute},
		{"/api/clinic/sign-in", "", `{"code":"x"}`, time.Minute},
		{"/api/clinic/passkey/challenge", "", `{}`, time.Minute},
		{"/api/devices/invitation", "family", `{}`, time.Hour},
	} {
		s := newSite(t)
		now := simNow
		s.srv.Now = func() time.Time { return now }
		refused := func() (status int, wait time.Duration) {
			req := httptest.NewRequest("POST", c.path, strings.NewReader(c.body))
			req.Header.Set("Content-Type", "application/json")
			if c.who != "" {
				req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: c.who})
			}
			res := s.do(req)
			res.Body.Close()
			seconds, _ := strconv.Atoi(res.Header.Get("Retry-After"))
			return res.StatusCode, time.Duration(seconds) * time.Second
		}
		status, wait := 0, time.Duration(0)
		for range 61 {
			if status, wait = refused(); status == http.StatusTooManyRequests {
				break
			}
		}
		if status != http.StatusTooManyRequests || wait != c.most {
			t.Errorf("%s: %d, come back after %s; want 429 and %s", c.path, status, wait, c.most)
		}
		now = now.Add(wait)
		if status, _ := refused(); status == http.StatusTooManyRequests {
			t.Errorf("%s: refused still when the time is over", c.path)
		}
	}
}

// A path is served as it is written, so that a proxy's rule about it is one about all of
// its requests.
func TestPathsAreServedAsTheyAreWritten(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")
	for _, path := range []string{"/API/clinic/alerts", "/api/Clinic/alerts", "/Healthz", "/Calendar/x", "/CLINIC"} {
		if status, _ := s.call("GET", path, "clinician", ""); status != 404 {
			t.Errorf("%s: %d, want 404", path, status)
		}
	}
}
