package episode_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/episode"
)

func symptoms(id, wall, body string) care.Entry {
	return care.Entry{
		ID: care.EntryID(id), Kind: care.Symptoms, Night: civil.MustDate("2026-03-28"), Wall: wall, Zone: "Europe/Lisbon", Offset: 0,
		Body: json.RawMessage(body),
	}
}

// A report whose phone was 2 h 51 min slow when it came says so, so that no card tells
// how long ago that clock makes it; five minutes are within what is noted
// (care.SkewLimit).
func TestAReportSaysThatItsPhonesClockIsOff(t *testing.T) {
	t.Parallel()
	for skew, want := range map[time.Duration]time.Duration{
		0: 0, -5 * time.Minute: 0, -171 * time.Minute: -171 * time.Minute, 6 * time.Minute: 6 * time.Minute,
	} {
		e := symptoms("e1", "2026-03-28T18:00:00", `{"left":{"pain":"severe"}}`)
		e.SkewMS = skew.Milliseconds()
		if ep := episode.Of([]care.Entry{e}); ep.ClockOff != want.Milliseconds() {
			t.Errorf("%s off: the card has %d ms, want %s", skew, ep.ClockOff, want)
		}
	}
}

// The card leads with the newest report of the worst level, keeps the sign
// that a later report calls better, and never says "not answered" of something
// that another report of the episode answered. Worked out by hand from the
// issue's words: worst and newest first, then seen, then denied, then open.
func TestEpisodeReadsReportsTogether(t *testing.T) {
	t.Parallel()
	ep := episode.Of([]care.Entry{
		symptoms("e3", "2026-03-28T21:00:00", `{"left":{"redness":"none","pain":"none"},"note":"calmer now"}`),
		symptoms("e1", "2026-03-28T18:00:00", `{"left":{"redness":"mild","light":"no"}}`),
		symptoms("e2", "2026-03-28T20:00:00", `{"left":{"pain":"severe"},"began_about":"hours"}`),
		{ID: "n1", Kind: care.Note, Body: json.RawMessage(`{"text":"not a report"}`)},
	})
	if !strings.Contains(strings.ToLower(ep.Headline), "pain") || ep.Eye != "left" || ep.At.Format("15:04") != "20:00" {
		t.Errorf("headline %q of the %s eye at %s, want the pain of 20:00", ep.Headline, ep.Eye, ep.At)
	}
	if ep.Began != "a few hours before the report" {
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
	ep := episode.Of([]care.Entry{symptoms("e1", "2026-03-28T18:00:00", `{"right":{"pain":"severe","later":{"x":[1]}},"left":7}`)})
	if ep.Eye != "right" || len(ep.Seen) != 1 {
		t.Errorf("%+v", ep)
	}
	if ep := episode.Of(nil); ep.Headline != "" || len(ep.Open) != 0 || ep.Earlier == nil {
		t.Errorf("without a report: %+v", ep)
	}
}

// What was said on the first screen of the check leads with that answer, in its
// own words (alerts/texts.json, answer.now.shut), not with a list of all of them.
func TestTheHeadlineNamesWhatWasSaidFirst(t *testing.T) {
	t.Parallel()
	ep := episode.Of([]care.Entry{symptoms("e1", "2026-03-28T18:00:00", `{"now":"shut","told":{"table":2}}`)})
	if !strings.HasPrefix(ep.Headline, "The eye will not open") {
		t.Errorf("headline %q, want what was said", ep.Headline)
	}
	if told := ep.Told[0]; told.Table != 2 || told.Here != alerts.Default().Version {
		t.Errorf("told by version %d, worked out by %d; the phone named 2", told.Table, told.Here)
	}
}

// What was answered since is an answer, not the words of the button that gave it
// (alerts/texts.json, answer.now.none: "None of these: ask me").
func TestWhatWasAnsweredSinceIsAnAnswer(t *testing.T) {
	t.Parallel()
	ep := episode.Of([]care.Entry{
		symptoms("e1", "2026-03-28T18:00:00", `{"now":"pain"}`),
		symptoms("e2", "2026-03-28T18:05:00", `{"now":"none","right":{"pain":"none"}}`),
	})
	if len(ep.Seen) == 0 || ep.Seen[0].Since != "none of these" {
		t.Errorf("%+v, want “none of these” answered since", ep.Seen)
	}
}

// A loss of sight that is reported after the clinic has decided about a chemical is
// headed by what is done for a loss of sight (alerts/situations.json has both): the
// rinse was for the chemical. Both stand on the card, each with its own time.
func TestWhatTheClinicDecidedAboutGivesNoMoreOrders(t *testing.T) {
	t.Parallel()
	reports := []care.Entry{
		symptoms("e1", "2026-03-28T08:52:00", `{"now":"chemical","told":{"table":2}}`),
		symptoms("e2", "2026-03-28T09:01:00", `{"now":"sight","told":{"table":2}}`),
	}
	ep := episode.Of(reports, "e1")
	for told, want := range map[int]string{0: "Go to emergency eye care now", 1: "Rinse the eye now"} {
		if steps := strings.Join(ep.Told[told].Steps, " "); !strings.Contains(steps, want) || want != "Rinse the eye now" && strings.Contains(steps, "Rinse") {
			t.Errorf("report %d: the family was told %q, want %q alone", told, steps, want)
		}
	}
	seen := map[string]string{}
	for _, s := range ep.Seen {
		seen[s.At.Format("15:04")] = s.Answer
	}
	if !strings.Contains(seen["09:01"], "sight") || !strings.Contains(seen["08:52"], "chemical") {
		t.Errorf("the card lists %v, want the chemical of 08:52 and the sight of 09:01", seen)
	}
	// Both together, undecided: the rinse leads.
	if steps := strings.Join(episode.Of(reports).Told[0].Steps, " "); !strings.Contains(steps, "Rinse the eye now") {
		t.Errorf("both undecided: told %q, want the rinse first", steps)
	}
}

// A new emergency on an alert that already ran has its own times, not those of
// the first: written and received as set down here.
func TestTheHeadlineHasItsOwnTimes(t *testing.T) {
	t.Parallel()
	first, second := symptoms("e1", "2026-03-28T02:19:00", `{"now":"pain"}`), symptoms("e2", "2026-03-28T02:31:00", `{"now":"shut","told":{"table":2}}`)
	first.Recv = time.Date(2026, 3, 28, 2, 19, 5, 0, time.UTC)
	second.Recv = time.Date(2026, 3, 28, 2, 31, 5, 0, time.UTC)
	ep := episode.Of([]care.Entry{first, second})
	if !ep.Reached.Equal(second.Recv) || ep.At.Format("15:04") != "02:31" {
		t.Errorf("written %v, reached %v, want 02:31 and %v", ep.At, ep.Reached, second.Recv)
	}
}

// A new emergency that says no beginning has none of another report's, and each
// sign has its own; words are never made an instant, and an instant is the one
// that was set. By hand from what the three reports say.
func TestEachSignHasItsOwnBeginning(t *testing.T) {
	t.Parallel()
	ep := episode.Of([]care.Entry{
		symptoms("e1", "2026-03-28T05:00:00", `{"right":{"lens":"stuck"},"began":"2026-03-27T17:00:00Z","began_about":"night"}`),
		symptoms("e2", "2026-03-28T05:02:00", `{"right":{"redness":"mild"},"began":"2026-03-28T04:30:00Z"}`),
		symptoms("e3", "2026-03-28T05:04:00", `{"left":{"sight":"lost"}}`),
	})
	if ep.Eye != "left" || ep.Began != "not said" || ep.BeganAt != nil {
		t.Errorf("the %s eye's headline began %q, %v; want the left eye's, not said", ep.Eye, ep.Began, ep.BeganAt)
	}
	var got []string
	for _, s := range ep.Seen {
		at := ""
		if s.BeganAt != nil {
			at = s.BeganAt.Format("15:04")
		}
		got = append(got, s.Eye+" "+s.At.Format("15:04")+" "+s.Began+at)
	}
	if want := []string{"left 05:04 not said", "right 05:02 04:30", "right 05:00 the night before the report"}; !slices.Equal(got, want) {
		t.Errorf("signs began %q, want %q", got, want)
	}
	// Where a lens is has no beginning of its own; that it sticks has.
	where := episode.Of([]care.Entry{symptoms("e4", "2026-03-28T05:05:00", `{"right":{"lens":"in","pain":"severe"},"began":"2026-03-28T04:30:00Z"}`)})
	for _, s := range where.Seen {
		if (s.BeganAt != nil) != (s.Sign != "where the lens is") {
			t.Errorf("%s, %s began %v", s.Sign, s.Answer, s.BeganAt)
		}
	}
}

// The one word about the eye that was not checked stands on the card: "not as
// usual" as a sign of that eye, the others as what is not known of it.
func TestTheOtherEyeIsSaid(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ other, seen, open string }{
		{`"other":"not-usual"`, "left not checked: said to be not as usual", ""},
		{`"other":"usual"`, "", "left eye: said to be as usual, not checked"},
		{`"other":"unknown"`, "", "left eye: not checked, nobody knows whether it is as usual"},
		{`"now":"none"`, "", "left eye: nothing asked"},
	} {
		ep := episode.Of([]care.Entry{symptoms("e1", "2026-03-28T18:00:00", `{"right":{"redness":"mild"},`+c.other+`}`)})
		var seen []string
		for _, s := range ep.Seen {
			seen = append(seen, s.Eye+" "+s.Sign+": "+s.Answer)
		}
		if c.seen != "" && !slices.Contains(seen, c.seen) || c.open != "" && !slices.Contains(ep.Open, c.open) {
			t.Errorf("%s: seen %q, open %q; want %q, %q", c.other, seen, ep.Open, c.seen, c.open)
		}
	}
}

// A check that was left says so beside its answers, and no longer once it was
// finished.
func TestALeftCheckSaysSoUntilItIsFinished(t *testing.T) {
	t.Parallel()
	left := symptoms("e1", "2026-03-28T18:00:00", `{"right":{"discharge":"pus"},"other":"unknown","unfinished":true}`)
	begun := care.Entry{ID: "e0", Kind: care.CheckOpen, Wall: left.Wall, Zone: left.Zone, Body: json.RawMessage(`{"eyes":"right","left":true}`)}
	done := symptoms("e2", "2026-03-28T18:05:00", `{"right":{"discharge":"pus","pain":"none"},"other":"usual"}`)
	text := func(entries ...care.Entry) (all string) {
		for _, l := range episode.Of(entries).Logged {
			all += l.Text + ". "
		}
		return all
	}
	if got := text(left, begun); !strings.Contains(got, "left before its end: what was answered") || !strings.Contains(got, "begun and not finished") {
		t.Errorf("of a check that was left: %q", got)
	}
	if got := text(left, begun, done); strings.Contains(got, "not finished") || strings.Contains(got, "stands here") || !strings.Contains(got, "finished later") {
		t.Errorf("once it was finished: %q", got)
	}
	if ep := episode.Of([]care.Entry{left}); !strings.Contains(strings.ToLower(ep.Headline), "pus") || ep.Finished {
		t.Errorf("headline %q, finished %t", ep.Headline, ep.Finished)
	}
}

// "The family was told" repeats what the page showed: with a knock of the right eye
// open, a red left eye is told beside it and not "take the lenses out of both eyes".
func TestTheCardRepeatsThePage(t *testing.T) {
	t.Parallel()
	ep := episode.Of([]care.Entry{
		symptoms("e1", "2026-03-28T18:00:00", `{"right":{"injury":"knock","lens":"stuck"},"other":"unknown"}`),
		symptoms("e2", "2026-03-28T18:05:00", `{"left":{"redness":"marked","lens":"in"},"other":"unknown"}`),
	})
	if len(ep.Told) != 2 {
		t.Fatalf("told %+v", ep.Told)
	}
	told := strings.Join(ep.Told[0].Steps, " ")
	for _, want := range []string{"Do not press.", "Phone now.", "Right eye: Do not press.", "Left eye: Lenses out now."} {
		if !strings.Contains(told, want) {
			t.Errorf("no %q in %q", want, told)
		}
	}
	if strings.Contains(told, "Take the lenses out of both eyes") {
		t.Errorf("the page never said what stands in %q", told)
	}
	if n := strings.Count(told, "Do not press. Lens out only"); n != 1 {
		t.Errorf("what to do about the right lens is said %d times in %q", n, told)
	}
	// A chemical in one eye, something stuck in the other: one is rinsed, the other is not.
	ep = episode.Of([]care.Entry{
		symptoms("e1", "2026-03-28T18:00:00", `{"now":"chemical","right":{},"other":"unknown"}`),
		symptoms("e2", "2026-03-28T18:05:00", `{"now":"cut","left":{},"other":"unknown"}`),
	})
	for i, want := range []string{"Right eye: Rinse the eye now. Then go.", "Left eye: Do not touch the eye.", "Right eye: Rinse the eye now, before all else.",
		"Left eye: Do not touch the eye.", "Left eye: Put nothing on the eye that presses.", "Left eye: Do not rinse the eye", "Go to an emergency eye department now"} {
		if got := ep.Told[0].Steps[i]; !strings.HasPrefix(got, want) {
			t.Errorf("step %d is %q, want %q", i, got, want)
		}
	}
	// A stuck lens, then sudden loss of sight said first, which names no eye.
	ep = episode.Of([]care.Entry{
		symptoms("e1", "2026-03-28T07:00:00", `{"right":{"lens":"stuck"},"other":"unknown"}`),
		symptoms("e2", "2026-03-28T18:05:00", `{"now":"sight"}`),
	})
	want := []string{"Right eye: Do not pull at the lens, or search the eye for it.", "Left eye: Lenses out now.", "Go to emergency eye care now."}
	if got := ep.Told[0].Steps[:3]; !slices.Equal(got, want) {
		t.Errorf("told %q, want it to begin with %q", got, want)
	}
}

// A chemical in no named eye, and then a check of the right one: the card says both.
func TestAnEyeThatIsNamedLater(t *testing.T) {
	t.Parallel()
	first := symptoms("e1", "2026-03-28T08:52:00", `{"now":"chemical","told":{"table":2}}`)
	right := symptoms("e2", "2026-03-28T09:01:00", `{"now":"none","right":{"pain":"none"},"other":"usual","told":{"table":2}}`)
	left := symptoms("e3", "2026-03-28T09:05:00", `{"now":"none","left":{"pain":"none"},"other":"usual","told":{"table":2}}`)
	for want, list := range map[string][]care.Entry{
		"; the eye was not named": {first}, "; the eye was not named, a later report is about the right eye": {first, right},
	} {
		if got := episode.Of(list).Headline; !strings.HasSuffix(got, want) {
			t.Errorf("%q, want it to end with %q", got, want)
		}
	}
	if got := episode.Of([]care.Entry{first, right, left}).Headline; !strings.HasSuffix(got, "; the eye was not named") {
		t.Errorf("%q, of two eyes that are named later neither is", got)
	}
}

// A newer report of the same level leads the card; what waits longer stands in its head
// beside it until the practice has decided about it. By hand from the words:
// "the worst, newest sign with its own time and eye; then earlier positive signs".
func TestWhatWaitsLongerStaysInTheHead(t *testing.T) {
	t.Parallel()
	reports := []care.Entry{
		symptoms("e0", "2026-03-28T10:40:00", `{"right":{"lens":"stuck"},"other":"usual"}`),
		symptoms("e1", "2026-03-28T10:59:00", `{"now":"cut","told":{"table":2}}`),
		symptoms("e2", "2026-03-28T11:02:00", `{"right":{"pain":"none"},"other":"usual"}`),
		symptoms("e3", "2026-03-28T11:06:00", `{"now":"shut","told":{"table":2}}`),
	}
	heads := func(decided ...care.EntryID) (out []string) {
		ep := episode.Of(reports, decided...)
		if !strings.HasPrefix(ep.Headline, "The eye will not open") || ep.At.Format("15:04") != "11:06" {
			t.Errorf("%q of %v leads, want the eye that will not open of 11:06", ep.Headline, ep.At)
		}
		for _, h := range ep.Earlier {
			out = append(out, h.At.Format("15:04 ")+h.Level.String())
		}
		return out
	}
	if got := heads(); !slices.Equal(got, []string{"10:40 urgent", "10:59 emergency"}) {
		t.Errorf("earlier: %v, want the stuck lens that waits longest, and the cut", got)
	}
	if got := heads("e0"); !slices.Equal(got, []string{"10:59 emergency"}) {
		t.Errorf("earlier: %v, want the cut, which is not decided about", got)
	}
	if got := heads("e0", "e1", "e2"); len(got) != 0 {
		t.Errorf("earlier: %v, all of it is decided about", got)
	}
}

// A chemical leads over a newer report of its level until the practice has decided
// about it, and the newer one is named beside it. The phone says "Rinse the eye now"
// as long (NHS, Eye injuries: rinse at once).
func TestAChemicalLeadsUntilItIsDecidedAbout(t *testing.T) {
	t.Parallel()
	reports := []care.Entry{
		symptoms("e1", "2026-03-28T12:00:00", `{"now":"chemical","told":{"table":2}}`),
		symptoms("e2", "2026-03-28T12:01:00", `{"now":"shut","told":{"table":2}}`),
	}
	ep := episode.Of(reports)
	if !strings.HasPrefix(ep.Headline, "A chemical in the eye") || len(ep.Later) != 1 || !strings.HasPrefix(ep.Later[0].Headline, "The eye will not open") || len(ep.Earlier) != 0 {
		t.Errorf("%q leads, later %v, earlier %v: want the chemical, and the eye that will not open as later", ep.Headline, ep.Later, ep.Earlier)
	}
	ep = episode.Of(reports, "e1")
	if !strings.HasPrefix(ep.Headline, "The eye will not open") || len(ep.Later)+len(ep.Earlier) != 0 {
		t.Errorf("%q leads beside %v %v: want the report that is not decided about, alone", ep.Headline, ep.Earlier, ep.Later)
	}
}

// A lens that was stuck and is then said to be out: the card repeats what the phone says
// from then on, at the same level, and lists the answer with its time; a sore eye with a
// lens that is in is not called pain after removal.
func TestAStuckLensThatCameOff(t *testing.T) {
	t.Parallel()
	stuck := symptoms("e1", "2026-03-28T07:00:00", `{"right":{"lens":"stuck","pain":"persists"},"left":{"lens":"stuck","pain":"persists"},"unfinished":true}`)
	ep := episode.Of([]care.Entry{stuck})
	if strings.Contains(ep.Headline, "removal") || ep.Level != alerts.Emergency || !strings.HasPrefix(ep.Told[0].Steps[0], "Do not pull") {
		t.Errorf("%s %q, told %q", ep.Level, ep.Headline, ep.Told[0].Steps)
	}
	off := symptoms("e2", "2026-03-28T07:02:00", `{"right":{"lens":"stuck-came-off"},"left":{"lens":"stuck-came-off"},"unfinished":true}`)
	removal := care.Entry{ID: "r1", Kind: care.Removal, Night: stuck.Night, Wall: "2026-03-28T07:02:00", Zone: stuck.Zone, Body: json.RawMessage(`{"at":"07:02","eyes":"both"}`)}
	for name, later := range map[string]care.Entry{"a report": off, "a removal and then a report": removal} {
		entries := []care.Entry{stuck, later}
		if later.Kind == care.Removal {
			entries = append(entries, symptoms("e3", "2026-03-28T07:05:00", `{"right":{"redness":"none"},"unfinished":true}`))
		}
		ep = episode.Of(entries)
		if told := ep.Told[0]; told.Level != alerts.Emergency || told.Steps[0] != "Lenses out now." || strings.Contains(strings.Join(told.Steps, " "), "will not move") {
			t.Errorf("%s: told %s %q, want the order for lenses that are out, an emergency still", name, told.Level, told.Steps)
		}
	}
	ep = episode.Of([]care.Entry{stuck, off})
	if i := slices.IndexFunc(ep.Seen, func(s episode.EpisodeSign) bool { return s.Sign == "where the lens is" }); i < 0 ||
		ep.Seen[i].Since != "it stuck, now it is out" || ep.Seen[i].SinceAt == nil || ep.Seen[i].SinceAt.Format("15:04") != "07:02" {
		t.Errorf("seen %+v, want where the lens is, out since 07:02", ep.Seen)
	}
}

// What a morning with a stuck lens comes to is no check: the card says what was logged,
// calls nothing a check that was left, says of pain no more than "sore" of an eye that has
// its lens in, and that nobody said which eye. Where the lens is, once answered, is an
// answer as any. The bodies are those of pwa/test/stuck.test.js.
func TestWhatAMorningComesToIsNotACheckThatWasLeft(t *testing.T) {
	t.Parallel()
	morning := symptoms("e1", "2026-03-28T07:00:00", `{"right":{"lens":"stuck","pain":"persists","redness":"none"},"left":{"lens":"stuck","pain":"persists","redness":"none"},"now":"none","unfinished":true,"form":"morning"}`)
	where := symptoms("e2", "2026-03-28T07:01:00", `{"right":{"lens":"out"},"left":{"lens":"stuck","pain":"persists","redness":"none"},"now":"none","unfinished":true,"form":"where"}`)
	seen := func(entries ...care.Entry) map[string]string {
		ep := episode.Of(entries)
		if len(ep.Logged) != 0 {
			t.Errorf("logged %+v: no check was left, and the morning has its own line", ep.Logged)
		}
		if ep.Level != alerts.Emergency {
			t.Errorf("%s: as pressing as the same report of a check, an emergency", ep.Level)
		}
		out := map[string]string{}
		for _, s := range ep.Seen {
			out[s.Eye+" "+s.Sign] = s.Answer
		}
		return out
	}
	const sore = "sore, with the lens still in the eye, by the morning log"
	if got := seen(morning); got["right pain"] != sore+"; which eye was not said" || got["left where the lens is"] != "stuck, will not move, by the morning log; which eye was not said" {
		t.Errorf("%q", got)
	}
	if got := seen(morning, where); got["left pain"] != sore || got["left where the lens is"] != "stuck, will not move" {
		t.Errorf("once it was said where: %q", got)
	}
}

// A "no" of the evening before is none of this morning, nor one of before the practice
// decided: both stand with their time. What a morning's log comes to denies nothing that
// nobody was asked. In each, a check of 20:46 with "no", then a stuck lens of 06:35.
func TestAnOldNoIsNotOfNow(t *testing.T) {
	t.Parallel()
	evening := symptoms("e1", "2026-03-27T20:46:00", `{"right":{"redness":"none","light":"no"},"now":"sight","ill":"no"}`)
	morning := symptoms("e2", "2026-03-28T06:35:00", `{"right":{"lens":"stuck","pain":"persists"},"now":"none","other":"unknown","unfinished":true,"form":"morning"}`)
	soon := symptoms("e3", "2026-03-27T21:00:00", `{"right":{"pain":"persists"}}`)
	said := func(ep episode.Episode) string {
		return strings.Join(ep.Denied, "; ")
	}
	if ep := episode.Of([]care.Entry{evening, soon}); !strings.Contains(said(ep), "sensitivity to light") || len(ep.DeniedBefore) != 0 {
		t.Errorf("a quarter of an hour later: no %q, earlier %+v", ep.Denied, ep.DeniedBefore)
	}
	for name, ep := range map[string]episode.Episode{
		"the next morning":    episode.Of([]care.Entry{evening, morning}),
		"decided about since": episode.Of([]care.Entry{evening, soon}, "e1"),
	} {
		if strings.Contains(said(ep), "light") || strings.Contains(said(ep), "ill") {
			t.Errorf("%s: %q is said of now", name, ep.Denied)
		}
		before := ""
		for _, d := range ep.DeniedBefore {
			before += d.At.Format("15:04 ") + d.Text + "; "
		}
		if !strings.Contains(before, "20:46 right eye: ") || !strings.Contains(before, "sensitivity to light") || strings.Contains(strings.Join(ep.Open, "; "), "sensitivity to light") {
			t.Errorf("%s: earlier %q, not answered %q; want it once, with its time", name, before, ep.Open)
		}
	}
	for _, s := range episode.Of([]care.Entry{evening, morning}).Seen {
		if s.Since == "none of these" {
			t.Errorf("%+v: nobody said so", s)
		}
	}
}

// Lenses that the newest report, or a removal since, says are out are told to stay out, as
// on the phone (pwa/test/eye-line.test.js, "once both lenses were said to be out"): not by
// a removal of before it, and not once one is in again.
func TestLensesThatWereSaidToBeOut(t *testing.T) {
	t.Parallel()
	logged := func(id, kind, clock, body string) care.Entry {
		e := symptoms(id, "2026-03-28T"+clock+":00", body)
		e.Kind = care.EntryKind(kind)
		return e
	}
	removal := func(clock, eyes string) care.Entry {
		return logged("r"+clock, "removal", clock, `{"at":"`+clock+`","eyes":"`+eyes+`"}`)
	}
	right := symptoms("e1", "2026-03-28T21:20:00", `{"right":{"lens":"out","pain":"severe"}}`)
	since := episode.WrittenAt(&right)
	for _, c := range []struct {
		name    string
		entries []care.Entry
		planned string
		want    bool
	}{
		{"nothing is said", nil, "both", false},
		{"one eye", []care.Entry{right}, "both", false},
		{"one eye, and the plan has no other", []care.Entry{right}, "right", true},
		{"the other before", []care.Entry{removal("21:10", "left"), right}, "both", false},
		{"the other since", []care.Entry{right, removal("21:30", "left")}, "both", true},
		{"in again", []care.Entry{right, removal("21:30", "both"), logged("i2", "insertion", "21:35", `{"at":"21:35","eyes":"left"}`)}, "both", false},
	} {
		if got := episode.OutSince(c.entries, c.planned, since); got != c.want {
			t.Errorf("%s: out %t, want %t", c.name, got, c.want)
		}
	}
}

// Two people of a family answer each for himself: a check that one left and another
// did is not said as if one person had corrected himself.
func TestACheckThatSomebodyElseDid(t *testing.T) {
	left := symptoms("e1", "2026-03-28T21:32:00", `{"right":{"pain":"persists"},"unfinished":true}`)
	whole := symptoms("e2", "2026-03-28T21:33:00", `{"right":{"pain":"none"},"other":"usual"}`)
	for _, c := range []struct{ by, want string }{
		{"p1", "A check was left before its end, and finished later"},
		{"p2", "A check was left before its end; somebody else did one later"},
	} {
		left.Author, whole.Author = "p1", care.PersonID(c.by)
		ep := episode.Of([]care.Entry{left, whole})
		if len(ep.Logged) != 1 || ep.Logged[0].Text != c.want {
			t.Errorf("done by %s: %+v, want %q", c.by, ep.Logged, c.want)
		}
	}
}
