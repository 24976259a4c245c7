package web_test

import (
	"encoding/json"
	"strings"
	"testing"
)

// Lenses are not let in again over words of the family that nobody has read, nor over
// lenses that are in, unless the author names each: by the closing of the alert and by
// what is written outside it alike. The refusal shows what there is, what came after the
// screen was drawn too, and leaves nothing behind.
func TestAReleasePassesOverNothing(t *testing.T) {
	t.Parallel()
	const id = "01900000-0000-7000-8000-00000000000"
	type stands struct {
		Unread []struct{ Entry, Text string }
		Lenses []struct{ Entry, Text string } `json:"lenses_in"`
	}
	for _, way := range []string{"close", "say"} {
		t.Run(way, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.report(1)
			s.logs(2, "note", "2026-03-28", `{"text":"He cries and cannot see well"}`)
			s.logs(3, "insertion", "2026-03-28", `{"at":"20:38","eyes":"both"}`)
			a := s.live()
			s.act(a, "acknowledge", "")
			s.act(a, "call", `{"result":"reached"}`)
			path := "/api/clinic/wearers/w1/say"
			if way == "close" {
				path = "/api/clinic/alerts/" + a.ID + "/close"
			}
			release := func(known ...string) string {
				causes, _ := json.Marshal(s.wear("clinician").Causes)
				all, _ := json.Marshal(known)
				return `{"outcome":"in-error","note":"x","decision":"resume","known":` + string(all) + `,"causes":` + string(causes) +
					`,"entries":[{"kind":"resume","body":{"eyes":"both","answers":` + string(causes) + `,"from":"2026-04-01","basis":"by-telephone"}}]}`
			}
			body := func(known ...string) string {
				if way == "close" {
					return release(known...)
				}
				return strings.Replace(release(known...), `"outcome":"in-error","note":"x","decision":"resume",`, "", 1)
			}
			raw := s.says("POST", path, "clinician", body(), 409, "not-known")
			now := decode[struct{ Wear stands }](t, raw).Wear
			if len(now.Unread) != 1 || now.Unread[0].Entry != id+"2" || now.Unread[0].Text != "He cries and cannot see well" ||
				len(now.Lenses) != 1 || now.Lenses[0].Entry != id+"3" || now.Lenses[0].Text != "Lenses in since 20:38 and not logged out" {
				t.Errorf("the refusal shows %+v, want the word and the lenses", now)
			}
			s.says("POST", path, "clinician", body(id+"2"), 409, "lenses are in by the log")
			s.says("POST", path, "clinician", body(id+"3"), 409, "the family has written")
			s.logs(4, "note", "2026-03-28", `{"text":"Now the other eye too"}`) // while the form is filled
			s.says("POST", path, "clinician", body(id+"2", id+"3"), 409, "Now the other eye too")
			if w := s.wear("clinician"); w.Wear.Right.State != "stop" || w.Wear.Right.Until != "" {
				t.Errorf("a refused release left %+v", w.Wear)
			}
			s.says("POST", "/api/clinic/wearers/w1/read", "clinician", `{"read":["`+id+`4"]}`, 200, "")
			s.says("POST", path, "clinician", body(id+"2", id+"3"), 200, "")
			if w := s.wear("clinician"); w.Wear.Right.Until != "2026-04-01" {
				t.Errorf("named, the release is not written: %+v", w.Wear)
			}
		})
	}
}

// No lens is said without a word about what was read: a stop may never wait for a tick.
func TestAStopNeedsNoTick(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.report(1)
	s.logs(2, "note", "2026-03-28", `{"text":"He cries"}`)
	s.logs(3, "insertion", "2026-03-28", `{"at":"20:38","eyes":"both"}`)
	s.closeStopped(s.live())
}
