package review

import (
	"slices"

	"nightkeep/server/internal/care"
)

// lensInDays is how many nights a lens that nobody logged out may be back before the
// practice calls: from the second noon after the night, once the reminders to the
// wearer and to the parents brought no word (our choice, no published figure).
const lensInDays = 2

// lensIn holds when a lens was logged in two nights ago or earlier and nobody has
// logged since that it came out, wrote of another night in lenses, or of one without.
func lensIn(c *callState) *Reason {
	for _, n := range slices.Backward(c.Nights) {
		in, over := stillIn(&n)
		if n.Date.After(c.Tonight) || !in && !over {
			continue
		}
		if over || n.Date.After(c.Tonight.AddDays(-lensInDays)) {
			return nil
		}
		return &Reason{Text: "Lenses were logged in and not out. Are they out of both eyes, and are the eyes comfortable?",
			Evidence: "logged in on the night of " + n.Date.String() + ", no word since that they came out", Since: n.Date}
	}
	return nil
}

// stillIn reports whether a night says of an eye that a lens went in and not that it
// came out; over, that it ended in another way or had none.
func stillIn(n *care.Night) (in, over bool) {
	for _, eye := range []string{"right", "left"} {
		out := n.Item("removal/"+eye) != nil
		in = in || n.Item("insertion/"+eye) != nil && !out
		over = over || out || n.Item("not-worn/"+eye) != nil
	}
	return in, over && !in
}
