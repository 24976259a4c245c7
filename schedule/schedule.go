// Package schedule says when: which part of the care routine is due, when a
// soak is done, when a supply must be replaced and when the next visit is.
//
// It is pure. Plan, log, zone and the present instant come in; it reads no
// clock, starts no goroutine and does no I/O. It refuses to judge what was
// logged: what is wrong belongs to package alerts.
//
// Invariant: dates are calendar dates in the zone of the wearer and come out of
// package civil only, so a reminder falls due exactly once on its date, also on
// a day of 23 or 25 hours, and nothing that is overdue ever moves forward by
// itself. due.js is the twin for the browser, on the same vectors.
package schedule
