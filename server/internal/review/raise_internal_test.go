package review

import (
	"slices"
	"testing"
)

// What is said of a silence is the silence: not that two entries disagree, which
// on a silent log is never so.
func TestASilenceIsSaidAsOne(t *testing.T) {
	t.Parallel()
	const evidence = "last entry received 2026-11-21; 9 nights without an entry since"
	for _, rule := range []string{"silent", "silent-early", "silence"} {
		if got := short(Point{Rule: rule, Evidence: evidence}, &Summary{}); got != evidence {
			t.Errorf("%s: %q", rule, got)
		}
	}
}

// Every reason to call and every rule that raises a point stands in a topic: one that is
// in none comes after all topics, where the first five leave it out, whatever it says.
func TestEveryRuleHasATopic(t *testing.T) {
	t.Parallel()
	var rules []string
	for _, r := range callRules() {
		rules = append(rules, r.name)
	}
	for _, r := range pointRules() {
		rules = append(rules, r.name)
	}
	for _, rule := range rules {
		if rule == "in-the-log" { // its rules stand for themselves
			continue
		}
		if !slices.ContainsFunc(topics(), func(p topic) bool { return p.has(rule) }) {
			t.Errorf("%s is in no topic", rule)
		}
	}
	danger := func(rule string) bool {
		return slices.ContainsFunc(topics(), func(p topic) bool { return p.danger && p.has(rule) })
	}
	for _, rule := range []string{"unreadable", wornHeldRule, claimed, WearBefore, stopUnwritten, eventUnstopped, afterEnd, noPlan} { // an eye that nobody follows
		if !danger(rule) {
			t.Errorf("%s is no danger", rule)
		}
	}
}
