// Package store keeps everything. It opens the file, brings its layout up to date,
// gives transactions, and copies, restores and renews the file. What is in it is
// kept by its rooms, each with a part of the one transaction:
//
//	tx.Register()  families, people, wearers, devices, settings   register
//	tx.Access()    codes, sessions, passkeys, consents            register
//	tx.Chart()     plans, visits, follow-ups, appointments        register
//	tx.Duty()      alerts, outbox, reminders                      duty
//	tx.Log()       entries, nights, what was received, held       log
//	tx.Audit()     who did what                                   audit
//	tx.Archive()   check, export, erase, part a shared record     archive
//
// All of them stand on pairs: buckets, content sums, digests, indices, caches. An
// import goes from a room to those above it in pairs, audit, register, duty, log,
// archive, store.
//
// Rules that keep it fast and whole: readers are short (a reader that stays open
// stops the file from using its free pages again, and can stall writers), and
// every value is copied before its transaction ends.
package store
