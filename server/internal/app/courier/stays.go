package courier

import (
	"context"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store/register"
)

// Stays is the courier of a rehearsal: it sends nothing.
type Stays struct{ *Courier }

const rehearsalNote = "rehearsal: nothing is sent"

// Deliver sends nothing, for good.
func (Stays) Deliver(context.Context, escalate.Row) escalate.Result {
	return escalate.Result{Verdict: escalate.Impossible, Note: rehearsalNote}
}

// Remind reminds nobody.
func (Stays) Remind(context.Context, remind.Message) error { return remind.ErrNobody }

// Test refuses.
func (Stays) Test(register.Subscription) error {
	return care.Errorf(care.Conflict, "rehearsal", "this is a rehearsal: no message leaves this server")
}
