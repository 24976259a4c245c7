package review_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

func symptoms(id, wall, body string) care.Entry {
	return care.Entry{
		ID: care.EntryID(id), Kind: care.Symptoms, Night: civil.MustDate("2026-03-28"), Wall: wall, Zone: "Europe/Lisbon", Offset: 0,
		Body: json.RawMessage(body),
	}
}

// The card leads with the newest report of the worst level, keeps the sign
// that a later report calls better, and never says "not answered" of something
// that another report of the episode answered. Worked out by hand from the
// issue's words: worst and newest first, then seen, then denied, then open.
func TestEpisodeReadsReportsTogether(t *testing.T) {
	t.Parallel()
	ep := review.EpisodeOf([]care.Entry{
		symptoms("e3", "2026-03-28T21:00:00", `{"left":{"redness":"none","pain":"none"},"note":"calmer now"}`),
		symptoms("e1", "2026-03-28T18:00:00", `{"left":{"redness":"mild","light":"no"}}`),
		symptoms("e2", "2026-03-28T20:00:00", `{"left":{"pain":"severe"},"began_about":"hours"}`),
		{ID: "n1", Kind: care.Note, Body: json.RawMessage(`{"text":"not a report"}`)},
	})
	if !strings.Contains(strings.ToLower(ep.Headline), "pain") || ep.Eye != "left" || ep.At.Format("15:04") != "20:00" {
		t.Errorf("headline %q of the %s eye at %s, want the pain of 20:00", ep.Headline, ep.Eye, ep.At)
	}
	if ep.Began != "a few hours before" {
		t.Errorf("began %q: what the family chose is not a clock time", ep.Began)
	}
	if len(ep.Seen) != 2 || ep.Seen[0].At.Hour() != 20 || ep.Seen[0].Since == "" || ep.Seen[1].At.Hour() != 18 || ep.Seen[1].Since == "" {
		t.Errorf("seen %+v: want pain of 20:00 and redness of 18:00, each with what was answered since", ep.Seen)
	}
	all := strings.ToLower(strings.Join(ep.Open, "; "))
	for _, answered := range []string{"pain", "redness", "light"} {
		if strings.Contains(all, answered) {
			t.Errorf("%q is said to be unanswered in %q", answered, all)
		}
	}
	if denied := strings.Join(ep.Denied, "; "); !strings.Contains(denied, "light") || strings.Contains(denied, "pain") {
		t.Errorf("denied: %q", denied)
	}
	if !slices.Contains(ep.Open, "right eye: nothing asked") {
		t.Errorf("open: %q, want the right eye in one line", ep.Open)
	}
	for _, told := range ep.Told {
		for _, step := range told.Steps {
			if !strings.Contains(step, " ") {
				t.Errorf("the card prints the key %q", step)
			}
		}
	}
	if len(ep.Told) != 3 || ep.Told[0].At.Hour() != 21 || len(ep.Notes) != 1 || ep.Notes[0].Text != "calmer now" {
		t.Errorf("told %+v, notes %+v", ep.Told, ep.Notes)
	}
}

// A body with members nobody knows, of any type, is still read.
func TestEpisodeReadsWhatItKnows(t *testing.T) {
	t.Parallel()
	ep := review.EpisodeOf([]care.Entry{symptoms("e1", "2026-03-28T18:00:00", `{"right":{"pain":"severe","later":{"x":[1]}},"left":7}`)})
	if ep.Eye != "right" || len(ep.Seen) != 1 {
		t.Errorf("%+v", ep)
	}
	if ep := review.EpisodeOf(nil); ep.Headline != "" || len(ep.Open) != 0 {
		t.Errorf("without a report: %+v", ep)
	}
}

// What was said on the first screen of the check leads with that answer, in its
// own words (alerts/texts.json, answer.now.shut), not with a list of all of them.
func TestTheHeadlineNamesWhatWasSaidFirst(t *testing.T) {
	t.Parallel()
	ep := review.EpisodeOf([]care.Entry{symptoms("e1", "2026-03-28T18:00:00", `{"now":"shut","told":{"table":2}}`)})
	if !strings.HasPrefix(ep.Headline, "The eye will not open") {
		t.Errorf("headline %q, want what was said", ep.Headline)
	}
}

// A new emergency on an alert that already ran has its own times, not those of
// the first: written and received as set down here.
func TestTheHeadlineHasItsOwnTimes(t *testing.T) {
	t.Parallel()
	first, second := symptoms("e1", "2026-03-28T02:19:00", `{"now":"pain"}`), symptoms("e2", "2026-03-28T02:31:00", `{"now":"shut","told":{"table":2}}`)
	first.Recv = time.Date(2026, 3, 28, 2, 19, 5, 0, time.UTC)
	second.Recv = time.Date(2026, 3, 28, 2, 31, 5, 0, time.UTC)
	ep := review.EpisodeOf([]care.Entry{first, second})
	if !ep.Reached.Equal(second.Recv) || ep.At.Format("15:04") != "02:31" {
		t.Errorf("written %v, reached %v, want 02:31 and %v", ep.At, ep.Reached, second.Recv)
	}
}
