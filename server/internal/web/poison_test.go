package web_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
)

// poisonCases is how many random entries the property below is held against:
// NIGHTKEEP_POISON, or a share that fits into every run.
func poisonCases(t *testing.T) (cases int, seed uint64) {
	cases, seed = 3000, 18
	for name, to := range map[string]func(uint64){
		"NIGHTKEEP_POISON": func(n uint64) { cases = int(n) }, "NIGHTKEEP_SEED": func(n uint64) { seed = n },
	} {
		if text := os.Getenv(name); text != "" {
			n, err := strconv.ParseUint(text, 10, 32)
			if err != nil {
				t.Fatalf("%s=%s: want a number", name, text)
			}
			to(n)
		}
	}
	return cases, seed
}

// No entry can poison the practice: whatever the values of its members,
// "accepted" means that every reader reads it, and what is not accepted changes
// nothing for the entries beside it. Each practice takes some hundreds of random
// and extreme entries of every kind, and then everything that reads is asked.
func TestNoEntryPoisonsThePractice(t *testing.T) {
	t.Parallel()
	cases, seed := poisonCases(t)
	const each = 300
	kinds := map[string]int{}
	for n := range (cases + each - 1) / each {
		p := &poisoner{t: t, r: rand.New(rand.NewPCG(seed, uint64(n))), accepted: map[string]bool{}, kinds: kinds}
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			p.t = t
			p.practice(each)
		})
		if t.Failed() {
			t.Fatalf("NIGHTKEEP_SEED=%d, practice %d", seed, n)
		}
	}
	for _, k := range care.Kinds(care.Schema) {
		if kinds[string(k)] == 0 && !k.Clinical() { // those no phone may send
			t.Errorf("no entry of the kind %s was accepted: the cases say nothing about it", k)
		}
	}
}

// poisoner makes entries.
type poisoner struct {
	t        *testing.T
	r        *rand.Rand
	site     *site
	dseq     int
	ids      []string
	accepted map[string]bool
	kinds    map[string]int
}

func (p *poisoner) practice(n int) {
	t := p.t
	s := newSite(t)
	p.site = s
	s.srv.DB.NoSync(true)
	restored := p.r.IntN(2) == 0
	s.update(func(tx *store.Tx) error {
		if err := tx.Register().AddDevice(care.Device{ID: "d2", Family: "f1", Person: "p1", Created: tx.Now}); err != nil || !restored {
			return err
		}
		return tx.Log().NewEpoch()
	})
	s.planned()
	for done := 0; done < n; {
		batch := min(1+p.r.IntN(12), n-done)
		p.send(batch)
		done += batch
	}
	p.readAll()
}

// send sends random entries with a good one among them.
func (p *poisoner) send(n int) {
	t := p.t
	var entries, ids []string
	good := p.r.IntN(n + 1)
	for i := range n + 1 {
		raw, id := p.entry(i != good)
		if json.Valid([]byte(raw)) {
			entries, ids = append(entries, raw), append(ids, id)
		}
		if i == good {
			good = len(entries) - 1
		}
	}
	now := p.one(`"2026-03-28T21:00:00Z"`, `"9999-12-31T23:59:59Z"`, `"0000-01-01T00:00:00Z"`, `"x"`, `""`)
	body := `{"epoch":"","cursor":0,"entries":[` + strings.Join(entries, ",") + `],"now":` + now + `}`
	status, raw := p.site.call("POST", "/api/sync", "family", body)
	var reply struct {
		Verdicts []intake.Verdict
		Alerts   []intake.FamilyAlert
	}
	if err := json.Unmarshal([]byte(raw), &reply); err != nil || status != 200 || len(reply.Verdicts) != len(entries) {
		t.Fatalf("status %d, %v, %.400s\nfor %s", status, err, raw, body)
	}
	for i, v := range reply.Verdicts {
		switch v.Verdict {
		case "accepted":
			p.accepted[v.ID] = true
			var e struct{ Kind string }
			_ = json.Unmarshal([]byte(entries[i]), &e)
			p.kinds[e.Kind]++
			if strings.Contains(entries[i], `"pain":"severe"`) && len(reply.Alerts) == 0 {
				t.Fatalf("severe pain was accepted and raised nothing: %s", entries[i])
			}
		case "held":
			if v.Code != "newer-schema" {
				t.Fatalf("the server failed on an entry: %+v\n%s", v, entries[i])
			}
		}
		if i == good && v.Verdict != "accepted" {
			t.Fatalf("a good entry beside others: %+v\n%s", v, entries[i])
		}
	}
	p.ids = append(p.ids, ids...)
}

// planned gives the wearer the usual plan.
func (s *site) planned() {
	s.t.Helper()
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", string(s.usual()), 200, "")
}

// usual is the plan the console offers for a first one.
func (s *site) usual() []byte {
	s.t.Helper()
	usual := decode[struct{ Usual map[string]any }](s.t, s.says("GET", "/api/clinic/wearers/w1/plan", "clinician", "", 200, "")).Usual
	usual["first_night"], usual["why"] = "2026-03-01", "start"
	raw, err := json.Marshal(usual)
	if err != nil {
		s.t.Fatal(err)
	}
	return raw
}

// known is the id of an entry sent before.
func (p *poisoner) known() string {
	if len(p.ids) == 0 {
		return "01900000-0000-7000-8000-000000000001"
	}
	return p.one(p.ids...)
}

// one picks a value.
func (p *poisoner) one(list ...string) string { return list[p.r.IntN(len(list))] }

func (p *poisoner) extreme() string {
	return p.one(`0`, `-1`, `1`, `-0`, `9007199254740991`, `9007199254740992`, `9223372036854775807`, `9223372036854775808`, `18446744073709551615`,
		`-9223372036854775808`, `1e3`, `1.0`, `0.1`, `1e400`, `-1e400`, `1e-400`, `123456789012345678901234567890`, `null`, `true`, `false`, `""`, `" "`, `"\u0000"`,
		`"\ud800"`, `"`+strings.Repeat("é", 300)+`"`, `"=1+1"`, `"a\nb,\"c"`, `"<script>"`, `[]`, `[1]`, `[[[[]]]]`, `{}`, `{"a":{"b":[{}]}}`, `"right"`, `"both"`, `"2026-03-28"`,
		`"0000-01-01"`, `"0001-01-01"`, `"9999-12-31"`, `"1900-01-01"`, `"2199-12-31"`, `"2026-02-30"`, `"23:59"`, `"24:00"`, `"9999-12-31T23:59:59Z"`, `"0000-01-01T00:00:00+23:59"`,
		`"2026-03-28T1:00:00Z"`, `"2026-03-28T21:00:00,5Z"`, `"1900-01-01T00:00:00Z"`, `"2199-12-31T23:59:59Z"`, `"00000000-0000-0000-0000-000000000000"`, `"ffffffff-ffff-ffff-ffff-ffffffffffff"`,
		`"Local"`, `"../../etc/passwd"`, `"UTC"`, `"Nowhere/Land"`, strings.Repeat("[", 20)+strings.Repeat("]", 20), strings.Repeat("[", 200)+strings.Repeat("]", 200))
}

// body returns a body of a kind with common values.
func (p *poisoner) body(kind string) []string {
	clock := `"` + fmt.Sprintf("%02d:%02d", p.r.IntN(24), p.r.IntN(60)) + `"`
	eyes := `"eyes":` + p.one(`"both"`, `"right"`, `"left"`)
	switch kind {
	case "insertion", "removal":
		return []string{`"at":` + clock, eyes}
	case "not-worn":
		return []string{`"reason":` + p.one(`"forgot"`, `"sore-eye"`), eyes}
	case "care":
		return []string{`"rub":true`, `"rinse":` + p.one(`"solution"`, `"tap-water"`), `"tap_water":` + p.one("true", "false"), `"closed_at":` + clock}
	case "morning":
		return []string{`"moved":` + p.one(`"freely"`, `"stuck"`), `"comfort":` + p.one("0", "4"), `"redness":` + p.one("0", "3")}
	case "evening-sight":
		return []string{`"rating":` + p.one("1", "5"), `"hours_since_removal":` + p.one("0", "12.5", "1e1", "24"), `"halos":` + p.one(`"none"`, `"troublesome"`)}
	case "acuity-run":
		return []string{`"eye":"right"`, `"distance_m":3`, `"px_per_mm":5.5`, `"trials":[[0.3,1],[0.2,1],[-1,0],[2,1]]`}
	case "symptoms":
		return []string{`"right":{"pain":` + p.one(`"severe"`, `"none"`) + p.one(``, `,"glow":`+p.extreme(), `,"PAIN":`+p.extreme()) + `}`, `"left":{}`, `"began":` + p.one(`"2026-03-28T20:00:00Z"`, `"1900-01-01T00:00:00Z"`, `"2199-12-31T23:59:59-12:00"`)}
	case "supply":
		return []string{`"item":` + p.one(`"case"`, `"lens"`, `"solution"`), `"action":` + p.one(`"started"`, `"discarded"`), `"on":` + p.one(`"2026-03-01"`, `"1900-01-01"`, `"2199-12-31"`), `"discard_after_days":` + p.one("1", "730")}
	case "note":
		return []string{`"text":` + p.one(`"a"`, `"=1+1"`, `"\ud800\u0000"`, `"a\r\nb,c"`)}
	case "plan-ack":
		return []string{`"plan":` + p.one("1", "1000000")}
	case "pause":
		return []string{`"reason":"away"`, `"to":"2026-03-30"`}
	case "snooze":
		return []string{`"until":` + clock}
	case "reply":
		return []string{`"text":"a"`, `"to":"` + p.known() + `"`}
	case "read":
		return []string{`"of":"` + p.known() + `"`}
	case "learnt":
		return []string{`"skill":` + p.one(`"hands"`, `"in"`), `"done":` + p.one("true", "false")}
	case "check-open", "cease":
		return []string{eyes}
	case "elsewhere":
		return []string{`"on":"2026-03-28"`, `"who":"a"`, `"said":"b"`, eyes}
	}
	return []string{`"reason":"x"`}
}

// entry returns an entry and its id; a wild one with members changed.
func (p *poisoner) entry(wild bool) (raw, id string) {
	p.dseq++
	id = fmt.Sprintf("0199%04x-%04x-7000-8000-%012x", p.r.IntN(1<<16), p.r.IntN(1<<16), p.r.Int64N(1<<47))
	all := care.Kinds(care.Schema)
	kind := string(all[p.r.IntN(len(all))])
	if !wild {
		kind = "note"
	}
	body, v := p.body(kind), "1"
	switch kind {
	case "pause", "snooze":
		v = "2"
	case "reply", "read", "check-open", "elsewhere", "cease", "resume", "wear-start", "word", "visit", "taught", "learnt":
		v = "3"
	}
	if wild {
		for range p.r.IntN(3) {
			switch i := p.r.IntN(len(body) + 1); {
			case p.r.IntN(2) == 0 || i == len(body):
				body = append(body, `"`+p.one("x", "At", "EYES", "Text", "RIGHT", "Began", "fseq", "id", "on", "note", "began", "ill", "spectacles", "slept_minutes", "told", "judged", "mac", "ends", "despite", "was")+`":`+p.extreme())
			default:
				name, _, _ := strings.Cut(body[i], ":")
				body[i] = name + ":" + p.extreme()
			}
		}
	}
	envelope := []string{
		`"id":"` + id + `"`, `"wearer":"w1"`, `"device":"d1"`, `"dseq":` + fmt.Sprint(p.dseq), `"author":"p1"`, `"kind":"` + kind + `"`,
		`"night":"` + p.one("2026-03-28", "2026-03-27", "2026-03-15") + `"`, `"wall":"2026-03-28T21:40:00"`, `"zone":"Europe/Lisbon"`, `"offset":0`, `"hlc":"1774734000000-0000"`, `"v":` + v,
	}
	if kind == "retraction" {
		target := id
		if len(p.ids) > 0 {
			target = p.one(p.ids...)
		}
		envelope = append(envelope, `"retracts":"`+target+`"`)
	}
	envelope = append(envelope, `"body":{`+strings.Join(body, ",")+`}`)
	if wild {
		envelope = p.mutate(envelope)
	}
	return "{" + strings.Join(envelope, ",") + "}", id
}

func (p *poisoner) mutate(envelope []string) []string {
	for range p.r.IntN(3) {
		switch p.r.IntN(4) {
		case 0: // a member the server fills in, or none that it knows
			envelope = append(envelope, `"`+p.one("fseq", "recv", "skew_ms", "via", "first_recv", "glow", "Night", "FSEQ", "unreadable")+`":`+p.extreme())
		case 1: // corrections
			if len(p.ids) > 0 {
				envelope = append(envelope, `"supersedes":["`+p.one(p.ids...)+`"]`)
			}
		case 2: // an id that is taken, or the device of another
			if len(p.ids) > 0 {
				envelope[0] = `"id":"` + p.one(p.ids...) + `"`
			}
			if p.r.IntN(2) == 0 {
				envelope[2] = `"device":"d2"`
				envelope = append(envelope, `"recv":`+p.one(`"2026-03-01T00:00:00Z"`, `"0000-01-01T00:00:00+23:59"`, `"1900-01-01T00:00:00Z"`, `"9999-12-31T23:59:59Z"`))
			}
		default:
			i := p.r.IntN(len(envelope))
			name, _, _ := strings.Cut(envelope[i], ":")
			envelope[i] = name + ":" + p.extreme()
		}
	}
	return envelope
}

// readAll asks everything that reads.
func (p *poisoner) readAll() {
	t, s := p.t, p.site
	p.readLog()
	s.confirmed("clinician", "dc")
	s.confirmed("admin", "da")
	for _, path := range []string{
		"/api/family", "/api/clinic/me", "/api/clinic/alerts", "/api/clinic/today", "/api/clinic/wearers", "/api/clinic/wearers?filter=silent", "/api/clinic/wearers?sort=worn",
		"/api/clinic/wearers/w1/review", "/api/clinic/wearers/w1/review?from=2026-01-01&to=2026-03-28", "/api/clinic/wearers/w1/plan", "/api/clinic/wearers/w1/visits", "/api/clinic/wearers/w1/fhir",
		"/api/clinic/recalls", "/api/clinic/recalls.csv", "/api/clinic/export.csv", "/api/clinic/practice", "/api/clinic/families/f1", "/api/clinic/families/f1/export", "/api/clinic/rules",
	} {
		token := "clinician"
		if path == "/api/family" {
			token = "family"
		}
		status, raw := s.call("GET", path, token, "")
		if status != 200 {
			t.Fatalf("%s: status %d, %.300s", path, status, raw)
		}
		p.wellFormed(path, raw)
	}
	for _, path := range []string{"/api/clinic/audit", "/api/clinic/retention"} {
		if status, raw := s.call("GET", path, "admin", ""); status != 200 {
			t.Fatalf("%s: status %d, %.300s", path, status, raw)
		}
	}
	db := s.srv.DB
	if err := db.View(func(tx *store.Tx) error { _, err := intake.Findings(tx, "w1"); return err }); err != nil {
		t.Fatalf("rules about the record: %v", err)
	}
	if _, err := s.srv.Intake.ReadHeld(); err != nil {
		t.Fatalf("what is held, as at a start: %v", err)
	}
	p.backedUp("full")
	if bad := db.Unreadable(); len(bad) > 0 {
		t.Fatalf("cannot be read: %v", bad)
	}
	s.closeAll() // nothing is erased while an alert is open
	if status, raw := s.call("DELETE", "/api/clinic/families/f1", "admin", ""); status != 200 {
		t.Fatalf("erasing: status %d, %.300s", status, raw)
	}
	p.backedUp("erased")
}

// wellFormed reads an answer with the standard library's own readers.
func (p *poisoner) wellFormed(path, raw string) {
	var err error
	switch {
	case strings.HasSuffix(path, ".csv"):
		_, err = csv.NewReader(strings.NewReader(raw)).ReadAll()
	case strings.HasSuffix(path, "export"):
		_, err = zip.NewReader(strings.NewReader(raw), int64(len(raw)))
	default:
		d := json.NewDecoder(strings.NewReader(raw))
		d.UseNumber()
		var v any
		err = d.Decode(&v)
	}
	if err != nil {
		p.t.Fatalf("%s: %v, %.300s", path, err, raw)
	}
}

func (p *poisoner) backedUp(name string) {
	file := filepath.Join(p.t.TempDir(), name+".db")
	if err := p.site.srv.DB.Backup(file); err != nil {
		p.t.Fatalf("backup: %v", err)
	}
	if faults, err := store.CheckFile(file); err != nil || len(faults) > 0 {
		p.t.Fatalf("check: %v %v", err, faults)
	}
}

// readLog reads the whole log as a phone does and holds it against what was
// called accepted.
func (p *poisoner) readLog() {
	t := p.t
	cursor, sum, epoch := uint64(0), "", ""
	seen := map[string]bool{}
	for {
		status, raw := p.site.call("POST", "/api/sync", "family", fmt.Sprintf(`{"epoch":%q,"cursor":%d,"entries":[]}`, epoch, cursor))
		var reply intake.Reply
		if err := json.Unmarshal([]byte(raw), &reply); err != nil || status != 200 {
			t.Fatalf("reading the log: status %d, %v, %.300s", status, err, raw)
		}
		for _, change := range reply.Changes {
			e, err := care.DecodeEntry(change)
			if err != nil || bytes.Contains(change, []byte(`"unreadable":true}`)) && e.Kind == "" {
				t.Fatalf("in the log: %v, %s", err, change)
			}
			seen[string(e.ID)], sum = true, log.NextChecksum(sum, e.ID)
		}
		if epoch, cursor = reply.Epoch, reply.Cursor; sum != reply.Checksum {
			t.Fatalf("the checksum at %d is %s, want %s", cursor, reply.Checksum, sum)
		}
		if !reply.More {
			break
		}
	}
	for id := range p.accepted {
		if !seen[id] {
			t.Fatalf("entry %s was accepted and is not in the log", id)
		}
	}
	if len(seen) != len(p.accepted) {
		t.Fatalf("%d entries in the log, %d accepted", len(seen), len(p.accepted))
	}
}
