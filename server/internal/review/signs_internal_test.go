package review

import (
	"strings"
	"testing"

	"nightkeep/alerts"
)

// Every answer of the rule table that is not the harmless one is a sign in the
// review, in words of its own; the harmless ones are none.
func TestEveryAnswerOfTheTableIsSaid(t *testing.T) {
	t.Parallel()
	for sign, answers := range alerts.Default().Answers(alerts.OfEye) {
		for i, answer := range answers {
			got := symptomWords(alerts.Report{Left: map[string]string{sign: answer}})
			if i == 0 && got != "no sign reported as present" {
				t.Errorf("%s %s: %q", sign, answer, got)
			}
			if i > 0 && (!strings.HasPrefix(got, "left: ") || signWords[sign+"/"+answer] == "") {
				t.Errorf("%s %s: %q; want words in signWords", sign, answer, got)
			}
		}
	}
	for i, answer := range alerts.Default().Answers(alerts.OfReport)["now"] {
		if got := symptomWords(alerts.Report{Now: answer}); (i > 0) == (got == "no sign reported as present") {
			t.Errorf("now %s: %q", answer, got)
		}
	}
}

// A sign or an answer that this program does not know, of a newer app or of a row
// somebody added, is never "no sign".
func TestAnUnknownSignIsNeverNone(t *testing.T) {
	t.Parallel()
	for _, said := range []map[string]string{{"crust": "yes"}, {"pain": "burning"}} {
		if got := symptomWords(alerts.Report{Right: said}); got == "no sign reported as present" || !strings.HasPrefix(got, "right: ") {
			t.Errorf("%v: %q", said, got)
		}
	}
	if got := symptomWords(alerts.Report{Now: "swelling"}); got == "no sign reported as present" {
		t.Errorf("now: %q", got)
	}
}
