package alerts_test

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nightkeep/alerts"
)

// space is every sign of a report with its answers from harmless to worst, as
// the entry contract states them; the harmless answer is first. Those after
// "pupil" are asked once, whatever the eyes.
var space = []struct {
	sign    string
	answers []string
}{
	{"pain", []string{"none", "gone", "persists", "beyond", "severe"}},
	{"redness", []string{"none", "mild", "marked", "blood"}},
	{"light", []string{"no", "yes"}},
	{"sight", []string{"same", "clears", "blurred", "double", "curtain", "lost"}},
	{"discharge", []string{"none", "watering", "waking", "pus"}},
	{"spot", []string{"no", "yes"}},
	{"gritty", []string{"no", "insertion", "stays"}},
	{"lens", []string{"out", "in", "broken", "stuck-came-off", "stuck", "cannot-find"}},
	{"injury", []string{"no", "grit", "scratch", "knock", "cut", "fragment", "chemical"}},
	{"lid", []string{"no", "swollen", "shut"}},
	{"pupil", []string{"no", "yes"}},
	{"ill", []string{"no", "yes"}},
	{"now", []string{"none", "pain", "shut", "sight", "cut", "chemical"}},
	{"water", []string{"no", "yes"}},
}

// ofEye is how many of the signs are asked of each eye.
const ofEye = 11

// said is a report: an answer for each sign, 0 for "don't know", 1 for the
// harmless one.
type said [14]uint8

func allHarmless() (s said) {
	for i := range s {
		s[i] = 1
	}
	return s
}

// words returns the answers in words.
func (s said) words() map[string]string {
	out := map[string]string{}
	for i, d := range s {
		if d > 0 {
			out[space[i].sign] = space[i].answers[d-1]
		}
	}
	return out
}

// report is about two eyes; what is asked once is taken from right.
func (s said) report(left said) alerts.Report {
	r := alerts.Report{Right: map[string]string{}, Left: map[string]string{}}
	for i := range space {
		if i < ofEye {
			put(r.Right, i, s[i])
			put(r.Left, i, left[i])
		}
	}
	whole := s.words()
	r.Ill, r.Now, r.Water = whole["ill"], whole["now"], whole["water"]
	return r
}

func put(eye map[string]string, i int, d uint8) {
	if d > 0 {
		eye[space[i].sign] = space[i].answers[d-1]
	}
}

func randomReport(rnd *rand.Rand) alerts.Report {
	var right, left said
	for i := range space {
		right[i], left[i] = uint8(rnd.IntN(len(space[i].answers)+1)), uint8(rnd.IntN(len(space[i].answers)+1))
	}
	r := right.report(left)
	r.Other = []string{"", "usual", "not-usual", "unknown"}[rnd.IntN(4)]
	if rnd.IntN(4) == 0 {
		r.Left = nil
	}
	return r
}

// groups returns the signs that share a rule, directly or over other rules. A
// rule looks at the signs of one group only, so the level of any report is the
// greatest of the levels of its groups: what holds for every combination inside
// each group holds for every combination of all signs.
func groups(tb *alerts.Table) [][]int {
	of := make([]int, len(space)) // the least sign of the group
	for i := range of {
		of[i] = i
	}
	for _, r := range tb.Rules {
		if r.About != "symptoms" {
			continue
		}
		var in []int
		for i, s := range space {
			if looksAt(&r.When, s.sign) {
				in = append(in, i)
			}
		}
		for _, i := range in[1:] {
			a, b := of[i], of[in[0]]
			for k := range of {
				if of[k] == a || of[k] == b {
					of[k] = min(a, b)
				}
			}
		}
	}
	var out [][]int
	for i := range of {
		var g []int
		for k := range of {
			if of[k] == i {
				g = append(g, k)
			}
		}
		if g != nil {
			out = append(out, g)
		}
	}
	return out
}

func looksAt(c *alerts.Cond, sign string) bool {
	for _, list := range [][]alerts.Cond{c.All, c.Any} {
		for i := range list {
			if looksAt(&list[i], sign) {
				return true
			}
		}
	}
	return c.Not != nil && looksAt(c.Not, sign) || string(c.Sign) == sign
}

// combinations returns every combination of the answers to some signs, with all
// others harmless; the first sign turns fastest.
func combinations(group []int) []said {
	out := []said{allHarmless()}
	for k := len(group) - 1; k >= 0; k-- {
		i := group[k]
		var more []said
		for _, s := range out {
			for d := range len(space[i].answers) + 1 {
				s[i] = uint8(d)
				more = append(more, s)
			}
		}
		out = more
	}
	return out
}

// few returns every report in which at most n signs are not harmless.
func few(n int) []said {
	out := []said{allHarmless()}
	from, first := 0, map[said]int{allHarmless(): 0}
	for range n {
		to := len(out)
		for _, s := range out[from:to] {
			for i := first[s]; i < len(space); i++ {
				for d := range len(space[i].answers) + 1 {
					if d != 1 {
						next := s
						next[i] = uint8(d)
						out = append(out, next)
						first[next] = i + 1
					}
				}
			}
		}
		from = to
	}
	return out
}

// published is the triage written by hand from the published warning signs,
// without looking at the table: worst single sign, and the pairings that raise
// another. It returns None for anything below urgent.
//
// Singles, emergency: pain after removal, light sensitivity, blur that stays,
// white spot, pus (CDC, FDA labelling, College of Optometrists, AAO); severe
// pain, any sudden change of sight, blood, an odd pupil, an eye that does not
// open, an injury but grit and scratch, a chemical (NHS, eye injuries and urgent
// eye lists). Urgent: redness alone, grittiness after removal, watering or
// discharge on waking, a swollen lid, a scratch, a bound lens with soreness; a
// lens that does not come out (FDA labelling, sticking lens); a broken lens with pain
// (abrasion, College of Optometrists); any sign after water (CDC). Redness with any pain, any blur, or a lens that was bound rises
// to emergency, and so does a swollen lid with illness (NHS).
func published(e map[string]string) alerts.Level {
	is := func(sign string, answers ...string) bool { return slices.Contains(answers, e[sign]) }
	isRed := is("redness", "mild", "marked", "blood")
	bound := is("lens", "stuck-came-off", "stuck", "cannot-find")
	gone, swollen := is("pain", "gone"), is("lid", "swollen")
	switch {
	case is("pain", "persists", "beyond", "severe"), is("light", "yes"), is("sight", "blurred", "double", "curtain", "lost"),
		is("spot", "yes"), is("discharge", "pus"), is("injury", "knock", "cut", "fragment", "chemical"),
		is("redness", "blood"), is("pupil", "yes"), is("lid", "shut"), is("now", "pain", "shut", "sight", "cut", "chemical"):
		return alerts.Emergency
	case isRed && (gone || is("sight", "clears") || bound), swollen && is("ill", "yes"):
		return alerts.Emergency
	case isRed, swollen, is("gritty", "stays"), is("discharge", "watering", "waking"), is("injury", "scratch"),
		is("lens", "stuck", "cannot-find"), is("lens", "broken") && gone, bound && (gone || is("gritty", "insertion")),
		is("water", "yes") && gone:
		return alerts.Urgent
	}
	return alerts.None
}

// TestEveryCombinationOfSigns judges every combination of the signs that share a
// rule, and every report with up to three answers that are not harmless, about
// one eye, and up to two about both. Both evaluators say the same of each.
func TestEveryCombinationOfSigns(t *testing.T) {
	t.Parallel()
	tb := alerts.Default()
	var cases [][2]said
	for _, g := range groups(tb) {
		all := combinations(g)
		for _, s := range all {
			cases = append(cases, [2]said{s, allHarmless()})
		}
		checkMonotone(t, tb, g, all)
	}
	for _, s := range few(3) {
		cases = append(cases, [2]said{s, allHarmless()})
	}
	for _, right := range few(1) {
		for _, left := range few(1) {
			cases = append(cases, [2]said{right, left})
		}
	}
	js := nodeWith(t, caseLines(cases), "reports", strconv.Itoa(chunk))
	hash := sha256.New()
	var sums []string
	for i, c := range cases {
		r := c[0].report(c[1])
		o := tb.Triage(r)
		checkLevel(t, c, o)
		checkAdvice(t, c, o)
		m := tb.ReportMarks(r)
		checkMarks(t, c, o, m)
		fmt.Fprintf(hash, "%s %v %v\n", line(o), m.Right, m.Left)
		if (i+1)%chunk == 0 || i+1 == len(cases) {
			sums = append(sums, hex.EncodeToString(hash.Sum(nil)))
			hash.Reset()
		}
	}
	sums = append(sums, strconv.Itoa(len(cases)))
	if got := js(); !slices.Equal(got, sums) {
		t.Errorf("JavaScript disagrees:\n got %v\nwant %v", got, sums)
	}
	t.Logf("%d reports, the same in Go and JavaScript", len(cases))
}

const chunk = 20000

// caseLines writes a report a line: a digit for each sign of the right eye and
// of the whole report, and of the left eye.
func caseLines(cases [][2]said) []byte {
	var b bytes.Buffer
	for _, c := range cases {
		for _, s := range c {
			for _, d := range s {
				b.WriteByte('0' + d)
			}
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// both returns the answers of each eye, with what is asked once.
func both(c [2]said) (right, left map[string]string) {
	l := c[1]
	copy(l[ofEye:], c[0][ofEye:])
	return c[0].words(), l.words()
}

func checkLevel(t *testing.T, c [2]said, o alerts.Outcome) {
	t.Helper()
	right, left := both(c)
	want := max(published(right), published(left), alerts.Routine)
	if got := max(o.Level, alerts.Routine); got != want {
		t.Fatalf("%v, left %v: level %v, published %v", right, left, got, want)
	}
}

func line(o alerts.Outcome) string {
	found := make([]string, len(o.Findings))
	for i, f := range o.Findings {
		found[i] = f.Rule + ":" + f.Eye + ":" + f.State.String()
	}
	return fmt.Sprintf("%v %v %t %t %s %s %s", o.Level, o.CouldBe, o.Unknown, o.Unsure,
		strings.Join(found, ","), strings.Join(o.Actions, ","), strings.Join(o.Cautions, ","))
}

// never are advice steps that contradict each other: they are never told
// together, whatever was answered about whichever eye.
var never = []struct{ one, other, why string }{
	{"rinse-eye", "leave-lens", "a chemical is rinsed out, whatever else there is"},
	{"rinse-eye", "no-rinse", "rinse and do not rinse"},
	{"rinse-eye", "lenses-out", "the lens comes out while rinsing, not with clean dry hands before it"},
	{"rinse-eye", "lens-if-loose", "the lens comes out while rinsing"},
	{"rinse-eye", "no-tap-water", "whatever clean water is nearest"},
	{"rinse-eye", "stuck-steps", "no drops and no waiting before rinsing"},
	{"leave-lens", "lenses-out", "leave it and take it out"},
	{"leave-lens", "lens-if-loose", "leave it and take it out"},
	{"leave-lens", "stuck-steps", "no pressing on the lid of an eye that is cut"},
	{"leave-lens", "rinse-grit", "no rinsing of what is stuck"},
	{"go-now", "watch", "go now and look again today"},
	{"call-now", "watch", "be seen now and look again today"},
	{"stuck-lens", "lenses-out", "a lens that does not come is not taken out now"},
	{"stuck-lens", "rinse-grit", "a rinse with the lens out, and a lens that is not out"},
	{"stuck-lens", "stuck-again", "a lens that is stuck, and one that came off"},
	{"go-now", "stuck-steps", "no drops and no waiting before going"},
	{"go-now", "find-lens", "no looking about before going"},
	{"go-now", "rinse-grit", "no rinsing before going"},
	{"go-now", "stuck-press", "no pressing on an eye that lost its sight, hurts very badly or was hit"},
	{"call-now", "stuck-press", "no pressing on a red, painful or dim eye"},
	{"no-patch", "stuck-press", "no pressing on an eye with a scratch or grit"},
	{"stuck-again", "stuck-press", "no pressing on an eye that is sore"},
	{"leave-lens", "watch", "watch says to take the lens out"},
	{"lens-if-loose", "lenses-out", "only if it comes out easily"},
	{"lens-if-loose", "stuck-steps", "no pressing on the lid of an eye that was hit"},
	{"shield", "stuck-steps", "no pressing"},
	{"shield", "rinse-grit", "no touching of an eye that was hit or cut"},
	{"no-rinse", "rinse-grit", "rinse and do not rinse"},
	{"no-lens", "no-lens-tonight", "until the practice says so is longer than tonight"},
	{"go-now", "call-now", "one way to get help at a time"},
	{"go-now", "call-today", "now and today"},
	{"go-now", "call-clinic", "now and on the next working day"},
	{"go-now", "tell-at-recall", "now and at the next visit"},
	{"call-now", "call-today", "now and today"},
	{"call-now", "call-clinic", "now and on the next working day"},
	{"call-now", "tell-at-recall", "now and at the next visit"},
	{"call-today", "call-clinic", "today and on the next working day"},
	{"call-today", "tell-at-recall", "today and at the next visit"},
	{"call-clinic", "tell-at-recall", "the next working day and the next visit"},
	{"keep-lenses", "new-case", "keep the case and throw it away"},
	{"keep-lenses", "disinfect-again", "keep what may be tested and clean it"},
	{"keep-lenses", "fresh-solution", "keep the case as it is and empty it"},
}

// contradiction returns why two of the steps must not be told together.
func contradiction(steps []string) string {
	for _, n := range never {
		if slices.Contains(steps, n.one) && slices.Contains(steps, n.other) {
			return n.one + " beside " + n.other + ": " + n.why
		}
	}
	return ""
}

func TestNoRuleContradictsItself(t *testing.T) {
	t.Parallel()
	for _, r := range alerts.Default().Rules {
		if why := contradiction(r.Actions); why != "" {
			t.Errorf("rule %s tells %s", r.ID, why)
		}
	}
}

// checkAdvice asks of every outcome what the family must always be told. One
// exception to "the rules that fired say what to do": a report below urgent that
// could be urgent, because something is not known or the questions were broken
// off, is headed by lenses out, none tonight and phone today, though no rule
// asks for it.
func checkAdvice(t *testing.T, c [2]said, o alerts.Outcome) {
	t.Helper()
	right, left := both(c)
	has := func(a string) bool { return slices.Contains(o.Actions, a) }
	must := []string{"watch"}
	switch {
	case o.Level == alerts.Emergency:
		must = []string{"no-lens", "keep-lenses", "bring"}
		if has("go-now") == has("call-now") {
			t.Fatalf("%v, left %v: want one of go-now and call-now: %v", right, left, o.Actions)
		}
	case o.Level == alerts.Urgent:
		must = []string{"no-lens", "call-today", "keep-lenses", "bring", "watch"}
	case o.Unsure:
		must = []string{"unsure", "lenses-out", "call-today", "no-lens-tonight", "watch"}
	}
	for _, a := range must {
		if !has(a) {
			t.Fatalf("%v, left %v: level %v does not tell %q: %v", right, left, o.Level, a, o.Actions)
		}
	}
	if has("unsure") != o.Unsure || o.Unsure != (o.Level < alerts.Urgent && o.CouldBe >= alerts.Urgent) {
		t.Fatalf("%v, left %v: unsure %t at %v, could be %v: %v", right, left, o.Unsure, o.Level, o.CouldBe, o.Actions)
	}
	if why := contradiction(o.Actions); why != "" {
		t.Fatalf("%v, left %v: tells %s", right, left, why)
	}
	if first := firstStep(right, left); o.Level >= alerts.Urgent && o.Actions[0] != first {
		t.Fatalf("%v, left %v: first step %q, want %q", right, left, o.Actions[0], first)
	}
	if !slices.Contains(o.Cautions, "caution.cannot-see") || !slices.Contains(o.Cautions, "caution.worried") {
		t.Fatalf("%v: cautions %v", right, o.Cautions)
	}
	all := len(right) == len(space) && len(left) == len(space)
	if calm := max(published(right), published(left)) == alerts.None; calm && (all && o.Unknown || !o.Unknown && (open(right) || open(left))) {
		t.Fatalf("%v, left %v: unknown %t", right, left, o.Unknown)
	}
}

// open reports whether a sign was not answered that means something by itself;
// water does so only beside a sign.
func open(words map[string]string) bool {
	for _, s := range space {
		if words[s.sign] == "" && s.sign != "water" {
			return true
		}
	}
	return false
}

// firstStep is what the advice opens with: rinse a chemical (NHS), leave an eye
// that is cut or holds something (AAO), press on nothing where the eye may be
// hurt inside (AAO), pull at no lens that is stuck (common practice), else take the
// lenses out.
func firstStep(right, left map[string]string) string {
	is := func(sign string, answers ...string) bool {
		return slices.Contains(answers, right[sign]) || slices.Contains(answers, left[sign])
	}
	switch {
	case is("injury", "chemical"), is("now", "chemical"):
		return "rinse-eye"
	case is("injury", "cut", "fragment"), is("now", "cut"):
		return "leave-lens"
	case is("injury", "knock"), is("redness", "blood"), is("pupil", "yes"), is("lid", "shut"), is("now", "shut"):
		return "lens-if-loose"
	case is("lens", "stuck", "cannot-find"):
		return "stuck-lens"
	}
	return "lenses-out"
}

// checkMarks asks that urgent and worse stops both eyes, that what could be
// urgent, or tells to wear none tonight, rests both, and that an eye is clear only
// when everything about it was answered harmless with the lens out, and about the
// other nothing that keeps a lens out.
func checkMarks(t *testing.T, c [2]said, o alerts.Outcome, m alerts.Marks) {
	t.Helper()
	right, left := both(c)
	if stop := m == (alerts.Marks{Right: alerts.MarkStop, Left: alerts.MarkStop}); stop != (o.Level >= alerts.Urgent) {
		t.Fatalf("%v, left %v: level %v marks %v", right, left, o.Level, m)
	}
	rest := slices.Contains(o.Actions, "no-lens-tonight")
	if rested := m == (alerts.Marks{Right: alerts.MarkRest, Left: alerts.MarkRest}); rested != rest && o.Level < alerts.Urgent {
		t.Fatalf("%v, left %v: tells %v, marks %v", right, left, o.Actions, m)
	}
	for _, e := range []struct {
		words map[string]string
		mark  alerts.Mark
	}{{right, m.Right}, {left, m.Left}} {
		harmless := len(e.words) == len(space)
		for _, s := range space { // water that did nothing yet is no sign
			harmless = harmless && (e.words[s.sign] == s.answers[0] || s.sign == "water")
		}
		if o.Level < alerts.Urgent && (harmless && !rest) != (e.mark == alerts.MarkClear) {
			t.Fatalf("%v: marked %v", e.words, e.mark)
		}
	}
}

// checkMonotone asks that worsening a sign, or leaving it unanswered instead of
// harmless, never lowers the level, and that what an unanswered sign could be
// covers every answer to it.
func checkMonotone(t *testing.T, tb *alerts.Table, group []int, all []said) {
	t.Helper()
	level, couldBe := make([]alerts.Level, len(all)), make([]alerts.Level, len(all))
	for i, s := range all {
		o := tb.Triage(s.report(allHarmless()))
		level[i], couldBe[i] = o.Level, o.CouldBe
	}
	stride := 1
	for _, g := range group {
		s := space[g]
		n := len(s.answers) + 1
		for i := range level {
			d := i / stride % n
			worse := i + stride
			if d > 0 && d+1 < n && (level[worse] < level[i] || couldBe[worse] < couldBe[i]) {
				t.Fatalf("%v: worsening %s lowers %v to %v", all[i].words(), s.sign, level[i], level[worse])
			}
			unanswered := i - d*stride
			if d == 1 && level[unanswered] < level[i] {
				t.Fatalf("%v: leaving %s unanswered lowers the level", all[i].words(), s.sign)
			}
			if couldBe[unanswered] < level[i] {
				t.Fatalf("%v: could be %v hides an answer of %s", all[unanswered].words(), couldBe[unanswered], s.sign)
			}
		}
		stride *= n
	}
}

// nodeWith starts the JavaScript evaluator and returns a function that waits
// for its lines.
func nodeWith(t *testing.T, stdin []byte, args ...string) func() []string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "node", append([]string{vectorDir + "/driver.mjs"}, args...)...)
	var out, errs bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(stdin), &out, &errs
	if err := cmd.Start(); err != nil {
		t.Fatalf("node is needed to compare both evaluators: %v", err)
	}
	return func() []string {
		if err := cmd.Wait(); err != nil {
			t.Fatalf("node: %v\n%s", err, errs.String())
		}
		var lines []string
		for s := bufio.NewScanner(&out); s.Scan(); {
			lines = append(lines, s.Text())
		}
		return lines
	}
}
