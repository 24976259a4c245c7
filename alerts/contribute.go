package alerts

// Contributes reports whether something that was logged takes part in what a
// rule about the record says: by itself it meets one comparison of the rule, in
// a night that the rule's window still holds, or it brings a fact that the rule
// looks at. night has the signs of that one entry, ago is how many nights before
// tonight it lies (negative: to come), facts are those it brings by itself. A
// care tick under a finding that stands does not; a new sign does. A rule that
// is not about the record has no part of anything.
func (t *Table) Contributes(rule string, night Night, ago int, facts Signs, settings map[string]int) bool {
	r := t.Rule(rule)
	if r == nil || r.About != "record" || ago < 0 {
		return false
	}
	in := &Input{Settings: settings}
	return t.takesPart(&r.When, &scene{in: in, now: night}, ago, facts)
}

func (t *Table) takesPart(c *Cond, s *scene, ago int, facts Signs) bool {
	switch {
	case c.Nights != nil:
		return ago < int(t.limit(c.Nights.Of, s.in.Settings)) && t.takesPart(&c.Nights.Where, s, ago, facts)
	case c.Not != nil:
		return t.takesPart(c.Not, s, ago, facts)
	case c.Sign == "":
		for _, terms := range [][]Cond{c.All, c.Any} {
			for i := range terms {
				if t.takesPart(&terms[i], s, ago, facts) {
					return true
				}
			}
		}
		return false
	case c.def.Scope == OfFact:
		v, brought := facts[c.Sign]
		// A count is brought by each of its parts; a limit from above is met or not.
		return brought && (v.isNumber && v.number > 0 && (c.Op == ">=" || c.Op == ">") || t.compare(c, &scene{in: s.in, now: facts}) == Fired)
	}
	return t.compare(c, s) == Fired
}
