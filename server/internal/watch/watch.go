// Package watch says what whoever runs the server must see to, and how grave it
// is. It is pure: facts and a time go in, words come out; `/healthz`, `/status`,
// the metrics and the console's list all show the same. It names no person.
package watch

import (
	"fmt"
	"slices"
	"time"
)

// Degree is how grave a trouble is.
type Degree int

// The degrees. Only [Fails] makes `/healthz` answer 503.
const (
	Degraded Degree = iota + 1 // works, and will not for long or not as promised
	Fails                      // something families or the practice rely on does not work now
)

// String returns the word of `/healthz`: well, degraded or fails.
func (d Degree) String() string { return [...]string{"well", "degraded", "fails"}[d] }

// Trouble is one thing to see to.
type Trouble struct {
	What   string // stable word, the label of its metric: see [Words]
	Degree Degree
	Text   string // what is wrong, with its figure, and what to do
}

// Words returns every stable word there is.
func Words() []string {
	return []string{"disk", "space", "reports", "ladder", "outbox", "tick", "push", "backup", "duty", "clock", "certificate", "unreadable", "rehearsal", "restored"}
}

// Facts are what the program knows about itself. A nil pointer, or a zero time
// where said, means that nobody knows.
type Facts struct {
	Refused      time.Time     // when the disk last took no write; zero: never
	RefusesStill bool          // and none since
	Gone         bool          // the data file was taken away, or another put in its place
	Free         *int64        // bytes free where the data file is
	File         int64         // bytes of the data file
	OldestOutbox time.Time     // since when the oldest message waits; zero: none does
	LadderFails  time.Time     // since when the ladder of alerts cannot be climbed; zero: it can
	ReportsFail  time.Time     // since when what phones send is not stored, by a fault of ours; zero: it is
	LastTick     time.Time     // of the reminders; zero: there is none
	PushFailing  time.Time     // since when no push service took anything; zero: they do
	Backup       *Backup       // nil: none is scheduled
	OnDuty       *bool         // whether an alert would find somebody on the rota now; nil: no rota
	ClockStep    time.Duration // by how much the clock was set within the last day
	ClockSynced  *bool         // whether the machine's clock is held by a time service
	CertEnds     time.Time     // of the certificate shown; zero: a proxy's, or none
	CertSpoilt   bool          // a newer one in the files cannot be used
	CertWrong    string        // why browsers refuse the one shown; empty: nothing is known
	CertWaits    string        // why they would refuse a newer one in the files, which was not taken; empty: there is none
	Unreadable   int           // stored records set aside
	LostPeople   int           // of these, records of who somebody is, or parts of the file that held some
	LostAlerts   int           // of these, alerts and messages, or parts of the file that held some
	Restored     time.Time     // when a file was put back of which nobody has yet seen to what it lacks; zero: none
	Blind        bool          // and nobody knows which alerts were open in the file before
	LeftAlerts   int           // that were open in the file before, and could not be carried over
	Rehearsed    time.Time     // when a backup was last tried and worked; zero: never
}

// Backup is how the scheduled backups are.
type Backup struct {
	Newest time.Time     // that was verified; zero: none yet
	Every  time.Duration // how often one is due
	Failed string        // why the last try failed; empty: it did not
}

// Limits of our own design, not published figures, but for the certificate:
// ACME clients renew at a third of a certificate's life, 30 of 90 days, so that
// 14 days mean that renewing has failed for two weeks.
const (
	refusedLong = time.Hour
	leastFree   = 256 << 20 // bytes; and three times the file: a backup, a copy kept at an upgrade, room to grow
	outboxLong  = 15 * time.Minute
	tickLong    = 3 * time.Minute
	pushLong    = 10 * time.Minute
	certSoon    = 14 * 24 * time.Hour
	quarter     = 92 * 24 * time.Hour // no quarter of a year is longer
)

// Look returns every trouble at now, the gravest first.
func Look(f Facts, now time.Time) []Trouble {
	var out []Trouble
	say := func(is bool, what string, d Degree, format string, args ...any) {
		if is {
			out = append(out, Trouble{what, d, fmt.Sprintf(format, args...)})
		}
	}
	say(f.RefusesStill, "disk", Fails, "The disk takes no write since %s: nothing that families send is stored. Is it full, or read-only?", clock(f.Refused))
	say(f.Gone, "disk", Fails, "The data file was taken away, or another was put in its place, while the server runs: what families send now would be gone with the next start. Run backup now, which copies what the server still has, then stop the server and restore that backup.")
	say(!f.RefusesStill && !f.Refused.IsZero() && now.Sub(f.Refused) < refusedLong, "disk", Degraded,
		"The disk refused a write at %s and has taken some since. Look at its log before it does so again.", clock(f.Refused))
	if f.Free != nil {
		need := max(leastFree, 3*f.File)
		say(*f.Free < need, "space", Degraded, "%s are free where the data is; want %s, which is room for a backup, a copy at an upgrade, and a year.", size(*f.Free), size(need))
	}
	say(!f.ReportsFail.IsZero(), "reports", Fails, "What phones report is not stored since %s, and no alert comes of it: have the families of the last days phoned, look at the server's log, stop the server, and run check and repair.", clock(f.ReportsFail))
	say(!f.LadderFails.IsZero(), "ladder", Fails, "Alerts are not passed on since %s: phone whoever is on duty, look at the server's log, stop the server, and run check and repair.", clock(f.LadderFails))
	waits := now.Sub(f.OldestOutbox)
	say(!f.OldestOutbox.IsZero() && waits >= outboxLong, "outbox", Fails, "A message to somebody of the practice has waited %d minutes: pushes and mails do not go out. Is this machine's network up, and does the mail server answer?", int(waits.Minutes()))
	say(!f.LastTick.IsZero() && now.Sub(f.LastTick) >= tickLong, "tick", Fails, "Reminders stand still since %s: please restart the server and keep its log.", clock(f.LastTick))
	say(!f.PushFailing.IsZero() && now.Sub(f.PushFailing) >= pushLong, "push", Degraded, "No push service has taken a notification since %s.", clock(f.PushFailing))
	out = append(out, ofBackup(f.Backup, now)...)
	say(f.Backup != nil && !f.Backup.Newest.IsZero() && RehearsalDue(f.Rehearsed, now), "rehearsal", Degraded, "%s", rehearsalWords(f.Rehearsed, now))
	say(f.OnDuty != nil && !*f.OnDuty, "duty", Degraded, "Nobody is on duty now: an alert goes at once to everybody of the rota and to the owner.")
	say(f.ClockStep != 0, "clock", Degraded, "The clock was set by %s within the last day.", f.ClockStep.Round(time.Second))
	say(f.ClockStep == 0 && f.ClockSynced != nil && !*f.ClockSynced, "clock", Degraded, "No time service holds this machine's clock: reminders and the ladder rely on it. Turn one on.")
	if !f.CertEnds.IsZero() {
		left := f.CertEnds.Sub(now)
		say(left <= 0, "certificate", Fails, "The certificate ended on %s: phones and browsers refuse this server.", f.CertEnds.UTC().Format("2 January 2006"))
		say(left > 0 && left < certSoon, "certificate", Degraded, "The certificate ends in %d days and was not renewed.", int(left.Hours()/24))
	}
	ended := !f.CertEnds.IsZero() && !now.Before(f.CertEnds)
	say(f.CertWrong != "" && !ended, "certificate", Fails, "Phones and browsers refuse the certificate that is shown: %s. Put one in place that is for the address people type and valid now.", f.CertWrong)
	say(f.CertWaits != "", "certificate", Degraded, "The files of the certificate were changed, and phones would refuse the new one: %s. The one before is shown until the server starts again; put the right one in place.", f.CertWaits)
	say(f.CertSpoilt, "certificate", Degraded, "The files of the certificate were changed and cannot be used: the one before is shown, and the server would not start again. The log says why; put certificate and key in place that belong together.")
	say(f.LostAlerts > 0, "unreadable", Fails, "%d alerts or messages, or parts of the file that held some, cannot be read: somebody may wait for an answer that nobody sees. Ask whoever is on duty to phone the families of the last days, stop the server, and run check and repair.", f.LostAlerts)
	say(f.LostAlerts == 0 && f.LostPeople > 0, "unreadable", Fails, "%d records of people, families or devices, or of what lets them in, or parts of the file that held some, cannot be read: somebody may not be told of an alert, and a phone or a member of staff may not be let in. Have the families of the last days phoned, stop the server, and run check and repair.", f.LostPeople)
	say(f.LostAlerts+f.LostPeople == 0 && f.Unreadable > 0, "unreadable", Degraded, "%d stored records cannot be read and are set aside; the rest is served. Keep a backup from before, and run a check.", f.Unreadable)
	say(f.LeftAlerts > 0, "restored", Fails, "%d alerts were open in the file that a backup replaced on %s, and could not be carried over: phone the families that reported of late now, and say on the page of the audit log when all is seen to.", f.LeftAlerts, f.Restored.UTC().Format("2 January 2006"))
	say(f.LeftAlerts == 0 && f.Blind, "restored", Fails, "Which alerts were open in the file that stood here before %s is not known: phone the families that reported of late now, and say on the page of the audit log when all is seen to.", f.Restored.UTC().Format("2 January 2006"))
	say(f.LeftAlerts == 0 && !f.Blind && !f.Restored.IsZero(), "restored", Degraded, "A backup, a repaired or an older file was put back, noticed on %s, and nobody has said yet that what it lacks is seen to: an administrator does so on the page of the audit log.", f.Restored.UTC().Format("2 January 2006"))
	slices.SortStableFunc(out, func(a, b Trouble) int { return int(b.Degree) - int(a.Degree) })
	return out
}

// RehearsalDue reports whether a backup ought to be tried now: none ever was, or
// the last that worked was tried more than a quarter of a year ago. last is zero
// when none was.
func RehearsalDue(last, now time.Time) bool { return now.Sub(last) > quarter }

func rehearsalWords(last, now time.Time) string {
	if last.IsZero() {
		return "No backup was tried yet, so nobody knows whether one can be restored: try one with restore -rehearsal, and note under Settings how it went."
	}
	return fmt.Sprintf("A backup was last tried %d days ago; try one every quarter with restore -rehearsal, and note under Settings how it went.", int(now.Sub(last).Hours()/24))
}

func ofBackup(b *Backup, now time.Time) []Trouble {
	switch {
	case b == nil:
		return []Trouble{{"backup", Degraded, "No backups are scheduled: set backup-dir."}}
	case b.Failed != "":
		return []Trouble{{"backup", Degraded, "The last backup failed: " + b.Failed + "."}}
	case b.Newest.IsZero():
		return []Trouble{{"backup", Degraded, "There is no verified backup yet."}}
	case now.Sub(b.Newest) > 2*b.Every:
		return []Trouble{{"backup", Degraded, fmt.Sprintf("The newest verified backup is %d hours old; one is due every %d.", int(now.Sub(b.Newest).Hours()), int(b.Every.Hours()))}}
	}
	return nil
}

// Worst returns the gravest degree, 0 when there is no trouble.
func Worst(list []Trouble) Degree {
	if len(list) == 0 {
		return 0
	}
	return list[0].Degree
}

func clock(t time.Time) string { return t.UTC().Format("2 January 15:04 UTC") }

// size says bytes in the units of IEC 80000-13.
func size(n int64) string {
	if n >= 1<<30 {
		return fmt.Sprintf("%.1f GiB", float64(n)/(1<<30))
	}
	return fmt.Sprintf("%d MiB", n>>20)
}
