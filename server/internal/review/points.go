package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/vision"
)

// pointRule is one named rule that may raise a point. Its find returns text
// fit to say to a parent, and the evidence; an empty text raises nothing.
type pointRule struct {
	name  string
	basis string
	find  func(sum *Summary, s *state) (text, evidence string)
}

// pointRules lists the rules in the order in which points are shown: safety,
// then growth and sight, then wear, then care, then the log itself. A rule may
// raise a concern; none takes one away.
func pointRules() []pointRule {
	return append(append(safetyRules(), wearRules()...), logRules()...)
}

// points runs every rule.
func points(sum *Summary, s *state) []Point {
	out := []Point{}
	for _, r := range pointRules() {
		if text, evidence := r.find(sum, s); text != "" {
			out = append(out, Point{r.name, text, evidence, r.basis})
		}
	}
	return append(append(out, carePoints(sum)...), standingPoints(out, s.in.Call, s.in.Today)...)
}

// named are rules about the record that a reason to call speaks for.
var named = map[string][]string{
	"tap-water": {"water-contact"}, "water-contact": {"water-contact"}, "missed-often": {"slipping"},
	"silence": {"silent", "silent-early"}, "recall-overdue": {"recall-overdue"}, "lens-overdue": {"supply-overdue"},
	"behind-adaptation": {"behind", "adaptation-behind"}, "stuck-twice": {"stuck-lens"},
}

// saidAs are reasons to call that a point of another name says already.
var saidAs = map[string][]string{"deposits-slipping": {"deposit-removal-overdue"}}

// standingPoints are what Today says of the wearer and the points so far do not,
// and the rules about the record that nothing else speaks for: those that the
// practice hears of by the next working day, and those that a setting moves.
func standingPoints(said []Point, in *CallInput, today civil.Date) []Point {
	if in == nil {
		return nil
	}
	var out []Point
	has := func(rules ...string) bool {
		return slices.ContainsFunc(rules, func(r string) bool {
			is := func(p Point) bool { return p.Rule == r }
			return slices.ContainsFunc(said, is) || slices.ContainsFunc(out, is)
		})
	}
	call, _ := CallOf(today, *in)
	for _, r := range call.Reasons {
		if r.Rule != "in-the-log" && !has(append(saidAs[r.Rule], r.Rule)...) {
			out = append(out, Point{r.Rule, r.Text, r.Evidence, r.Basis})
		}
	}
	for _, f := range standing(in, in.night(today), statusOf(in.newState(today))) {
		if f.Level != alerts.Routine && f.Rule != "short-nights" || has(append(named[f.Rule], f.Rule)...) {
			continue
		}
		rule, say := alerts.Default().Rule(f.Rule), alerts.English().Say
		out = append(out, Point{f.Rule, "Your entries say this: " + say(rule.Family) + ". How is it now?", say(rule.Clinic), rule.Source})
	}
	return out
}

func safetyRules() []pointRule {
	return []pointRule{
		{"alert-not-closed", "an alert ends only when the clinic has dealt with it", openAlerts},
		{"adverse-event", "written down by the practice; it is looked at before every decision about lenses (common practice)", func(_ *Summary, s *state) (string, string) {
			return ifAny(course.EventsSaid(s.in.Events), "Something happened to an eye in wear, and we wrote it down. How has it gone since, and is any of it still there?")
		}},
		{"visit-finding", "grade 3 and more, an infiltrate, two lines less than at the visit before, a pressure of 30 mmHg (common practice)", visitFindings},
		{"symptoms", "signs listed in the class labelling and by public-health bodies; the eye is judged by examination only", reportedSigns},
		{"sore-eye-nights", "common practice", soreEyeNights},
		{"stuck-lens", "a second stuck lens within 7 days calls for a look at the fit (lens binding: Swarbrick and Holden 1996)", func(sum *Summary, _ *state) (string, string) {
			return ifAny(stuckTwice(sum.Mornings), "A lens was stuck in the morning more than once within a week. Let us look at how it sits, and go through loosening it with drops.")
		}},
		{"water-contact", "tap-water storage: odds of amoebic keratitis 16 in rigid-lens wearers (Cope 2016)", waterNights},
		{"fast-growth", "growth classes of a trial, rapid over 0.36 mm a year (Cho and Cheung 2012, 2017); first-year caution from 0.28 mm (10-year study of 101 children)", func(sum *Summary, _ *state) (string, string) {
			return fastGrowth(sum.Growth)
		}},
		{"sight-fading", "compared with the wearer's own evenings; no published limit (common practice)", sightFading},
		{"halos-persist", "light distortion is back to baseline by 1 month on average (Santolaria-Sanz 2016)", halosPersist},
		{"adaptation-behind", "full effect by 1 to 2 weeks of worn nights (Soni 2003; Sánchez-García 2024)", adaptationBehind},
	}
}

// openAlerts are the alerts nobody has closed; the first few are named.
func openAlerts(sum *Summary, _ *state) (string, string) {
	var open []string
	for _, level := range []string{"emergency", "urgent", "routine"} { // the first few are named
		for _, a := range sum.Alerts {
			if a.State != "closed" && a.Level == level {
				open = append(open, a.Title+", opened "+civil.DateOf(a.Opened).String())
			}
		}
	}
	return ifAny(open, "A report from home is still open with us. May we go through it first?")
}

// visitFindings are the serious findings that no later visit measured again, newest
// first, with what was decided about the eye's lens.
func visitFindings(_ *Summary, s *state) (string, string) {
	var found []string
	for _, f := range course.SeriousNow(s.in.Visits, s.in.Today) {
		decided := map[string]string{course.WearStops: "stop decided", course.WearGoesOn: "wear goes on"}[f.Wear]
		found = append(found, fmt.Sprintf("%s eye, %s: %s; %s", f.Eye, f.On, strings.Join(f.Words, ", "), cmp.Or(decided, "no decision on wear")))
	}
	return ifAny(found, "At a visit we saw something in an eye that we want to look at again. How has the eye been since?")
}

// reportedSigns are the reports with a sign other than a harmless one.
func reportedSigns(sum *Summary, _ *state) (string, string) {
	var found []string
	for _, r := range sum.Symptoms {
		if r.Words != symptomWords(alerts.Report{}) {
			found = append(found, r.Night.String()+" "+r.Words)
		}
	}
	return ifAny(found, "You told us about something with an eye. How did it go on, is any of it still there, and has it come back?")
}

// soreNights are the nights without lenses for a sore eye, also those at rest.
func soreNights(sum *Summary) (nights []string) {
	for _, r := range sum.Nights {
		if r.Counted == Missed && r.Reason == "sore-eye" {
			nights = append(nights, r.Night.String())
		}
	}
	return nights
}

// soreEyeNights are the nights without lenses for a sore eye.
func soreEyeNights(sum *Summary, _ *state) (string, string) {
	return ifAny(soreNights(sum), "Lenses stayed out because of a sore eye, which was right. What was it like, how long did it last, and has anybody looked at it?")
}

// waterNights is every night on which water got to a lens or the case.
func waterNights(sum *Summary, _ *state) (string, string) {
	var found []string
	for _, c := range sum.Care {
		if c.Item == "tap_water" || c.Item == "water_contact" {
			found = append(found, dates(c.Nights, strings.ReplaceAll(c.Item, "_", " "))...)
		}
	}
	return ifAny(found, "Water got to the lenses or the case. It is an easy slip, and the one we most want to help with: water can carry germs that solution does not deal with.")
}

// sightFading compares the last evenings with those before.
func sightFading(sum *Summary, _ *state) (string, string) {
	was, is, holds := fading(sum.Sight)
	if !holds {
		return "", ""
	}
	text := "Sight in the evening has been less clear lately than it used to be. Let us look at the eyes, the lenses and the nights behind it."
	return text, fmt.Sprintf("middle of the last %d evenings %.1f of 5, before that %.1f; missed or short nights in the range: %d", sightRecent, is, was, sum.Counts.Missed+sum.Counts.Short)
}

// adaptationBehind are the eyes in which the effect builds more slowly than expected.
func adaptationBehind(sum *Summary, _ *state) (string, string) {
	var eyes []string
	for _, e := range sum.Effect {
		if e.Status == string(vision.Behind) {
			eyes = append(eyes, e.Eye+" eye: "+e.Why)
		}
	}
	return ifAny(eyes, "The effect is building more slowly than we would expect by now. We would like to check how the lenses sit.")
}

func ifAny(found []string, text string) (string, string) {
	if len(found) == 0 {
		return "", ""
	}
	return text, list(found)
}

// list joins up to six pieces of evidence and says how many more there are.
func list(found []string) string {
	const most = 6
	if len(found) <= most {
		return strings.Join(found, "; ")
	}
	return fmt.Sprintf("%s; and %d more", strings.Join(found[:most], "; "), len(found)-most)
}

func dates(nights []civil.Date, what string) []string {
	var out []string
	for _, d := range nights {
		out = append(out, d.String()+" "+what)
	}
	return out
}

// stuckTwice returns the mornings with a stuck lens that had another one
// within 7 days.
func stuckTwice(rows []MorningRow) []string {
	var out []string
	var last civil.Date
	for _, r := range rows {
		if r.Moved != "stuck" && r.Moved != "stuck-came-off" {
			continue
		}
		if !last.IsZero() && r.Night.DaysSince(last) <= 7 {
			if len(out) == 0 {
				out = append(out, "night of "+last.String())
			}
			out = append(out, "night of "+r.Night.String())
		}
		last = r.Night
	}
	return out
}

// halosPersist raises troublesome halos on 3 of the last 14 evenings after
// week 5 of wear.
func halosPersist(sum *Summary, s *state) (string, string) {
	const weekFive, few, look = 35, 3, 14
	if s.plan.FirstNight.IsZero() || s.to.DaysSince(s.plan.FirstNight) < weekFive {
		return "", ""
	}
	var found []string
	for _, r := range sum.Sight {
		if r.Halos == "troublesome" && s.to.DaysSince(r.Night) < look && r.Night.DaysSince(s.plan.FirstNight) >= weekFive {
			found = append(found, r.Night.String())
		}
	}
	if len(found) < few {
		return "", ""
	}
	return "Rings or glare round lights are still a bother. They usually settle over the first month, so we would like to look into it.", list(found)
}

// firstYearCaution is the first-year growth from which one ten-year study saw
// long eyes later: 0.28 mm.
const firstYearCaution = 0.28

func fastGrowth(rows []GrowthRow) (string, string) {
	var found []string
	for _, g := range rows {
		if g.MMPerYear != nil && (g.Class == string(vision.Rapid) || *g.MMPerYear >= firstYearCaution) {
			found = append(found, fmt.Sprintf("%s eye %.2f mm a year (%.2f to %.2f)", g.Eye, *g.MMPerYear, value(g.Low), value(g.High)))
		}
	}
	return ifAny(found, "At least one eye is growing faster than we would hope for. Two measurements are not the whole story; let us measure again and talk about what else can be done.")
}

func value(p *float64) float64 {
	if p == nil {
		return 0
	}
	return *p
}
