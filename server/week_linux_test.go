package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/mail/mailtest"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// smallDisk mounts a file system of that many megabytes. Where that is not allowed
// it returns a plain folder, says so, and the disk is not filled: a disk that takes
// no more is then played by app's TestFullDisk alone, by a limit on the file.
func smallDisk(t *testing.T, megabytes int) (dir string, small bool) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "disk")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("nightkeep", dir, "tmpfs", 0, fmt.Sprintf("size=%dm,mode=0700", megabytes)); err != nil {
		fmt.Printf("the disk is not filled here: mounting a small one takes root: %v\n", err)
		return dir, false
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir, true
}

// practice is one practice's server of this test, behind nginx.
type practice struct {
	apart  string // at the end of the names of its cookies
	t      *testing.T
	server *served
	front  string // host:port of nginx; empty: asked directly
	base   string // address asked directly
}

// site is the address people type.
const site = "https://lenses.example.org"

// ask asks as a browser of the site does, with a cookie or a token.
func (p *practice) ask(method, path, who, body string) (int, string) {
	p.t.Helper()
	address := p.base
	if p.front != "" {
		address = "https://" + p.front
	}
	req, err := http.NewRequest(method, address+path, strings.NewReader(body))
	if err != nil {
		p.t.Fatal(err)
	}
	req.Host = "lenses.example.org"
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Origin", site)
	switch who {
	case "metrics":
		req.Header.Set("Authorization", "Bearer "+tokens[who])
	case "phone":
		req.Header.Set("Cookie", "__Host-nightkeep_device="+tokens[who])
	case "admin", "clinician":
		req.Header.Set("Cookie", "__Host-nightkeep_staff"+p.apart+"="+tokens[who])
	}
	res, err := untrusting.Do(req)
	if err != nil {
		p.t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		p.t.Fatal(err)
	}
	return res.StatusCode, string(raw)
}

var tokens = map[string]string{"phone": "token-of-the-phone", "metrics": "metrics-token-of-this-test", "admin": "token-of-the-admin", "clinician": "token-of-the-clinician"}

// wants asks and wants a status and words.
func (p *practice) wants(method, path, who, body string, status int, words ...string) string {
	p.t.Helper()
	got, raw := p.ask(method, path, who, body)
	for _, w := range words {
		if !strings.Contains(raw, w) {
			p.t.Errorf("%s %s: %d %.600s; want it to say %q", method, path, got, raw, w)
		}
	}
	if got != status {
		p.t.Errorf("%s %s: %d %.600s; want %d", method, path, got, raw, status)
	}
	return raw
}

// enrol puts the staff's browsers, who have just confirmed with their passkeys,
// and a family with one phone into a file that nobody serves.
func enrol(t *testing.T, dir string) {
	t.Helper()
	db, err := store.Open(filepath.Join(dir, "nightkeep.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	err = db.Update(func(tx *store.Tx) error {
		staff, err := tx.Register().Staff()
		if err != nil {
			return err
		}
		for _, p := range staff {
			device := care.DeviceID("browser-" + string(p.Role))
			key := map[care.Role]string{care.Administrator: "admin", care.Clinician: "clinician"}[p.Role]
			err = errors.Join(err, tx.Register().AddDevice(care.Device{ID: device, Person: p.ID, Name: "Browser", Created: tx.Now}),
				tx.Access().AddCredential(tokens[key], register.Credential{Device: device, Created: tx.Now, Expires: tx.Now.Add(time.Hour), Seen: tx.Now, Rechecked: tx.Now}))
		}
		return errors.Join(err,
			tx.Register().AddFamily(care.Family{ID: "f1", Name: "Quincely", Zone: "Europe/Lisbon", Created: tx.Now}),
			tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Name: "Wren Quincely", Code: "W-1"}),
			tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "Pat Quincely", Role: care.Parent}),
			tx.Register().AddDevice(care.Device{ID: "d1", Family: "f1", Person: "p1", Created: tx.Now}),
			tx.Access().AddCredential(tokens["phone"], register.Credential{Device: "d1", Created: tx.Now}))
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
}

// report is what the phone sends of a chemical in an eye, its n-th entry.
func report(n int) string {
	now := time.Now().UTC()
	return fmt.Sprintf(`{"epoch":"","cursor":0,"entries":[{"id":"01900000-0000-7000-8000-%012d","wearer":"w1","device":"d1","dseq":%d,"author":"p1",
		"kind":"symptoms","night":%q,"wall":%q,"zone":"UTC","offset":0,"hlc":"%d-0000","v":1,"body":{"right":{"injury":"chemical"}}}]}`,
		n, n, now.Add(-12*time.Hour).Format(time.DateOnly), now.Format("2006-01-02T15:04:05"), now.UnixMilli())
}

const whole = `{"practice":{"name":"Harbour Lane","zone":"Europe/Lisbon","country":"PT","languages":["en"],"owner_mail":"owner@example.com","contacts":{
	"clinic":"Harbour Lane","phone":"+351 555 0100","zone":"Europe/Lisbon","closed":[],"hours":[{"weekday":1,"from":"09:00","to":"17:00"}],"after_hours_phone":"","emergency_number":"112","emergency_place":{"name":"","address":"","hours":""}}},
	"rota":{"zone":"Europe/Lisbon","slots":[],"off":[]},"rule_settings":{},
	"policy":{"unshown_minutes":1,"deputy_minutes":3,"everyone_minutes":10,"repeat_minutes":15,"lapse_minutes":60,"still_open_minutes":1440},"revision":%q}`

// The administrator's week on the program as it is built: a mistyped folder, what
// is asked first, a mail server whose certificate is not trusted, a test mail, a
// chemical in an eye at night, a backup tried while that alert is open, a full
// disk, a renewed certificate, all behind nginx as the guide sets it up, with mail
// through Exim and a disk of 24 MiB.
func TestTheAdministratorsWeek(t *testing.T) {
	t.Parallel()
	disk, small := smallDisk(t, 24)
	office := mailtest.New(t)
	office.Start("0")
	data := filepath.Join(disk, "data")
	if out, code := command(t, "staff", "add", "-data", data, "-name", "Ada", "-role", "administrator"); code != 2 || !strings.Contains(out, "there is no practice in "+data) {
		t.Errorf("a folder without a practice: %d, %s", code, out)
	}
	begin(t, data)
	for _, who := range []string{"administrator", "clinician"} {
		out, code := command(t, "staff", "add", "-data", data, "-name", "Ada "+who, "-role", who, "-mail", who+"@example.com", "-base-url", site)
		if code != 0 || !strings.Contains(out, site+"/staff#") {
			t.Fatal(out)
		}
	}
	enrol(t, data)

	certs := t.TempDir()
	certificate(t, certs, "old.example.org")
	args := []string{"-data", data, "-base-url", site, "-trusted-proxies", "127.0.0.1", "-smtp", office.Addr, "-smtp-user", "nightkeep", "-mail-from", "nightkeep@example.com",
		"-backup-dir", filepath.Join(disk, "backups"), "-tls-cert", filepath.Join(certs, "cert.pem"), "-tls-key", filepath.Join(certs, "key.pem")}
	secrets := []string{"NIGHTKEEP_SMTP_PASSWORD=correct", "NIGHTKEEP_METRICS_TOKEN=" + tokens["metrics"]}
	p := &practice{t: t}
	start := func(env ...string) string {
		p.server = serve(t, append(env, secrets...), args...)
		backend := p.server.until(`"serving"`, "addr")
		p.base = "https://" + backend
		p.front = nginx(t, p.base).addr
		return backend
	}

	// What is asked first, and what may not be saved before.
	start("NIGHTKEEP_ADRR=:1")
	family := `{"name":"N","zone":"Europe/Lisbon","wearer":{"name":"Bo","code":"W-7","birth":""},"people":[{"name":"P","role":"parent","phone":"+351 912 345 678"}]}`
	p.wants("POST", "/api/clinic/families", "clinician", family, 409, "place-first")
	first := p.wants("GET", "/api/clinic/settings", "admin", "", 200, `"name":"Zone, country and languages"`)
	p.wants("PUT", "/api/clinic/settings", "admin", fmt.Sprintf(strings.Replace(whole, `"country":"PT",`, "", 1), member(t, first, "revision")), 422, "practice.country")
	p.wants("PUT", "/api/clinic/settings", "admin", fmt.Sprintf(whole, member(t, first, "revision")), 200, `"zone":"Europe/Lisbon"`)
	p.wants("POST", "/api/clinic/families", "clinician", family, 200, `"W-7"`)

	// Mail counts once it was read; a certificate nobody trusts is named.
	admin := regexp.MustCompile(`"id":"([^"]+)","name":"Ada administrator"`).FindStringSubmatch(p.wants("GET", "/api/clinic/staff", "admin", "", 200))[1]
	trial := "/api/clinic/staff/" + admin + "/mail"
	p.wants("POST", trial, "admin", "{}", 503, "the certificate of 127.0.0.1 is not trusted here: name the mail server as on its certificate")
	p.server.stop()
	backend := start("SSL_CERT_FILE=" + office.CertFile)
	p.wants("POST", trial, "admin", "{}", 200, `"sent"`)
	p.wants("GET", "/api/clinic/settings", "admin", "", 200, "No test mail has arrived yet")
	number := regexp.MustCompile(`Staff: ([0-9A-Z]{6})`).FindStringSubmatch(strings.ReplaceAll(strings.Join(office.Queued(), ""), "=\n", ""))
	if number == nil {
		t.Fatalf("no number in %q", office.Queued())
	}
	p.wants("POST", "/api/clinic/mail/arrived", "admin", `{"number":"`+number[1]+`"}`, 200, `"arrived"`)

	// A chemical in an eye: the mail says how grave, where, since when, who is next,
	// and leads to the alert; it names nobody of the family and nothing of the eye.
	p.wants("POST", "/api/sync", "phone", report(1), 200, `"accepted"`)
	p.wants("GET", "/api/clinic/alerts", "clinician", "", 200, `"level":"emergency"`)
	if t.Failed() {
		t.FailNow()
	}
	var night string
	for deadline := time.Now().Add(10 * time.Minute); night == "" && time.Now().Before(deadline); { // each look runs Exim
		for _, raw := range office.Queued() {
			if strings.Contains(raw, "To: <owner@example.com>") && strings.Contains(raw, "Subject: Nightkeep: EMERGENCY") {
				night = strings.ReplaceAll(strings.ReplaceAll(raw, "=\n", ""), "=3D", "=")
			}
		}
	}
	for _, want := range []string{"EMERGENCY at Harbour Lane", "It has waited 0 minutes", "next, unless somebody takes it", site + "/clinic#today/"} {
		if !strings.Contains(night, want) {
			t.Errorf("the mail at night does not say %q:\n%s", want, night)
		}
	}
	for _, never := range []string{"Quincely", "Wren", "W-1", "chemical", "eye"} {
		if _, body, _ := strings.Cut(night, "\n\n"); strings.Contains(body, never) {
			t.Errorf("the mail at night says %q:\n%s", never, night)
		}
	}

	if small {
		p.fill(disk)
	}

	// A renewed certificate, and the end.
	certificate(t, certs, "new.example.org")
	_ = p.server.cmd.Process.Signal(syscall.SIGHUP)
	p.server.until("certificate read", "")
	if got := shown(t, backend); got != "new.example.org" {
		t.Errorf("after SIGHUP the server shows a certificate of %s", got)
	}
	tried := p.copied(disk)
	if code := p.server.stop(); code != 0 {
		t.Errorf("SIGTERM ended the server with %d", code)
	}

	// While nothing else sends mail, a rehearsal sends none.
	trusted := "SSL_CERT_FILE=" + office.CertFile
	p.rehearse(tried, office, trial, append([]string{trusted}, secrets...))
	start(trusted)
	p.rehearsed()
	p.server.stop()
}

// copied makes a backup while the practice is served, restores it as a rehearsal
// and returns the folder of that.
func (p *practice) copied(disk string) (tried string) {
	p.t.Helper()
	copied, tried := filepath.Join(disk, "copy.db"), filepath.Join(disk, "tried")
	for _, step := range [][]string{{"backup", "-data", filepath.Join(disk, "data"), "-to", copied}, {"restore", "-rehearsal", "-from", copied, "-data", tried}} {
		if out, code := command(p.t, step...); code != 0 {
			p.t.Fatal(step, out)
		}
	}
	return tried
}

// rehearse tries a backup that holds an open emergency: it is served, says so, and
// no mail leaves it.
func (p *practice) rehearse(tried string, office *mailtest.Office, trial string, env []string) {
	t := p.t
	t.Helper()
	before := office.Count()
	s := serve(t, env, "-rehearsal", "-data", tried, "-base-url", site, "-trusted-proxies", "127.0.0.1", "-smtp", office.Addr, "-smtp-user", "nightkeep", "-mail-from", "nightkeep@example.com")
	copyOf := &practice{t: t, server: s, base: "http://" + s.until(`"serving"`, "addr")}
	copyOf.wants("GET", "/api/clinic/me", "admin", "", 401) // the practice's own cookie, of the same host
	copyOf.apart = "_rehearsal"
	copyOf.wants("GET", "/status", "", "", 200, "copy of a backup that is being tried")
	copyOf.wants("GET", "/clinic", "", "", 200, "Nothing leaves it")
	copyOf.wants("GET", "/api/clinic/alerts", "clinician", "", 200, `"level":"emergency"`)
	copyOf.wants("POST", trial, "admin", "{}", 503, "nothing is sent")
	copyOf.wants("POST", "/api/sync", "phone", report(2), 503, "rehearsal")
	if code := s.stop(); code != 0 {
		t.Errorf("the rehearsal ended with %d", code)
	}
	if after := office.Count(); fmt.Sprint(after) != fmt.Sprint(before) {
		t.Errorf("mails before the rehearsal: %v, after: %v", before, after)
	}
}

// rehearsed notes how rehearsals went: one that did not work leaves them due.
func (p *practice) rehearsed() {
	t := p.t
	t.Helper()
	p.wants("POST", "/api/clinic/rehearsals", "admin", fmt.Sprintf(`{"backup":%q,"worked":false,"note":"slow"}`, time.Now().UTC().AddDate(0, 0, -1).Format(time.DateOnly)), 200, "slow")
	p.wants("GET", "/healthz", "", "", 200, `"rehearsal"`)
	p.wants("POST", "/api/clinic/rehearsals", "admin", fmt.Sprintf(`{"backup":%q,"worked":true,"note":""}`, time.Now().UTC().AddDate(0, 0, -1).Format(time.DateOnly)), 200, `"worked":true`)
	if raw := p.wants("GET", "/healthz", "", "", 200); strings.Contains(raw, `"rehearsal"`) {
		t.Errorf("a backup that was tried is due at once: %s", raw)
	}
}

// fill fills the disk: health, figures, status and console say the same, and take
// it back when there is room.
func (p *practice) fill(disk string) {
	t := p.t
	t.Helper()
	if raw := p.wants("GET", "/api/clinic/settings", "admin", "", 200, "MiB are free where the data is; want 256 MiB"); !strings.Contains(raw, "space") {
		t.Error("the console does not name the space")
	}
	p.wants("GET", "/healthz", "", "", 200, `"ok":true,"state":"degraded"`)
	stuff := filepath.Join(disk, "stuff")
	f, err := os.Create(stuff)
	if err != nil {
		t.Fatal(err)
	}
	for block := make([]byte, 64<<10); err == nil; {
		_, err = f.Write(block)
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	n := 2
	for status := 200; status == 200 && n < 200; n++ { // the file has some room of its own
		status, _ = p.ask("POST", "/api/sync", "phone", report(n))
	}
	p.wants("POST", "/api/sync", "phone", report(n), 503, "cannot-store", "stays on this phone")
	p.wants("GET", "/healthz", "", "", 503, `"ok":false,"state":"fails","troubles":["disk"`)
	p.wants("GET", "/metrics", "metrics", "", 200, "nightkeep_up 0", `nightkeep_trouble{what="disk"} 2`)
	p.wants("GET", "/status", "", "", 503, "The disk takes no write since")
	p.wants("GET", "/api/clinic/settings", "admin", "", 200, "The disk takes no write since")
	out, code := "", 0
	for i := 0; code == 0 && i < 200; i++ { // a person is smaller than a report: it may find room where that found none
		out, code = command(t, "staff", "add", "-data", filepath.Join(disk, "data"), "-name", strings.Repeat("N", 80), "-role", "desk")
	}
	if code == 0 || strings.Contains(out, "phone") || !strings.Contains(out, "disk") {
		t.Errorf("staff add on a full disk: %d, %s", code, out)
	}
	if err := errors.Join(f.Close(), os.Remove(stuff)); err != nil {
		t.Fatal(err)
	}
	p.wants("GET", "/healthz", "", "", 200, `"ok":true`)
	p.wants("POST", "/api/sync", "phone", report(n), 200, `"accepted"`)
	p.wants("GET", "/healthz", "", "", 200, `"state":"degraded","troubles":["disk"`)
	p.wants("GET", "/status", "", "", 200, "The disk refused a write at")
	p.wants("GET", "/metrics", "metrics", "", 200, "nightkeep_up 1", `nightkeep_trouble{what="disk"} 1`)
}

// member is a text of a JSON object.
func member(t *testing.T, raw, name string) string {
	t.Helper()
	var m map[string]any
	if err := json.Unmarshal([]byte(raw), &m); err != nil {
		t.Fatal(err)
	}
	text, _ := m[name].(string)
	return text
}
