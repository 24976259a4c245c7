package alerts_test

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nightkeep/alerts"
)

// space is every sign of one eye with its answers from harmless to worst, as
// the entry contract states them; the harmless answer is first.
var space = []struct {
	sign    string
	answers []string
}{
	{"pain", []string{"none", "gone", "persists", "severe"}},
	{"redness", []string{"none", "mild", "marked"}},
	{"light", []string{"no", "yes"}},
	{"sight", []string{"same", "clears", "blurred"}},
	{"discharge", []string{"none", "watering", "waking", "pus"}},
	{"spot", []string{"no", "yes"}},
	{"gritty", []string{"no", "insertion", "stays"}},
	{"lens", []string{"out", "in", "broken", "stuck-came-off", "stuck", "cannot-find"}},
	{"injury", []string{"no", "knock", "chemical"}},
}

const chunk = 40320

// spaceSize is 5*4*3*4*5*3*4*7*4: each sign's answers and "don't know".
const spaceSize = 403200

// report decodes case i; digit 0 of a sign is "don't know".
func report(i int) map[string]string {
	eye := map[string]string{}
	for _, s := range space {
		if d := i % (len(s.answers) + 1); d > 0 {
			eye[s.sign] = s.answers[d-1]
		}
		i /= len(s.answers) + 1
	}
	return eye
}

func harmless() map[string]string {
	eye := map[string]string{}
	for _, s := range space {
		eye[s.sign] = s.answers[0]
	}
	return eye
}

// published is the triage written by hand from the published warning signs,
// without looking at the table: worst single sign, and the pairings that raise
// redness. It returns None for anything below urgent.
//
// Singles, emergency: pain after removal, light sensitivity, blur that stays,
// white spot, pus (CDC, FDA labelling, College of Optometrists, AAO), injury or
// chemical (common practice). Urgent: redness alone, grittiness after removal,
// watering or discharge on waking, a bound lens with soreness; a lens that does
// not come out (FDA labelling, sticking lens). Redness with any pain, any blur,
// or a lens that was bound rises to emergency.
func published(e map[string]string) alerts.Level {
	is := func(sign string, answers ...string) bool { return slices.Contains(answers, e[sign]) }
	isRed := is("redness", "mild", "marked")
	bound := is("lens", "stuck-came-off", "stuck", "cannot-find")
	switch {
	case is("pain", "persists", "severe"), is("light", "yes"), is("sight", "blurred"),
		is("spot", "yes"), is("discharge", "pus"), is("injury", "knock", "chemical"):
		return alerts.Emergency
	case isRed && (is("pain", "gone") || is("sight", "clears") || bound):
		return alerts.Emergency
	case isRed, is("gritty", "stays"), is("discharge", "watering", "waking"),
		is("lens", "stuck", "cannot-find"), bound && (is("pain", "gone") || is("gritty", "insertion")):
		return alerts.Urgent
	}
	return alerts.None
}

func TestEveryCombinationOfSigns(t *testing.T) {
	t.Parallel()
	js := startNode(t, "enumerate", strconv.Itoa(chunk))
	tb := alerts.Default()
	left := harmless()
	level, couldBe := make([]alerts.Level, spaceSize), make([]alerts.Level, spaceSize)
	hash := sha256.New()
	var sums []string
	for i := range spaceSize {
		right := report(i)
		o := tb.Triage(alerts.Report{Right: right, Left: left, Ill: "no"})
		level[i], couldBe[i] = o.Level, o.CouldBe
		if got, want := max(o.Level, alerts.Routine), max(published(right), alerts.Routine); got != want {
			t.Fatalf("%v: level %v, published %v", right, got, want)
		}
		checkAdvice(t, right, o)
		fmt.Fprintln(hash, line(o))
		if (i+1)%chunk == 0 {
			sums = append(sums, hex.EncodeToString(hash.Sum(nil)))
			hash.Reset()
		}
	}
	checkMonotone(t, level, couldBe)
	sums = append(sums, strconv.Itoa(spaceSize))
	if got := js(); !slices.Equal(got, sums) {
		t.Errorf("JavaScript disagrees:\n got %v\nwant %v", got, sums)
	}
	t.Logf("%d combinations of the signs of one eye, the same in Go and JavaScript", spaceSize)
}

func line(o alerts.Outcome) string {
	found := make([]string, len(o.Findings))
	for i, f := range o.Findings {
		found[i] = f.Rule + ":" + f.Eye + ":" + f.State.String()
	}
	return fmt.Sprintf("%v %v %t %s %s %s", o.Level, o.CouldBe, o.Unknown,
		strings.Join(found, ","), strings.Join(o.Actions, ","), strings.Join(o.Cautions, ","))
}

// checkAdvice asks of every outcome what the family must always be told.
func checkAdvice(t *testing.T, right map[string]string, o alerts.Outcome) {
	t.Helper()
	must := []string{"watch"}
	switch o.Level {
	case alerts.Emergency:
		must = []string{"lenses-out", "no-lens", "call-now", "keep-lenses", "bring"}
	case alerts.Urgent:
		must = []string{"lenses-out", "no-lens", "call-today", "keep-lenses", "bring"}
	}
	if o.Unknown {
		must = append(must, "unsure")
	}
	for _, a := range must {
		if !slices.Contains(o.Actions, a) {
			t.Fatalf("%v: level %v does not tell %q: %v", right, o.Level, a, o.Actions)
		}
	}
	first := "lenses-out" // with a lens in, removal comes first, but for first aid
	if right["injury"] == "chemical" {
		first = "rinse-eye"
	}
	if o.Level >= alerts.Urgent && o.Actions[0] != first {
		t.Fatalf("%v: first step %q, want %q", right, o.Actions[0], first)
	}
	if !slices.Contains(o.Cautions, "caution.cannot-see") || !slices.Contains(o.Cautions, "caution.worried") {
		t.Fatalf("%v: cautions %v", right, o.Cautions)
	}
	if o.Unknown != (len(right) < len(space)) && published(right) == alerts.None {
		t.Fatalf("%v: unknown %t with %d of %d answered", right, o.Unknown, len(right), len(space))
	}
}

// checkMonotone asks that worsening a sign, or leaving it unanswered instead of
// harmless, never lowers the level, and that what an unanswered sign could be
// covers every answer to it.
func checkMonotone(t *testing.T, level, couldBe []alerts.Level) {
	t.Helper()
	stride := 1
	for _, s := range space {
		n := len(s.answers) + 1
		for i := range level {
			d := i / stride % n
			worse := i + stride
			if d > 0 && d+1 < n && (level[worse] < level[i] || couldBe[worse] < couldBe[i]) {
				t.Fatalf("%v: worsening %s lowers %v to %v", report(i), s.sign, level[i], level[worse])
			}
			unanswered := i - d*stride
			if d == 1 && level[unanswered] < level[i] {
				t.Fatalf("%v: leaving %s unanswered lowers the level", report(i), s.sign)
			}
			if couldBe[unanswered] < level[i] {
				t.Fatalf("%v: could be %v hides an answer of %s", report(unanswered), couldBe[unanswered], s.sign)
			}
		}
		stride *= n
	}
}

// startNode starts the JavaScript evaluator and returns a function that waits
// for its lines.
func startNode(t *testing.T, args ...string) func() []string {
	t.Helper()
	return nodeWith(t, nil, args...)
}

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
