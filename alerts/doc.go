// Package alerts says what in a family's report or log needs a person's eye.
//
// It owns one table of rules (rules.json), its English wording (texts.json),
// the check of that table ([Load]), and the evaluator ([Table.Evaluate],
// [Table.Triage]) with a JavaScript twin, evaluate.js, that gives the same
// answer on a phone without a network. It is pure: no clock, no store, no I/O
// but for printing the table. A table describes its own signs, so the
// vocabulary (name, answers from harmless to worst, range and unit) is read in
// one place: the "signs" list of rules.json, printed by [WriteText].
//
// Invariants, each held by a test over every combination of answers:
//
//   - Logic is three-valued. A missing, malformed or unheard-of answer is
//     unknown; unknown is reported as could not be assessed, never as clear.
//   - Adding a sign, worsening it, or leaving it unanswered instead of "no"
//     never lowers the level. The worst sign wins and one eye is enough.
//   - Every emergency and every urgent finding tells the family to take the
//     lenses out, to wear none, to phone, and to bring lenses, case, bottles;
//     an emergency opens with what to do about the lens: rinse, leave it, take
//     it out only if nothing has to be pressed, or take it out.
//   - Two steps that contradict each other are never told together (gives_way).
//   - What is not known and could be urgent is headed by what to do.
//   - A setting of a practice is never part of an emergency, and in an urgent
//     rule it can only make the rule fire more often, or has bounds with a
//     source.
//   - A rule's mark says what it means for wearing a lens: stop, rest or none.
//
// The package never says that an eye is well: a report without any sign still
// yields the cautions. It refuses a table with an unknown field, operator,
// sign or answer, a duplicate id, or a rule without a source.
package alerts
