package care

import (
	"slices"
	"strings"

	"nightkeep/schedule/civil"
)

// In reports whether the lens of an eye, "right" or "left", is in as far as the
// night says: it went in and no removal came after, also when it went in again
// after it had come out.
func (n *Night) In(eye string) bool {
	into, out := n.Item("insertion/"+eye), n.Item("removal/"+eye)
	if into == nil || out == nil {
		return into != nil
	}
	gone := n.stays(out.Key, 0)
	return slices.ContainsFunc(n.stays(into.Key, 0), func(in stay) bool {
		return in.loc != nil && !slices.ContainsFunc(gone, func(s stay) bool { return s.after(&in, n.Date) })
	})
}

// after reports whether a removal came after an insertion of the night. One that
// would only be so after [LongestWear], on the next day, was before it. Of the same
// minute the entry with the later id counts (UUIDv7); a clock that cannot be read is
// after every other.
func (s *stay) after(in *stay, night civil.Date) bool {
	if s.loc == nil {
		return true
	}
	into := in.insertion(night)
	worn, fits := Worn(night, into, s.on, s.at, s.loc)
	if worn == 0 {
		return s.entry > in.entry
	}
	return worn > 0 && (fits || !s.on.IsZero())
}

// inAgain reports whether a lens of the night went in again after it had come out.
func (n *Night) inAgain() bool {
	return slices.ContainsFunc(eyeNames[:], func(eye string) bool { return n.Item("removal/"+eye) != nil && n.In(eye) })
}

// cared reports whether lenses were cleaned since they last went in: an entry whose
// case was closed before that was no care of what came out after.
func (n *Night) cared() bool {
	w, closes := n.wear(), n.stays(closing, 0)
	before := func(f Fact) bool {
		i := slices.IndexFunc(closes, func(s stay) bool { return s.entry == f.Entry && s.loc != nil })
		return i >= 0 && slices.ContainsFunc(w.in, func(in stay) bool {
			return in.loc != nil && closes[i].insertion(n.Date).Before(in.insertion(n.Date))
		})
	}
	return slices.ContainsFunc(n.Items, func(it Item) bool {
		return strings.HasPrefix(it.Key, "care/") && it.Key != closing && slices.ContainsFunc(it.Facts, func(f Fact) bool { return !before(f) })
	})
}
