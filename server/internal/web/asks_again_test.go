package web_test

import (
	"cmp"
	"regexp"
	"strings"
	"testing"
)

// What gives somebody more than they had, takes data out of the practice, changes where
// alerts go or cannot be undone asks for the passkey again. Each has a body that comes so
// far where {} does not.
var asksAgain = map[string]string{
	"POST /api/clinic/families/:id/come-of-age": `{"person":"t1"}`,
	"DELETE /api/clinic/families/:id":           "", "POST /api/clinic/families/:id/put-back": "",
	"DELETE /api/clinic/passkeys/:id": "", "POST /api/clinic/passkey/new": "",
	"POST /api/clinic/passkeys":       `{"name":"x","credential":{}}`,
	"POST /api/clinic/staff":          `{"name":"N","role":"desk","mail":"","phone":""}`,
	"PUT /api/clinic/staff/:id":       `{"name":"N","role":"desk","mail":"","phone":""}`,
	"POST /api/clinic/staff/:id/link": "", "POST /api/clinic/staff/:id/lost": "", "DELETE /api/clinic/staff/:id": "",
	"POST /api/clinic/staff-changes/:id/confirm": "", "DELETE /api/clinic/staff-changes/:id": "",
	"PUT /api/clinic/settings": "", "PUT /api/clinic/place": "", "PUT /api/clinic/privacy": "", "PUT /api/clinic/retention": "",
	"DELETE /api/clinic/audit": "", "DELETE /api/clinic/held": "", "POST /api/clinic/restored": "",
	"POST /api/clinic/rules/approve": "", "POST /api/clinic/old-phones": "",
	"POST /api/clinic/calendar": "", "DELETE /api/clinic/calendar": "",
	"DELETE /api/clinic/wearers/:id/attachments/:attachment": "",
	"GET /api/clinic/export.csv":                             "", "GET /api/clinic/recalls.csv": "", "GET /api/clinic/wearers/:id/fhir": "",
	"GET /api/clinic/families/:id/export": "", "GET /api/clinic/wearers/:id/events/:event/file": "",
}

// What changes something and does not ask, by why not.
var asksNot = map[string][]string{
	"a sore eye waits for nobody to find their key": {
		"POST alerts/:id/acknowledge", "POST alerts/:id/close", "POST alerts/:id/call", "POST alerts/:id/reopen", "POST alerts/:id/comment",
		"POST alerts/:id/hand-over", "POST wearers/:id/say",
	},
	"the day's work, under the name of whoever does it; what was before stays on record": {
		"POST follow-ups", "POST wearers/:id/read", "DELETE wearers/:id/claims/:entry", "POST wearers/:id/plan", "POST wearers/:id/visits", "POST suitability",
		"POST families", "PUT families/:id", "POST families/:id/wearers", "PUT wearers/:id", "POST families/:id/people", "PUT families/:id/people/:person",
		"PUT families/:id/people/:person/authority", "POST wearers/:id/lenses", "POST wearers/:id/attachments", "POST wearers/:id/candidates",
		"POST wearers/:id/end", "POST wearers/:id/spectacles", "POST wearers/:id/go-on", "POST wearers/:id/start-over", "POST wearers/:id/events",
		"POST rehearsals", "POST breaches", "POST breaches/:id/lines",
	},
	"made at the counter many times a day; the family's other phones and the console are told of each": {"POST families/:id/invitations"},
	"takes away only, and a lost phone cannot wait": {
		"DELETE devices/:id", "DELETE invitations/:id", "DELETE families/:id/people/:person", "DELETE sessions/:id", "POST sign-out", "POST sign-out-everywhere",
	},
	"says what columns mean, and nothing of anybody":          {"GET export-dictionary.csv"},
	"of a wearer of whom nothing is stored":                   {"DELETE wearers/:id"},
	"a second person confirms it":                             {"POST swaps", "POST swaps/:id/accept", "DELETE swaps/:id"},
	"is a proof, or one's way in":                             {"POST sign-in", "POST passkey/challenge", "POST passkey/sign-in", "POST passkey/confirm"},
	"one's own, and shows nobody anything":                    {"PUT language", "POST push/subscription", "POST push/test"},
	"sends a test or begins a drill, with nothing of anybody": {"POST staff/:id/mail", "POST staff/:id/push", "POST mail/arrived", "POST drills", "POST drills/phone"},
}

// takenAway are the answers that leave the console as a file: they are exports.
var takenAway = regexp.MustCompile(`\.csv$|/(export|fhir|file)$`)

// Every route of the console asks for the passkey again or says why it does not.
func TestWhatAsksForThePasskeyAgain(t *testing.T) {
	t.Parallel()
	not := map[string]string{}
	for why, rows := range asksNot {
		for _, row := range rows {
			not[strings.Replace(row, " ", " /api/clinic/", 1)] = why
		}
	}
	s, met := newSite(t), 0
	for _, r := range s.srv.App().GetRoutes(true) {
		row := r.Method + " " + r.Path
		body, asks := asksAgain[row]
		if !strings.HasPrefix(r.Path, "/api/clinic/") || r.Method == "HEAD" || r.Method == "GET" && !asks && !takenAway.MatchString(r.Path) {
			continue
		}
		met++
		if asks == (not[row] != "") {
			t.Errorf("%s asks: %t, and why not: %q; want one of the two", row, asks, not[row])
		}
		path := strings.NewReplacer(":id", "w1", ":attachment", "x", ":event", "x", ":person", "x").Replace(r.Path)
		one := newSite(t)
		for _, who := range []string{"clinician", "desk", "admin"} {
			status, raw := one.call(r.Method, path, who, cmp.Or(body, "{}"))
			if asked := strings.Contains(raw, `"recheck-needed"`); status != 403 && asked != asks {
				t.Errorf("%s as %s: %d %s; want it to ask %t", row, who, status, firstLine(raw), asks)
			}
		}
	}
	if want := len(asksAgain) + len(not); met != want {
		t.Errorf("%d routes were met, %d are listed", met, want)
	}
}
