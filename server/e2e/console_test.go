package e2e_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// consolePage is a page of the console and something it must show.
type consolePage struct{ at, shows string }

// refusal is what a page shows to a role it is not for.
const refusal = "main .trouble"

// consolePages are the pages of the console, by role. W stands for a wearer
// whose recall is tomorrow, F for a family with an open invitation.
func consolePages(role string) []consolePage {
	return map[string][]consolePage{
		"clinician": {
			{"today", css("call-row")}, {"duties", css("duty-row")}, {"wearers", css("wearer-row")}, {"wearer/W", css("points")}, {"plan/W", css("plan-form")}, {"visits/W", css("attach-form")}, {"course/W", css("adverse")},
			{"suitability/W", css("suitability-show")}, {"suitability", css("suitability-show")}, {"recalls", css("recall-row")}, {"practice", ".curve"},
			{"family", "main form"}, {"family/F", css("record")}, {"rules", css("rule-row")}, {"check", css("drills")}, {"safety", css("purpose")}, {"paper/fridge", css("paper-fridge")}, {"paper/practice", css("paper-practice")}, {"paper/family", css("paper-family")}, {"paper/staff", css("paper-staff")}, {"privacy", "main h1"}, {"archive", "main h1"}, {"settings", css("settings-form")}, {"account", css("sign-out")},
			{"staff", refusal}, {"audit", refusal},
		},
		"desk": {
			{"today", css("visit-row")}, {"wearers", css("wearer-row")}, {"visits/W", css("visit-row")}, {"course/W", css("lenses")}, {"plan/W", "main h1"}, {"recalls", css("recall-row")},
			{"practice", ".curve"}, {"family", "main form"}, {"family/F", css("invitations")}, {"rules", css("rule-row")}, {"settings", css("settings-form")},
			{"account", css("sign-out")}, {"wearer/W", refusal}, {"suitability/W", refusal}, {"staff", refusal}, {"audit", refusal},
		},
		"administrator": {
			{"setup", css("setup-step")}, {"practice", ".curve"}, {"rules", css("rule-row")}, {"safety", css("purpose")}, {"settings", css("settings-save")}, {"staff", css("keeping")}, {"audit", css("audit-row")},
			{"account", css("sign-out")},
		},
	}[role]
}

// quietJS says whether the page of an address stands, with all it fetches.
const quietJS = `(at) => {
	const main = document.querySelector('main');
	return main?.dataset.page === at && !/Fetching…|Cargando…|正在读取…|جارٍ التحميل…/.test(main.innerText);
}`

// console walks every page of the console as a role, and shows each to look.
func (tr *tour) console(role string) {
	tr.t.Helper()
	c := clinician(tr.t, tr.a)
	ids := strings.NewReplacer("W", wearerID(tr.t, c, tr.a, "W-0010"), "F", "family-Petrov")
	run(tr.t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/"+role), chromedp.WaitVisible(chromedp.CSS("main h1")))
	for _, p := range consolePages(role) {
		at := ids.Replace(p.at)
		tr.eval("location.hash = '#" + at + "'")
		still := chromedp.PollFunction[bool](quietJS, chromedp.WithPollingArgs(at), chromedp.WithPollingTimeout(patience))
		if _, err := chromedp.Run(tr.tab, still); err != nil {
			tr.t.Fatalf("%s as %s: %v", p.at, role, err)
		}
		tr.see(role+"-"+strings.ReplaceAll(p.at, "/", "-"), p.shows)
	}
}

// Every page of the console as each role: WCAG 2.2 AA by axe-core, in light and
// dark, nothing that scrolls the page sideways on a tablet or at 400 %, and no
// error.
//
//	NIGHTKEEP_SHOTS=DIR go test ./server/e2e -run TestConsole
//
// keeps a picture of each on a tablet (820), a desk (1280) and a wide screen
// (1920), whole pages, and the dark one at 1280.
func TestConsole(t *testing.T) {
	t.Parallel()
	for _, role := range []string{"clinician", "desk", "administrator"} {
		t.Run(role, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, "en")
			a := newAudit(t, tr.tab)
			desktop(t, tr.tab)
			tr.look = func(screen string) {
				a.expect(screen, "light", a.violations(wcag))
				a.measure(screen, "1280 px", lettersJS)
				whole(t, tr, screen+"-1280")
				if role != "desk" { // the desk sees the clinician's pages
					dark(t, tr.tab, true)
					a.expect(screen, "dark", a.violations(contrast))
					whole(t, tr, screen+"-1280-dark")
					dark(t, tr.tab, false)
				}
				run(t, tr.tab, chromedp.EmulateViewport(820, 1180))
				a.measure(screen, "820 px", sidewaysJS)
				a.measure(screen, "820 px", lettersJS)
				whole(t, tr, screen+"-820")
				run(t, tr.tab, chromedp.EmulateViewport(320, 640)) // a desk of 1280 at 400 %: WCAG 2.2, 1.4.10
				a.measure(screen, "320 px", sidewaysJS)
				a.measure(screen, "320 px", lettersJS)
				if os.Getenv("NIGHTKEEP_SHOTS") != "" {
					run(t, tr.tab, chromedp.EmulateViewport(1920, 1080))
					whole(t, tr, screen+"-1920")
				}
				desktop(t, tr.tab)
			}
			tr.console(role)
			sound(t, tr.tab)
		})
	}
}

// whole keeps a picture of the whole page when NIGHTKEEP_SHOTS names a folder.
func whole(t *testing.T, tr *tour, name string) {
	t.Helper()
	dir := os.Getenv("NIGHTKEEP_SHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(tr.tab, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o600); err != nil {
		t.Fatal(err)
	}
}
