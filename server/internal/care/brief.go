package care

import (
	"encoding/binary"
	"errors"
	"slices"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// Brief is what the rules may look at in one folded night, worked out once when
// the night is folded. Where two entries differ the worse value counts; what
// nobody answered is unknown. It is stored in some 50 bytes, because reading
// the whole night again for every evaluation costs far more than the rules do.
type Brief struct {
	Date civil.Date

	// Words are answers by sign, in the order of briefWords: 0 for unknown, else
	// one more than the answer's place.
	Words [len(briefWords)]uint8
	// WornMinutes, Redness, Comfort and Rating are -1 when unknown.
	WornMinutes              int
	Redness, Comfort, Rating int

	Water    bool        // tap water or any other contact with water
	Sign     bool        // a symptom report that the rules judge more than a note
	Inserted time.Time   // first insertion, UTC; zero when not logged
	Closed   []time.Time // when the case was closed, in the night or in the morning after; UTC
}

// briefWords are the signs of a night that are words, with their answers.
var briefWords = [...]struct {
	sign    alerts.Sign
	answers []string
}{
	{"worn", []string{"yes", "partial", "no"}},
	{"worn_while_ill", []string{"no", "yes"}},
	{"tap_water", []string{"no", "yes"}},
	{"topping_off", []string{"no", "yes"}},
	{"water_contact", []string{"no", "yes"}},
	{"stuck", []string{"no", "came-off", "stuck"}},
	{"halos", []string{"none", "some", "troublesome"}},
}

// BriefOf works out the brief of a night.
func BriefOf(n *Night) Brief {
	s := alerts.Signs{}
	n.wornSigns(s)
	n.careSigns(s)
	n.morningSigns(s)
	b := Brief{Date: n.Date, WornMinutes: -1, Redness: -1, Comfort: -1, Rating: -1, Water: n.water(), Sign: n.anySign()}
	for i, w := range briefWords {
		for j, a := range w.answers {
			if s[w.sign] == alerts.Word(a) {
				b.Words[i] = uint8(j + 1)
			}
		}
	}
	w := n.wear()
	b.Inserted = w.inserted(n.Date)
	if m, ok := w.shortest(n.Date); ok {
		b.WornMinutes = int(m)
	}
	if v := n.numbers("morning/redness", ""); len(v) > 0 {
		b.Redness = int(slices.Max(v))
	}
	if v := n.numbers("morning/comfort", ""); len(v) > 0 {
		b.Comfort = int(slices.Min(v))
	}
	if v, ok := n.worstRating(); ok {
		b.Rating = int(v)
	}
	for _, s := range n.stays(closing) {
		if s.loc != nil && len(b.Closed) < 255 {
			b.Closed = append(b.Closed, civil.AtNight(n.Date, s.at, s.loc).UTC())
		}
	}
	return b
}

// soakShort says whether lenses went in before a disinfection was over that
// began the morning before, or later the same day; unknown when neither that nor
// the insertion is logged. before may be nil. All are instants, each read by the
// clock it was written by, so a change of zone in between alters nothing.
func (b *Brief) soakShort(before *Brief, soakMinutes int) alerts.Value {
	if b.Inserted.IsZero() || soakMinutes == 0 {
		return alerts.Value{}
	}
	known, short := false, false
	look := func(night *Brief) {
		for _, closed := range night.Closed {
			if closed.After(b.Inserted) {
				continue // after the lenses came out again
			}
			known = true
			short = short || b.Inserted.Before(schedule.SoakReady(closed, soakMinutes))
		}
	}
	if before != nil && before.Date.AddDays(1) == b.Date {
		look(before)
	}
	look(b)
	switch {
	case short:
		return alerts.Word("yes")
	case known:
		return alerts.Word("no")
	}
	return alerts.Value{}
}

// --- the stored form ---

// The stored form is: form 2, u16 version of the rule table, the words, u16
// worn minutes, redness, comfort, rating (all ones for unknown), flags, number
// of closing times and i64 Unix seconds each, then the same of a known
// insertion.
const (
	briefForm  = 2
	briefFixed = 3 + len(briefWords) + 2 + 3 + 1 + 1
)

// errOldBrief says that a stored brief was written by another version.
var errOldBrief = errors.New("care: brief of another version")

// Bytes returns the stored form.
func (b *Brief) Bytes() []byte {
	out := make([]byte, 0, briefFixed+32)
	out = append(out, briefForm)
	out = binary.BigEndian.AppendUint16(out, uint16(alerts.Default().Version))
	out = append(out, b.Words[:]...)
	out = binary.BigEndian.AppendUint16(out, uint16(b.WornMinutes)) // -1 becomes all ones
	out = append(out, uint8(b.Redness), uint8(b.Comfort), uint8(b.Rating))
	flags := uint8(0)
	if b.Water {
		flags |= 1
	}
	if b.Sign {
		flags |= 2
	}
	out = append(out, flags, uint8(len(b.Closed)))
	for _, at := range b.Closed {
		out = binary.BigEndian.AppendUint64(out, uint64(at.Unix()))
	}
	if !b.Inserted.IsZero() {
		out = binary.BigEndian.AppendUint64(out, uint64(b.Inserted.Unix()))
	}
	return out
}

// ReadBrief reads the stored form of a night's brief. An error means that the
// brief must be worked out again from the night.
func ReadBrief(date civil.Date, raw []byte) (Brief, error) {
	b := Brief{Date: date}
	if len(raw) < briefFixed || raw[0] != briefForm || binary.BigEndian.Uint16(raw[1:]) != uint16(alerts.Default().Version) {
		return b, errOldBrief
	}
	raw = raw[3:]
	copy(b.Words[:], raw)
	raw = raw[len(briefWords):]
	b.WornMinutes = int(int16(binary.BigEndian.Uint16(raw)))
	b.Redness, b.Comfort, b.Rating = int(int8(raw[2])), int(int8(raw[3])), int(int8(raw[4]))
	b.Water, b.Sign = raw[5]&1 != 0, raw[5]&2 != 0
	closed := int(raw[6])
	raw = raw[7:]
	if len(raw) != 8*closed && len(raw) != 8*(closed+1) {
		return b, errOldBrief
	}
	for i := range len(raw) / 8 {
		at := time.Unix(int64(binary.BigEndian.Uint64(raw[8*i:])), 0).UTC()
		if i < closed {
			b.Closed = append(b.Closed, at)
		} else {
			b.Inserted = at
		}
	}
	return b, nil
}
