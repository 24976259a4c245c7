// Package escalate owns the life of an alert: who is told, when, and what
// happens while nobody answers. It holds the state machine, the ladder of
// steps, the rota, clinic hours, and the worker that empties the outbox.
//
// It refuses to decide what is wrong with an eye (package alerts does) and
// to store or send anything itself: callers apply events inside their own
// transaction, and the worker reaches store and channels through interfaces.
//
// Invariants: worsening undoes an acknowledgement and never slows the ladder;
// improvement never closes and never lowers; only a person of the practice
// closes. A message is sent at least once: after a crash it is sent again, and
// the notification's tag collapses the two.
package escalate
