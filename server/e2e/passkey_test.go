package e2e_test

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/demo"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// ceremoniesJS is what a page does with passkeys, as WebAuthn level 3 writes
// it: options from the server through the browser to the authenticator, and the
// answer back. Each call answers with status and code, such as "409
// recheck-needed".
const ceremoniesJS = `(() => {
	const send = async (method, path, body) => {
		const r = await fetch('/api/clinic/' + path, {method, headers: {'Content-Type': 'application/json'}, body: body && JSON.stringify(body)});
		const type = r.headers.get('Content-Type') ?? '';
		const answer = type.includes('json') ? await r.json() : {};
		return {said: answer.error ? r.status + ' ' + answer.error.code : String(r.status), answer};
	};
	const make = async () => {
		const {said, answer} = await send('POST', 'passkey/new', {});
		if (said !== '200') return said;
		const key = await navigator.credentials.create({publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(answer.publicKey)});
		return (await send('POST', 'passkeys', {name: 'Test key', credential: key.toJSON()})).said;
	};
	const prove = async () => {
		const {answer} = await send('POST', 'passkey/challenge', {});
		const key = await navigator.credentials.get({publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(answer.publicKey)});
		return key.toJSON();
	};
	globalThis.desk = {
		say: async (method, path, body) => (await send(method, path, body)).said,
		make,
		signIn: async () => (await send('POST', 'passkey/sign-in', {credential: await prove()})).said,
		confirm: async () => (await send('POST', 'passkey/confirm', {credential: await prove()})).said,
		twice: async () => { const c = await prove(); await send('POST', 'passkey/sign-in', {credential: c}); return (await send('POST', 'passkey/sign-in', {credential: c})).said; },
		other: async () => { const c = await prove(); c.response.userHandle = btoa('k1').replaceAll('=', ''); return (await send('POST', 'passkey/sign-in', {credential: c})).said; },
		sessions: async () => (await send('GET', 'sessions')).answer.sessions.length,
	};
	return true;
})()`

// desk is one browser at the practice, with an authenticator plugged in.
type desk struct {
	t     *testing.T
	tab   context.Context
	url   string
	db    *store.DB
	clock *demo.Clock
	key   webauthn.AuthenticatorID
}

// practiceAt starts an empty practice at http://localhost with three members of
// staff and one family, and opens the console in a browser. Passkeys need a
// host name: an address such as 127.0.0.1 cannot have any.
func practiceAt(t *testing.T) *desk {
	t.Helper()
	clock := &demo.Clock{}
	a, err := app.New(app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Log: slog.New(slog.DiscardHandler), Now: clock.Now})
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	a.Server.BaseURL = strings.Replace(a.URL(), "127.0.0.1", "localhost", 1)
	t.Cleanup(func() {
		if err := a.Stop(); err != nil {
			t.Error(err)
		}
	})
	err = a.DB.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().PutPractice(care.Practice{Name: "P", Zone: "Europe/London", Country: "GB", Languages: []string{"en"}}),
			tx.Register().AddPerson(care.Person{ID: "c1", Name: "C", Role: care.Clinician}),
			tx.Register().AddPerson(care.Person{ID: "k1", Name: "K", Role: care.Desk}),
			tx.Register().AddPerson(care.Person{ID: "a1", Name: "A", Role: care.Administrator}),
			tx.Register().AddFamily(care.Family{ID: "f1", Name: "F", Zone: "Europe/London", Created: tx.Now}),
			tx.Access().Invite("LINKC", register.Invitation{Person: "c1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)}),
			tx.Access().Invite("LINKA", register.Invitation{Person: "a1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{t: t, tab: newBrowser(t), url: a.Server.BaseURL, db: a.DB, clock: clock}
	run(t, d.tab, chromedp.Navigate(d.url+"/status"), d.plugIn)
	if _, err := ask[bool](d.tab, ceremoniesJS); err != nil {
		t.Fatal(err)
	}
	return d
}

// plugIn adds a virtual authenticator with a fingerprint reader and room for
// passkeys.
func (d *desk) plugIn(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
	if _, err := cdp.Call(ctx, tab, webauthn.Enable, webauthn.EnableParams{}); err != nil {
		return chromedp.Void{}, err
	}
	made, err := cdp.Call(ctx, tab, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
		Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
		HasResidentKey: true, HasUserVerification: true, IsUserVerified: true, AutomaticPresenceSimulation: true,
	}})
	if err == nil {
		d.key = made.AuthenticatorID
	}
	return chromedp.Void{}, err
}

// finger says whether the finger on the reader is the right one.
func (d *desk) finger(right bool) step {
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, webauthn.SetUserVerified, webauthn.SetUserVerifiedParams{AuthenticatorID: d.key, IsUserVerified: right})
		return chromedp.Void{}, err
	}
}

// does runs one of the page's calls and compares what the server said.
func (d *desk) does(call, want string) {
	d.t.Helper()
	got, err := ask[string](d.tab, "desk."+call+".catch(e => e.name)")
	if err != nil {
		d.t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		d.t.Errorf("%s (-want +got):\n%s", call, diff)
	}
}

// leads clicks what opens a page anew, and waits for that page.
func (d *desk) leads(mark string) {
	d.t.Helper()
	ctx, cancel := context.WithTimeout(d.tab, patience)
	defer cancel()
	if _, err := chromedp.RunResponse(ctx, tap(mark)); err != nil {
		d.t.Fatal(err)
	}
}

func (d *desk) later(by time.Duration) { d.clock.Set(d.clock.Now().Add(by)) }

// A clinician's way in: the one-time link once, a passkey from then on. The
// session ends by itself, and what leaves the building asks again.
func TestStaffSignInWithPasskeys(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	d.does(`say('GET', 'me')`, "401 no-credential")
	d.does(`say('POST', 'sign-in', {code: 'linkc'})`, "200")
	d.does(`say('POST', 'sign-in', {code: 'linkc'})`, "422 bad-invitation")
	d.does(`say('GET', 'families/f1/export')`, "409 recheck-needed")
	d.does(`make()`, "200")
	d.does(`make()`, "409 recheck-needed") // a link is good for one
	d.does(`confirm()`, "200")
	d.does(`make()`, "InvalidStateError") // this authenticator has one already
	d.does(`say('POST', 'sign-out', {})`, "200")
	d.does(`say('GET', 'me')`, "401 no-credential")

	d.does(`signIn()`, "200")
	d.does(`say('GET', 'me')`, "200")
	d.does(`say('GET', 'families/f1/export')`, "200")
	d.later(6 * time.Minute)
	d.does(`say('GET', 'families/f1/export')`, "409 recheck-needed")
	d.does(`make()`, "409 recheck-needed")
	d.does(`confirm()`, "200")
	d.does(`say('GET', 'families/f1/export')`, "200")
	d.does(`say('DELETE', 'families/f1')`, "403 not-allowed") // an administrator's to do

	// Half an hour in which only the page itself asked: locked, but it can still
	// tell that somebody waits.
	d.later(20 * time.Minute)
	d.does(`say('GET', 'alerts')`, "200")
	d.later(11 * time.Minute)
	d.does(`say('GET', 'alerts')`, "401 session-idle")
	d.does(`say('GET', 'me')`, "401 session-idle")
	d.does(`say('GET', 'waiting')`, "200")
	d.does(`signIn()`, "200")

	// Used all day, it still ends after 12 hours: 24 times 29 minutes are 11 hours
	// and 36 minutes.
	for range 24 {
		d.later(29 * time.Minute)
		d.does(`say('GET', 'today')`, "200")
	}
	d.later(29 * time.Minute)
	d.does(`say('GET', 'today')`, "401 no-credential")
}

// What is not a fresh answer of the right finger on the right key is refused,
// and always in the same words.
func TestPasskeysRefuse(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	d.does(`say('POST', 'sign-in', {code: 'linkc'})`, "200")
	d.does(`make()`, "200")
	d.does(`twice()`, "422 bad-passkey")
	d.does(`other()`, "422 bad-passkey")
	d.does(`say('POST', 'passkey/sign-in', {credential: {}})`, "422 bad-passkey")
	run(t, d.tab, d.finger(false))
	d.does(`signIn()`, "NotAllowedError")
	run(t, d.tab, d.finger(true))
	d.does(`signIn()`, "200")
	if n, err := ask[int](d.tab, "desk.sessions()"); err != nil || n != 1 {
		t.Errorf("%d sessions, %v; want one: the same browser is the same device", n, err)
	}
	d.does(`say('POST', 'sign-out-everywhere', {})`, "200")
	d.does(`say('GET', 'me')`, "401 no-credential")
}

// An administrator erases a family and lets a colleague go, each after a
// confirmation; the colleague's link no longer works.
func TestAdministratorErasesAndLetsGo(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	d.does(`say('POST', 'sign-in', {code: 'linka'})`, "200")
	d.does(`say('DELETE', 'families/f1')`, "409 recheck-needed")
	d.does(`say('DELETE', 'staff/c1')`, "409 recheck-needed")
	d.does(`say('POST', 'staff', {name: 'N', role: 'desk', mail: ''})`, "409 recheck-needed")
	d.does(`make()`, "200")
	d.does(`confirm()`, "200")
	d.does(`say('DELETE', 'families/f1')`, "200")
	d.does(`say('DELETE', 'families/f1')`, "404 not-found")
	d.does(`say('POST', 'staff', {name: 'N', role: 'desk', mail: ''})`, "200")
	d.does(`say('DELETE', 'staff/a1')`, "409 not-oneself")
	d.does(`say('DELETE', 'staff/c1')`, "200")
	d.does(`say('POST', 'sign-in', {code: 'linkc'})`, "422 bad-invitation")
	d.does(`say('GET', 'families/f1')`, "403 not-allowed")
}

// The same by hand: the link opens one's own page, a passkey is added there,
// and from then on one button signs in.
func TestStaffSignInByHand(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	desktop(t, d.tab)
	run(t, d.tab,
		chromedp.Navigate(d.url+"/staff#LINKC"), tap("passkey-add"), seeIn(".account", "Linux, made"),
	)
	d.leads("sign-out")
	d.leads("passkey-sign-in")
	run(t, d.tab, seeIn(".signed-in", "clinician"))
	if at, err := ask[string](d.tab, "location.href"); err != nil || strings.Contains(at, "LINKC") {
		t.Errorf("the address bar shows %q, %v; the code must be gone", at, err)
	}
}

// A clinician hands the record over as a file; an administrator, who is told
// the id, reads whom it would take and erases it, and can take that back.
func TestRecordLeavesAndGoes(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	desktop(t, d.tab)
	run(t, d.tab, chromedp.Navigate(d.url+"/staff#LINKC"), tap("passkey-add"), seeIn(".account", "Linux, made"))
	run(t, d.tab, chromedp.Navigate(d.url+"/clinic#family/f1"), seeIn(`[data-test="record"] code`, "f1"),
		chromedp.Click(chromedp.CSS(`[data-test="record"] button`)), see("record", "Done,"))
	run(t, d.tab, chromedp.Navigate(d.url+"/clinic#account"), chromedp.WaitVisible(sel("sign-out")))
	d.leads("sign-out")
	run(t, d.tab, chromedp.Navigate(d.url+"/staff#LINKA"), tap("passkey-add"), seeIn(".account", "Linux, made"))
	run(t, d.tab, chromedp.Navigate(d.url+"/clinic#staff"), chromedp.WaitVisible(sel("erase")), chromedp.WaitNotPresent(sel("staff-alone")),
		chromedp.SendKeys(sel("erase-id"), "f1"), tap("erase-look"), see("erase-whom", "F: no wearer"),
		chromedp.SendKeys(sel("erase-word"), "eras"), tap("erase-now"), see("erase", "Nothing was erased: type “erase”."), chromedp.SendKeys(sel("erase-word"), "e"), tap("erase-now"), see("leaving", "for good"))
	// An administrator thinks better of it, and then does not.
	run(t, d.tab, tap("put-back"), chromedp.WaitNotPresent(sel("leaving")))
	if err := d.db.View(func(tx *store.Tx) error { _, err := tx.Register().Family("f1"); return err }); err != nil {
		t.Errorf("put back: %v", err)
	}
	run(t, d.tab, chromedp.SendKeys(sel("erase-id"), "f1"), tap("erase-look"), see("erase-whom", "F: no wearer"),
		chromedp.SendKeys(sel("erase-word"), "erase"), tap("erase-now"), see("leaving", "for good"))
	if err := d.db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("f1", "a1"); return err }); err != nil { // as after a day
		t.Fatal(err)
	}
	run(t, d.tab, chromedp.Navigate(d.url+"/clinic#audit"), see("audit", "erased family"), see("audit", "exported family erased"))
	err := d.db.View(func(tx *store.Tx) error { _, err := tx.Register().Family("f1"); return err })
	if care.KindOf(err) != care.NotFound {
		t.Errorf("family f1: %v; want none", err)
	}
}

// Old lines of the audit log go when an administrator has set their years, and
// says so twice; the log shows where it was cut and by whom.
func TestOldAuditLinesAreCutByHand(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	desktop(t, d.tab)
	err := d.db.Update(func(tx *store.Tx) error {
		now := tx.Now
		tx.Now = now.AddDate(-3, 0, 0)
		if err := tx.Audit().Append("c1", "read review", "w1"); err != nil {
			return err
		}
		tx.Now = now
		return tx.Log().KeepHeld("f1", &care.Entry{ID: "e1", Device: "d1", DSeq: 1}, []byte(`{"v":9,"hlc":"1000000000000-0000"}`)) // of 2001
	})
	if err != nil {
		t.Fatal(err)
	}
	years := func(mark string) step {
		return chromedp.Steps(awaited(`Promise.resolve(document.querySelector('[data-number=`+mark+`]').select()).then(() => true)`), chromedp.SendKeys(chromedp.CSS("[data-number="+mark+"]"), "2"))
	}
	run(t, d.tab, chromedp.Navigate(d.url+"/staff#LINKA"), tap("passkey-add"), seeIn(".account", "Linux, made"),
		chromedp.Navigate(d.url+"/clinic#staff"), see("staff-alone", "staff add -role clinician lets somebody in at once"), chromedp.WaitVisible(sel("keep-save")),
		years("keep-audit_years"), years("keep-held_years"), tap("keep-save"),
		see("keeping", "The time of 1 line"), see("keeping", "the time of 1 is over"), tap("cut-audit"), chromedp.WaitVisible(sel("cut-audit-sure")))
	for _, w := range []int64{320, 390, 820, 1280} {
		width(t, d.tab, w, 844)
		run(t, d.tab, awaited(`new Promise((done) => { document.querySelector('`+css("keeping")+`').scrollIntoView(); requestAnimationFrame(() => done(true)); })`))
		shot(t, d.tab, fmt.Sprintf("keeping-%d", w))
		run(t, d.tab, awaited(`Promise.resolve(scrollTo(0, 0)).then(() => true)`))
		shot(t, d.tab, fmt.Sprintf("staff-alone-%d", w))
	}
	run(t, d.tab, tap("cut-audit-sure"), chromedp.WaitNotPresent(sel("cut-audit-sure")), tap("forget-held"), tap("forget-held-sure"), chromedp.WaitNotPresent(sel("forget-held-sure")),
		chromedp.Navigate(d.url+"/clinic#audit"), see("audit", "forgot held entries"), see("audit", "cut audit log"), seeIn(".audit", "The log begins at line 2"))
	_ = d.db.View(func(tx *store.Tx) error {
		if lines, broken, err := tx.Audit().Lines(1, 1); err != nil || broken != 0 || len(lines) != 1 || lines[0].Seq != 2 || len(tx.Log().AllHeld()) != 0 {
			t.Errorf("log begins with %+v, broken at %d, %v; %d held; want line 2 and none", lines, broken, err, len(tx.Log().AllHeld()))
		}
		return nil
	})
	shot(t, d.tab, "audit-cut")
}
