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

// NightSigns are what the rules may look at in one folded night, worked out once when
// the night is folded. Where two entries differ the worse value counts; what
// nobody answered is unknown. It is stored in some 50 bytes, because reading
// the whole night again for every evaluation costs far more than the rules do.
type NightSigns struct {
	Date civil.Date

	// Words are answers by sign, in the order of nightWords: 0 for unknown, else
	// one more than the answer's place.
	Words [len(nightWords)]uint8
	// WornMinutes, Redness, Comfort and Rating are -1 when unknown.
	WornMinutes              int
	Redness, Comfort, Rating int
	// Scale is the version of the scale that Rating was asked with: 1 the faces, 2
	// the pictures. Ratings of different scales are never held against each other.
	Scale int

	Water    bool        // tap water or any other contact with water
	WetSaid  bool        // water said in a symptom report: within the watch period, the night is not known
	Sign     bool        // a symptom report about an eye that the rules judge more than a note
	Flag     bool        // a symptom report about an eye that is a red flag by the rules: urgent or worse
	Peroxide bool        // lenses were stored in peroxide, as the log says
	Report   bool        // any symptom report
	Left     bool        // an eye check was begun, and no report of the night came after it
	Inserted time.Time   // first insertion, UTC; zero when not logged
	Closed   []time.Time // when the case was closed, in the night or in the morning after; UTC
}

// The places of the signs in nightWords.
const (
	wornWord = iota
	illWord
	tapWaterWord
	toppingOffWord
	waterContactWord
	stuckWord
	halosWord
	feltWord
)

// nightWords are the signs of a night that are words, with their answers from
// harmless to worst.
var nightWords = [...]struct {
	sign    alerts.Sign
	answers []string
}{
	wornWord:         {"worn", []string{"yes", "partial", "no"}},
	illWord:          {"worn_while_ill", []string{"no", "yes"}},
	tapWaterWord:     {"tap_water", []string{"no", "yes"}},
	toppingOffWord:   {"topping_off", []string{"no", "yes"}},
	waterContactWord: {"water_contact", []string{"no", "yes"}},
	stuckWord:        {"stuck", []string{"no", "came-off", "stuck"}},
	halosWord:        {"halos", []string{"none", "some", "troublesome"}},
	feltWord:         {"felt", []string{"no", "yes"}},
}

// say notes an answer to a sign, unless a worse one stands there. A word that is
// no answer says nothing.
func (b *NightSigns) say(sign int, answer string) {
	if i := slices.Index(nightWords[sign].answers, answer); i >= 0 {
		b.Words[sign] = max(b.Words[sign], uint8(i+1))
	}
}

// answer returns the answer to a sign, empty when nobody gave one.
func (b *NightSigns) answer(sign int) string {
	if n := b.Words[sign]; n > 0 {
		return nightWords[sign].answers[n-1]
	}
	return ""
}

// sayDone notes whether something was done that is better not done; an empty
// value is no answer.
func (b *NightSigns) sayDone(sign int, raw string) {
	switch raw {
	case "":
	case "true":
		b.say(sign, "yes")
	default:
		b.say(sign, "no")
	}
}

// NightSignsOf works out the signs of a night from its entries that count, see [Live].
func NightSignsOf(night civil.Date, live []*Entry) NightSigns {
	b := NightSigns{Date: night, WornMinutes: -1, Redness: -1, Comfort: -1, Rating: -1}
	var w wear
	var in, not eyeSet
	ill := ""
	var opened, reported time.Time
	for _, e := range live {
		body := e.bodyParts()
		switch e.Kind {
		case Insertion:
			w.in = append(w.in, stayOf(body, "at", e.Zone))
			in |= body.eyes()
		case Removal:
			w.out = append(w.out, stayOf(body, "at", e.Zone))
		case NotWorn:
			not |= body.eyes()
		case Care:
			b.addCare(body)
			b.addClosed(stayOf(body, "closed_at", e.Zone))
		case Morning:
			b.addMorning(body)
		case EveningSight:
			b.addEvening(body)
		case CheckOpen:
			opened = laterOf(opened, e)
		case Symptoms:
			b.addSymptoms(e)
			b.Report, reported = true, laterOf(reported, e)
			if answer, _ := word(body.get("ill")); ill == "" || answer == "yes" {
				ill = answer
			}
		}
	}
	b.sayWorn(in, not)
	if in != 0 {
		b.say(illWord, ill)
	}
	b.Left = !opened.IsZero() && opened.After(reported)
	b.Water = b.answer(tapWaterWord) == "yes" || b.answer(waterContactWord) == "yes"
	b.Inserted = w.inserted(night)
	if m, ok := w.shortest(night); ok {
		b.WornMinutes = int(m)
	}
	return b
}

// sayWorn notes which eyes had a lens in: one said to have none makes it partial.
func (b *NightSigns) sayWorn(in, not eyeSet) {
	switch {
	case not == bothEyes:
		b.say(wornWord, "no")
	case not != 0:
		b.say(wornWord, "partial")
	case in == bothEyes:
		b.say(wornWord, "yes")
	case in != 0:
		b.say(wornWord, "partial")
	}
}

// addClosed notes when the case was closed, in order, each time once, and no more
// than the stored form has room for.
func (b *NightSigns) addClosed(at stay) {
	if at.loc == nil {
		return
	}
	b.Closed = append(b.Closed, civil.AtNight(b.Date, at.at, at.loc).UTC())
	slices.SortFunc(b.Closed, time.Time.Compare)
	b.Closed = slices.CompactFunc(b.Closed, time.Time.Equal)
	b.Closed = b.Closed[:min(len(b.Closed), 255)]
}

func (b *NightSigns) addEvening(body members) {
	halos, _ := word(body.get("halos"))
	b.say(halosWord, halos)
	if v, ok := decimal(body.get("rating")); ok && (b.Rating < 0 || int(v) < b.Rating) {
		b.Rating, b.Scale = int(v), scaleOf(body)
	}
}

// laterOf is the later of an instant and of when an entry was written; one whose
// time cannot be read moves nothing.
func laterOf(at time.Time, e *Entry) time.Time {
	if written, err := e.Instant(); err == nil && written.After(at) {
		return written
	}
	return at
}

// Worse joins two sets of signs of a night: of each sign the worse answer counts.
func (b NightSigns) Worse(o NightSigns) NightSigns {
	for i := range b.Words {
		b.Words[i] = max(b.Words[i], o.Words[i])
	}
	least := func(x, y int) int {
		if x < 0 || y >= 0 && y < x {
			return y
		}
		return x
	}
	if o.Rating >= 0 && (b.Rating < 0 || o.Rating < b.Rating) {
		b.Scale = o.Scale
	}
	b.WornMinutes, b.Comfort, b.Rating = least(b.WornMinutes, o.WornMinutes), least(b.Comfort, o.Comfort), least(b.Rating, o.Rating)
	b.Redness = max(b.Redness, o.Redness)
	b.Water, b.Sign, b.Peroxide = b.Water || o.Water, b.Sign || o.Sign, b.Peroxide || o.Peroxide
	b.WetSaid, b.Flag = b.WetSaid || o.WetSaid, b.Flag || o.Flag
	b.Report, b.Left = b.Report || o.Report, b.Left || o.Left
	if b.Inserted.IsZero() || !o.Inserted.IsZero() && o.Inserted.Before(b.Inserted) {
		b.Inserted = o.Inserted
	}
	b.Closed = slices.Concat(b.Closed, o.Closed)
	slices.SortFunc(b.Closed, time.Time.Compare)
	return b
}

func (b *NightSigns) addCare(body members) {
	b.sayDone(tapWaterWord, body.get("tap_water"))
	b.sayDone(toppingOffWord, body.get("topping_off"))
	b.sayDone(waterContactWord, body.get("water_contact"))
	if tapWater(body.get("tap_water"), body.get("rinse")) {
		b.say(tapWaterWord, "yes")
	}
	system, _ := word(body.get("system"))
	b.Peroxide = b.Peroxide || system == "peroxide"
}

func (b *NightSigns) addMorning(body members) {
	moved, _ := word(body.get("moved"))
	b.say(stuckWord, stuckAs(moved))
	if v, ok := decimal(body.get("redness")); ok {
		b.Redness = max(b.Redness, int(v))
	}
	if v, ok := decimal(body.get("comfort")); ok && (b.Comfort < 0 || int(v) < b.Comfort) {
		b.Comfort = int(v)
	}
	switch { // the worse counts, and one good answer alone says too little
	case b.Redness > 0 || b.Comfort >= 0 && b.Comfort < 4:
		b.say(feltWord, "yes")
	case b.Redness == 0 && b.Comfort == 4:
		b.say(feltWord, "no")
	}
}

// stuckAs returns how a lens moved, or where it was, as an answer to whether it
// was stuck.
func stuckAs(moved string) string {
	switch moved {
	case "freely":
		return "no"
	case "stuck-came-off":
		return "came-off"
	case "stuck":
		return "stuck"
	}
	return ""
}

// addSymptoms notes whether a symptom report about an eye comes to more than a
// note, as the rules judge it: awareness on insertion alone pages nobody, and a
// lens that broke, or stuck and came off, is no sign of an eye. What it says of
// the lenses counts as an answer of a morning check.
func (b *NightSigns) addSymptoms(e *Entry) {
	r := e.Report()
	b.WetSaid = b.WetSaid || r.Water == "yes"
	table := alerts.Default()
	for _, f := range table.Triage(r).Findings {
		if f.State != alerts.Fired || table.Rule(f.Rule).LensOnly {
			continue
		}
		b.Sign = b.Sign || f.Level >= alerts.Routine
		b.Flag = b.Flag || f.Level >= alerts.Urgent
		if f.Eye != "" || f.Level >= alerts.Urgent { // not a word about illness alone
			b.say(feltWord, "yes")
		}
	}
	b.say(stuckWord, stuckAs(r.Right["lens"]))
	b.say(stuckWord, stuckAs(r.Left["lens"]))
}

// soakShort says whether lenses went in before a disinfection was over that
// began the morning before, or later the same day; unknown when neither that nor
// the insertion is logged. before may be nil. All are instants, each read by the
// clock it was written by, so a change of zone in between alters nothing.
func (b *NightSigns) soakShort(before *NightSigns, soakMinutes int) alerts.Value {
	if b.Inserted.IsZero() || soakMinutes == 0 {
		return alerts.Value{}
	}
	known, short := false, false
	look := func(night *NightSigns) {
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

// peroxideShort says whether a soak that was cut short was in peroxide, by the
// plan or by what the log says of the nights in question.
func (b *NightSigns) peroxideShort(before *NightSigns, soak alerts.Value, system schedule.CareSystem) alerts.Value {
	said := b.Peroxide || before != nil && before.Date.AddDays(1) == b.Date && before.Peroxide
	if said || system == schedule.Peroxide {
		return soak
	}
	if system == "" {
		return alerts.Value{}
	}
	return alerts.Word("no")
}

// --- the stored form ---

// The stored form is: its version, u16 version of the rule table, the words, u16
// worn minutes, redness, comfort, rating (all ones for unknown), flags, number
// of closing times and i64 Unix seconds each, then the same of a known
// insertion.
const (
	signsForm  = 7
	signsFixed = 3 + len(nightWords) + 2 + 3 + 1 + 1
)

// errOldSigns says that stored night signs were written by another version.
var errOldSigns = errors.New("care: signs of another version")

// MaxScale is the highest version of the scale of evening sight that an entry may
// name: what fits beside a rating in one byte of night signs.
const MaxScale = 16

const noRating = 0xff

// scaleOf is the version of the scale of an evening; one that names none was
// asked with the first.
func scaleOf(body members) int {
	if v, ok := decimal(body.get("scale")); ok {
		return int(v)
	}
	return 1
}

// ratingByte is the rating in three bits and its scale, from 0, above them, so
// that a rating of the first scale is stored as it was before there were others.
func (b *NightSigns) ratingByte() uint8 {
	if b.Rating < 0 {
		return noRating
	}
	return uint8(b.Rating) | uint8(max(b.Scale, 1)-1)<<3
}

// Bytes returns the stored form.
func (b *NightSigns) Bytes() []byte {
	out := make([]byte, 0, signsFixed+32)
	out = append(out, signsForm)
	out = binary.BigEndian.AppendUint16(out, uint16(alerts.Default().Version))
	out = append(out, b.Words[:]...)
	out = binary.BigEndian.AppendUint16(out, uint16(b.WornMinutes)) // -1 becomes all ones
	out = append(out, uint8(b.Redness), uint8(b.Comfort), b.ratingByte())
	flags := uint8(0)
	if b.Water {
		flags |= 1
	}
	if b.Sign {
		flags |= 2
	}
	if b.Peroxide {
		flags |= 4
	}
	if b.Report {
		flags |= 8
	}
	if b.Left {
		flags |= 16
	}
	if b.WetSaid {
		flags |= 32
	}
	if b.Flag {
		flags |= 64
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

// ReadNightSigns reads the stored form of a night's signs. An error means that the
// signs must be worked out again from the night.
func ReadNightSigns(date civil.Date, raw []byte) (NightSigns, error) {
	b := NightSigns{Date: date}
	if len(raw) < signsFixed || raw[0] != signsForm || binary.BigEndian.Uint16(raw[1:]) != uint16(alerts.Default().Version) {
		return b, errOldSigns
	}
	raw = raw[3:]
	copy(b.Words[:], raw)
	raw = raw[len(nightWords):]
	b.WornMinutes = int(int16(binary.BigEndian.Uint16(raw)))
	b.Redness, b.Comfort, b.Rating = int(int8(raw[2])), int(int8(raw[3])), -1
	if raw[4] != noRating {
		b.Rating, b.Scale = int(raw[4]&7), int(raw[4]>>3)+1
	}
	b.Water, b.Sign, b.Peroxide = raw[5]&1 != 0, raw[5]&2 != 0, raw[5]&4 != 0
	b.Report, b.Left, b.WetSaid, b.Flag = raw[5]&8 != 0, raw[5]&16 != 0, raw[5]&32 != 0, raw[5]&64 != 0
	closed := int(raw[6])
	raw = raw[7:]
	if len(raw) != 8*closed && len(raw) != 8*(closed+1) {
		return b, errOldSigns
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
