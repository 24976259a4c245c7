package web_test

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

// late is a card of the queue, as far as these tests read it.
type late struct {
	ID, State, Title, Level string
	Closings                []struct{ Outcome string }
	Before                  *struct{ Title, Outcome string } `json:"closed_before"`
	Episode                 struct {
		Seen         []struct{ Eye, Sign string }
		Open, Denied []string
		Before       []struct{ Text string } `json:"denied_before"`
	}
}

// lateCards are the cards of the queue, those that are live first.
func (s *site) lateCards() []late {
	s.t.Helper()
	all := decode[struct{ Alerts []late }](s.t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts
	slices.SortStableFunc(all, func(a, b late) int {
		return map[string]int{"closed": 1}[a.State] - map[string]int{"closed": 1}[b.State]
	})
	return all
}

// written hands in an entry of the second phone, written at a clock time of 28 March.
func (s *site) written(n int, kind, wall, body string) {
	s.t.Helper()
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(fmt.Sprintf(
		`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":%q,"night":"2026-03-28","wall":"2026-03-28T%s:00","body":%s}`, n, n, kind, wall, body))), 200, `"accepted"`)
}

// lateSite is a site at which one phone reported at 20:31 and logged a red, very sore
// morning at 20:33, and the clinic closed the alert of it at 20:36. In Lisbon, in winter,
// clocks show UTC.
func lateSite(t *testing.T) *site {
	s := siteAt(t, time.Date(2026, 3, 28, 20, 31, 0, 0, time.UTC))
	s.written(1, "symptoms", "20:31", `{"right":{"injury":"no"},"now":"none","other":"unknown","unfinished":true}`)
	*s.now = s.now.Add(2 * time.Minute)
	s.written(2, "morning", "20:33", `{"moved":"stuck-came-off","redness":1,"comfort":0}`)
	*s.now = s.now.Add(3 * time.Minute)
	s.released(s.live(), "")
	return s
}

// Two phones of one episode: the second was without a network, and its report, written
// before the clinic closed the alert, arrives after. The alert takes it, though the log of
// the first phone had made it one about the log: it is open again with its closing kept,
// and its card reads the whole episode, so that nothing is "not answered" that the first
// phone answered. So it is days later, when the phone is found again.
func TestALateReportOpensTheAlertOfItsEpisode(t *testing.T) {
	t.Parallel()
	for _, after := range []time.Duration{time.Minute, 6 * 24 * time.Hour} {
		t.Run(after.String(), func(t *testing.T) {
			t.Parallel()
			s := lateSite(t)
			id := s.queue()[0].ID
			*s.now = s.now.Add(after)
			s.written(3, "symptoms", "20:33", `{"now":"pain"}`)
			cards := s.lateCards()
			if len(cards) != 1 || cards[0].ID != id || cards[0].State != "open" || len(cards[0].Closings) != 1 || cards[0].Level != "emergency" {
				t.Fatalf("%+v; want the one alert open again, with its closing", cards)
			}
			card := cards[0]
			for _, open := range card.Episode.Open {
				if open == "right eye: nothing asked" {
					t.Errorf("not answered: %q, and the first phone answered of the right eye", card.Episode.Open)
				}
			}
			if len(card.Episode.Before) == 0 {
				t.Errorf("what the first phone denied is nowhere: %+v", card.Episode)
			}
			*s.now = s.now.Add(time.Minute)
			s.written(4, "symptoms", "20:33", `{"now":"pain"}`)
			if len(s.lateCards()) != 1 {
				t.Error("a further late report makes an alert of its own")
			}
		})
	}
}

// What is routine and written after the closing is an alert of its own at its own level,
// and rings nobody at night; its card names the closing of the days before.
func TestARoutineFindingAfterAClosingHasItsOwnLevel(t *testing.T) {
	t.Parallel()
	s := lateSite(t)
	*s.now = s.now.Add(time.Hour)
	s.written(3, "not-worn", "21:30", `{"reason":"sore-eye","eyes":"right"}`)
	cards := s.lateCards()
	if len(cards) != 2 || cards[0].Level != "routine" || cards[1].State != "closed" || cards[1].Level != "emergency" {
		t.Fatalf("%+v; want a routine alert beside the emergency that stays closed", cards)
	}
	if b := cards[0].Before; b == nil || b.Title != cards[1].Title || b.Outcome != "seen-nothing-found" {
		t.Errorf("the card names %+v as closed before, want the emergency", b)
	}
	*s.now = s.now.Add(8 * 24 * time.Hour)
	if b := s.lateCards()[0].Before; b != nil {
		t.Errorf("eight days on the card still names %+v", b)
	}
}
