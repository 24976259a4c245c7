// Package demo plays the invented scenario of testdata/demo into a running
// server through the same HTTP routes a phone uses: invitations, joining,
// batches of entries, and a clinician's answers. Nothing it makes is ever an
// expected value in a test.
//
// The server's clock is turned to each day while it is played, so that what
// was written in the morning was also received that morning.
package demo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"slices"
	"sync/atomic"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/retention"
	data "nightkeep/testdata/demo"
)

// Clock is the server's clock during the demo: real time, moved.
type Clock struct{ offset atomic.Int64 }

// Now returns real time plus the offset.
func (c *Clock) Now() time.Time { return time.Now().Add(time.Duration(c.offset.Load())) }

// Set makes Now return t at this moment.
func (c *Clock) Set(t time.Time) { c.offset.Store(int64(time.Until(t))) }

// Scenario is the parsed scenario.
type Scenario struct {
	Practice care.Practice  `json:"practice"`
	Staff    []care.Person  `json:"staff"`
	Former   formerFamily   `json:"former"`
	Keep     retention.Rule `json:"keep"`
	Rota     escalate.Rota  `json:"rota"`
	Wearers  []Wearer       `json:"-"`
}

// Load reads the embedded scenario.
func Load() (Scenario, error) {
	var s Scenario
	raw, err := data.Files.ReadFile("practice.json")
	if err != nil {
		return s, err
	}
	if err := json.Unmarshal(raw, &s); err != nil {
		return s, fmt.Errorf("demo: practice.json: %w", err)
	}
	names, err := fs.Glob(data.Files, "wearers/*.json")
	if err != nil {
		return s, err
	}
	for _, name := range names {
		raw, err := data.Files.ReadFile(name)
		if err != nil {
			return s, err
		}
		var w Wearer
		dec := json.NewDecoder(bytes.NewReader(raw))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&w); err != nil {
			return s, fmt.Errorf("demo: %s: %w", name, err)
		}
		s.Wearers = append(s.Wearers, w)
	}
	return s, nil
}

// more gives the family of the parent's link n more children, who live as the
// youngest does.
func (s *Scenario) more(n int) {
	i := slices.IndexFunc(s.Wearers, func(w Wearer) bool { return w.Code == youngest })
	for k := range n {
		w := s.Wearers[i]
		w.Code, w.Name = fmt.Sprintf("W-08%02d", k), fmt.Sprintf("Brother %d", k+3)
		s.Wearers = append(s.Wearers, w)
	}
}

// phone is one device of the scenario, as an HTTP client.
type phone struct {
	base   string
	http   *http.Client
	device care.DeviceID
	person care.PersonID
	dseq   uint64
	epoch  string
	cursor uint64
	count  int
}

func newPhone(base string) (*phone, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	return &phone{base: base, http: &http.Client{Jar: jar, Timeout: 10 * time.Second}}, nil
}

// call sends JSON and decodes the reply, which must be 200.
func (p *phone) call(method, path string, in, out any) error {
	var body io.Reader
	if in != nil {
		raw, err := json.Marshal(in)
		if err != nil {
			return err
		}
		body = bytes.NewReader(raw)
	}
	req, err := http.NewRequest(method, p.base+path, body)
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := p.http.Do(req)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		return err
	}
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("demo: %s %s: %s: %s", method, path, res.Status, raw)
	}
	if out == nil {
		return nil
	}
	return json.Unmarshal(raw, out)
}

// seat returns the bearer token the server gave this phone.
func (p *phone) seat() Seat {
	u, err := url.Parse(p.base)
	if err != nil {
		return Seat{}
	}
	for _, c := range p.http.Jar.Cookies(u) {
		if c.Name == "nightkeep_device" {
			return Seat{c.Value, p.device}
		}
	}
	return Seat{}
}

// signIn puts a staff token into the cookie jar.
func (p *phone) signIn(token string) error {
	u, err := url.Parse(p.base)
	if err != nil {
		return err
	}
	p.http.Jar.SetCookies(u, []*http.Cookie{{Name: "nightkeep_staff", Value: token, Path: "/"}})
	return nil
}
