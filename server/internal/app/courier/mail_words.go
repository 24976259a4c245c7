package courier

import (
	"fmt"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/push"
	"nightkeep/server/internal/store"
)

// letter is what a mail may say: which practice, how grave, since when, who has
// been told. It holds nothing about a family or an eye.
type letter struct {
	to       string   // mail address
	former   []string // where it goes too: addresses of the same person until of late
	practice care.Practice
	alert    escalate.Alert // zero for a notice that is about none
	rota     escalate.Rota
	base     string // address of the server, without a final slash
	// standsFor is how many older mails this one takes the place of.
	standsFor int
}

// letter reads what a mail says, and to whom it goes; to is empty when the
// person has no address.
func (c *Courier) letter(r escalate.Row) (l letter, err error) {
	l.base, l.standsFor = c.Base(), r.StandsFor
	err = c.DB.View(func(tx *store.Tx) error {
		if l.practice, err = tx.Register().Practice(); err != nil {
			return err
		}
		if l.alert, err = tx.Duty().Alert(r.Alert); err != nil && care.KindOf(err) != care.NotFound {
			return err
		}
		if err := tx.Register().Setting("rota", &l.rota); err != nil && !store.IsUnreadable(err) {
			return err
		}
		if l.former, err = tx.Register().FormerMails(r.Target); err != nil && !store.IsUnreadable(err) {
			return err
		}
		if r.Target == escalate.PracticeOwner {
			l.to = l.practice.OwnerMail
			return nil
		}
		person, err := tx.Register().Person(r.Target)
		if store.IsUnreadable(err) { // of a message that nobody else would get the owner does
			l.to = l.practice.OwnerMail
			return nil
		}
		l.to = person.Mail
		return err
	})
	return l, err
}

// grave says a level in a mail; one that is not on the list is said as an alert.
var grave = map[escalate.Level]string{escalate.Emergency: "EMERGENCY", escalate.Urgent: "Urgent alert", escalate.Routine: "Routine alert"}

// mailWords returns the subject, a key of [mail.Subjects], and the text of a
// mail about an alert: its level, the practice, how long it has waited, who was
// told and who is next, and where it is taken. It names no family and no
// finding.
func mailWords(k escalate.Kind, l letter, now time.Time) (subject, text string) {
	switch k {
	case escalate.KindRota:
		return "rota", "Nobody is on duty at " + l.practice.Name + " for some time soon. Please open the rota in the console, under Settings:\n" + l.base + "/clinic#settings\n"
	case escalate.KindRehearse:
		return "rehearse", "No backup of " + l.practice.Name + " was tried for a quarter of a year, so nobody knows whether one can be restored. It takes ten minutes and sends nothing to anybody:\n  nightkeep restore -rehearsal -from BACKUP -data ANOTHER-FOLDER\n  nightkeep serve -rehearsal -data ANOTHER-FOLDER -addr 127.0.0.1:8081\nThen note how it went in the console, under Settings:\n" + l.base + "/clinic#settings\n"
	case escalate.KindStaff:
		return "staff", "At " + l.practice.Name + " somebody was added to the staff, was given a sign-in link, another role or another mail address, or made a passkey with such a link, or the mail address of the owner was changed. Who it is, and who did it, is in the console. If nobody can explain it to you, refuse it there and tell your colleagues:\n" + l.base + "/clinic#account\n"
	case escalate.KindSummary:
		return "summary", fmt.Sprintf("No mail could be sent for some time. This one stands for %d messages to you from %s; urgent alerts are mailed each by itself. Please open the console:\n%s/clinic\n", 1+l.standsFor, l.practice.Name, l.base)
	case escalate.KindReminder:
		return "reminder", "Something at " + l.practice.Name + " is still open with you:\n" + l.base + push.ClinicAlerts + "\n"
	}
	a := l.alert
	level, known := grave[a.Level]
	subject = string(a.Level)
	if !known {
		level, subject = "Alert", "alert"
	}
	var b strings.Builder
	if a.Drill {
		subject = "drill"
		b.WriteString("THIS IS A DRILL. Nobody is ill. Please take it all the same: that ends it.\n\n")
	}
	fmt.Fprintf(&b, "%s at %s.\n\n", level, l.practice.Name)
	if k == escalate.KindLapsed {
		if !a.Drill {
			subject = "lapsed"
		}
		b.WriteString("NOBODY HAS ANSWERED. The family has been told to phone.\n")
	}
	if !a.Since.IsZero() {
		fmt.Fprintf(&b, "It has waited %s and nobody has taken it.\n", inWords(now.Sub(a.Since)))
	}
	l.told(&b, now)
	fmt.Fprintf(&b, "\nRead it and take it:\n%s%s\n\nIf you cannot, phone a colleague who can. This mail says nothing about the family: that is in the console only.\n", l.base, cardOf(a))
	return subject, b.String()
}

// cardOf is the page of an alert in the console; no server sees what stands after
// the #.
func cardOf(a escalate.Alert) string {
	if a.ID == "" {
		return push.ClinicAlerts
	}
	return "/clinic#today/" + string(a.ID)
}

// told lists who was told when since the alert became open, on the practice's
// clock, and what comes next.
func (l letter) told(b *strings.Builder, now time.Time) {
	loc, err := time.LoadLocation(l.practice.Zone)
	if err != nil {
		loc = time.UTC
	}
	last := ""
	for _, s := range stepsOf(l.alert, now) {
		line := fmt.Sprintf("%s  %s\n", s.At.In(loc).Format("15:04"), s.Text)
		if line != last {
			b.WriteString(line)
		}
		last = line
	}
	if next := l.alert.NextStepAt; next.After(now) && l.alert.State == escalate.Open {
		then := [...]string{"who is on duty is told", "the deputy is told too", "everybody on the rota is told", "everybody is told again"}[min(l.alert.Rung, 3)]
		person, deputy := escalate.OnDuty(l.rota, next)
		if l.alert.Rung == 1 && deputy == "" {
			then = "who is on duty is told again"
		}
		if person == "" && l.alert.Owner == "" {
			then = "everybody who gets alerts is told, and the owner"
		}
		fmt.Fprintf(b, "%s  next, unless somebody takes it: %s\n", next.In(loc).Format("15:04"), then)
	}
	if len(l.alert.History) > 0 {
		fmt.Fprintf(b, "(times of %s)\n", loc)
	}
}

// stepsOf returns the steps of the ladder since the alert became open, oldest first. One
// after which no push service and no mail server took anything before the next one says
// so; what went out in the last two minutes, as this mail, may not be noted yet.
func stepsOf(a escalate.Alert, now time.Time) (steps []escalate.Event) {
	taken := []bool{}
	for _, e := range a.History {
		switch {
		case e.At.Before(a.Since):
		case e.Kind == escalate.StepDue:
			steps, taken = append(steps, e), append(taken, now.Sub(e.At) < 2*time.Minute)
		case e.Kind == escalate.Sent && len(taken) > 0:
			taken[len(taken)-1] = true
		}
	}
	for i, went := range taken {
		instead := "nothing could be sent to "
		if i == len(steps)-1 {
			instead = "told only now, by this mail: "
		}
		if !went {
			steps[i].Text = strings.Replace(steps[i].Text, "told ", instead, 1)
		}
	}
	return steps
}

// inWords says a wait in whole minutes, or hours and minutes from two hours.
func inWords(d time.Duration) string {
	m := max(0, int(d.Minutes()))
	switch {
	case m == 1:
		return "1 minute"
	case m < 120:
		return fmt.Sprintf("%d minutes", m)
	}
	return fmt.Sprintf("%d hours %d minutes", m/60, m%60)
}
