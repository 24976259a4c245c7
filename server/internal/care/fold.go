package care

import (
	"encoding/json"
	"slices"
	"sort"
	"strings"

	"nightkeep/schedule/civil"
)

// Fact is one thing stated about an item of a night.
type Fact struct {
	Entry  EntryID         `json:"entry"`
	Author PersonID        `json:"author"`
	Value  json.RawMessage `json:"value"` // canonical JSON
}

// Item is everything stated about one item of a night, e.g. "care/rub" or
// "insertion/right". Facts are unequal, newest first; the first is shown.
type Item struct {
	Key   string `json:"key"`
	Facts []Fact `json:"facts"`
	// Differ is set when two people say different things, or when somebody
	// corrects what somebody else retracted: a person must settle it. Of one
	// person the newest word is asked, never two.
	Differ bool `json:"differ"`
}

// Night is what the log says about one wearer's night.
type Night struct {
	Wearer WearerID   `json:"wearer"`
	Date   civil.Date `json:"night"`
	Items  []Item     `json:"items"` // sorted by key
}

// Item returns the item with the key, or nil.
func (n *Night) Item(key string) *Item {
	i := sort.Search(len(n.Items), func(i int) bool { return n.Items[i].Key >= key })
	if i < len(n.Items) && n.Items[i].Key == key {
		return &n.Items[i]
	}
	return nil
}

// TapWater reports whether tap water touched a lens or the case in the night, and
// whether anything was said of it: any entry that says so, or that rinsed with tap
// water, counts, whatever others say. The rules read each entry by [tapWater] too.
func (n *Night) TapWater() (touched, said bool) {
	touch, rinse := n.Item("care/tap_water"), n.Item("care/rinse")
	if touch != nil {
		said = true
		for _, f := range touch.Facts {
			touched = touched || tapWater(string(f.Value), "")
		}
	}
	if rinse != nil {
		for _, f := range rinse.Facts {
			touched = touched || tapWater("", string(f.Value))
		}
	}
	return touched, said || touched
}

// tapWater reports whether the answers of a care entry, as JSON or empty, say that
// tap water touched a lens or the case.
func tapWater(touch, rinse string) bool {
	with, _ := word(rinse)
	return touch == "true" || with == "tap-water"
}

// AboutReminders reports whether nothing but pauses and snoozes of reminders is
// said of the night: then nothing is logged about it.
func (n *Night) AboutReminders() bool {
	return !slices.ContainsFunc(n.Items, func(it Item) bool {
		kind, _, _ := strings.Cut(it.Key, "/")
		return !EntryKind(kind).AboutReminders()
	})
}

// state says what later entries did to an entry.
type state struct {
	retracted, superseded, contested bool
	by                               []PersonID // who retracted it
}

// once reports whether a person says something of this kind once a night: who
// says it again meant to correct it, even if a second tab or phone did not know
// of the first. What may have hurt an eye or a lens, of care and morning, stands
// until it is corrected by name.
func (k EntryKind) once() bool {
	return k == Insertion || k == Removal || k == NotWorn || k == EveningSight
}

// saying is what one person says once a night.
type saying struct {
	wearer WearerID
	night  civil.Date
	author PersonID
	kind   EntryKind
}

func (e *Entry) saying() saying { return saying{e.Wearer, e.Night, e.Author, e.Kind} }

// onceOf returns the eyes of an entry said once, none for any other; an evening
// is about both.
func (e *Entry) onceOf() eyeSet {
	if e.Kind == EveningSight {
		return bothEyes
	}
	if !e.Kind.once() {
		return 0
	}
	return e.bodyParts().eyes()
}

// repeats reports whether somebody says twice what is said once. A night has a
// handful of entries, for which looking at each beats a map.
func repeats(entries []*Entry) bool {
	if len(entries) > 32 {
		seen := make(map[saying]bool, len(entries))
		return slices.ContainsFunc(entries, func(e *Entry) bool {
			again := e.Kind.once() && seen[e.saying()]
			seen[e.saying()] = true
			return again
		})
	}
	for i, e := range entries {
		if e.Kind.once() && slices.ContainsFunc(entries[:i], func(o *Entry) bool { return o.Kind == e.Kind && o.saying() == e.saying() }) {
			return true
		}
	}
	return false
}

// states works from the newest entry to the oldest. An entry can only affect
// an older one, so a loop of corrections cannot arise, whatever a device
// sends.
//
// Without any correction, as in nearly every night, there is nothing to work
// out and the map is nil.
func states(entries []*Entry) map[EntryID]*state {
	if !slices.ContainsFunc(entries, func(e *Entry) bool { return e.Retracts != "" || len(e.Supersedes) > 0 }) && !repeats(entries) {
		return nil
	}
	byID := make(map[EntryID]*Entry, len(entries))
	st := make(map[EntryID]*state, len(entries))
	for _, e := range entries {
		byID[e.ID], st[e.ID] = e, &state{}
	}
	sorted := slices.Clone(entries)
	slices.SortFunc(sorted, func(a, b *Entry) int {
		if a.After(b) {
			return -1
		}
		return 1
	})
	said := map[saying]eyeSet{}
	for _, e := range sorted {
		if st[e.ID].retracted {
			continue
		}
		if eyes := e.onceOf(); eyes != 0 && st[e.ID].counts(e) {
			k := e.saying()
			st[e.ID].superseded = eyes&^said[k] == 0
			said[k] |= eyes
		}
		if t := byID[e.Retracts]; t != nil && e.After(t) && e.Wearer == t.Wearer {
			st[t.ID].retracted = true
			st[t.ID].by = append(st[t.ID].by, e.Author)
		}
		for _, id := range e.Supersedes {
			if t := byID[id]; t != nil && e.After(t) && e.Wearer == t.Wearer {
				st[t.ID].superseded = true
			}
		}
	}
	for _, e := range sorted {
		for _, id := range e.Supersedes {
			if t := st[id]; t != nil && byID[id].Wearer == e.Wearer && slices.ContainsFunc(t.by, func(p PersonID) bool { return p != e.Author }) {
				st[e.ID].contested = true
			}
		}
	}
	return st
}

// Live returns the entries that count of one wearer's night: not retracted nor
// superseded, of a schema known here, and saying something. The set is as for
// [Fold], and so are order and repetition.
func Live(w WearerID, night civil.Date, entries []*Entry) []*Entry {
	entries = unique(entries)
	st := states(entries)
	return slices.DeleteFunc(entries, func(e *Entry) bool {
		return e.Wearer != w || e.Night != night || !st[e.ID].counts(e) || !e.says()
	})
}

// counts reports whether an entry in a state counts; nil is no state.
func (s *state) counts(e *Entry) bool {
	return e.V <= Schema && (s == nil || !s.retracted && !s.superseded)
}

// says reports whether an entry states any fact, see facts.
func (e *Entry) says() bool {
	body := e.bodyParts()
	switch e.Kind {
	case Retraction, Read, Cease, Resume, WearStart, Word, Visit, Taught, Learnt:
		return false
	case Insertion, Removal, NotWorn:
		return body.eyes() != 0
	case Care, Morning:
		return slices.ContainsFunc(bodies[e.Kind], func(f field) bool { return body.get(f.name) != "" })
	}
	return body != nil
}

// Fold computes the nights of entries. It is commutative, associative over the
// union of entry sets, and idempotent: order and repetition do not matter.
// Entries of a later schema are left out.
//
// The set must hold every entry that refers to one in the set; a missing
// referrer means a correction that is not yet known, not an error.
func Fold(entries []*Entry) []Night {
	uniq := unique(entries)
	st := states(uniq)
	type key struct {
		wearer WearerID
		night  civil.Date
	}
	nights := map[key]*making{}
	slices.SortFunc(uniq, func(a, b *Entry) int {
		if a.After(b) {
			return -1
		}
		return 1
	})
	for _, e := range uniq {
		s := st[e.ID]
		if !s.counts(e) {
			continue
		}
		k := key{e.Wearer, e.Night}
		for _, f := range e.facts() {
			if nights[k] == nil {
				nights[k] = &making{Night: Night{Wearer: k.wearer, Date: k.night, Items: make([]Item, 0, 24)}}
			}
			nights[k].add(f.key, Fact{e.ID, e.Author, f.value}, s != nil && s.contested)
		}
	}
	out := make([]Night, 0, len(nights))
	for _, n := range nights {
		slices.SortFunc(n.Items, func(a, b Item) int { return strings.Compare(a.Key, b.Key) })
		out = append(out, n.Night)
	}
	slices.SortFunc(out, func(a, b Night) int {
		if c := strings.Compare(string(a.Wearer), string(b.Wearer)); c != 0 {
			return c
		}
		return a.Date.Compare(b.Date)
	})
	return out
}

// unique leaves out entries that were given twice. A night has a handful, for
// which looking at each beats a map.
func unique(entries []*Entry) []*Entry {
	out := make([]*Entry, 0, len(entries))
	seen := map[EntryID]bool{}
	for _, e := range entries {
		few := len(entries) <= 32
		if few && slices.ContainsFunc(out, func(have *Entry) bool { return have.ID == e.ID }) || seen[e.ID] {
			continue
		}
		if !few {
			seen[e.ID] = true
		}
		out = append(out, e)
	}
	return out
}

// making is a night that is being folded.
type making struct {
	Night
	others map[string][]PersonID // by item: who spoke, but for the author of the first fact
}

// add puts a fact to its item; an equal fact is already there.
func (n *making) add(key string, f Fact, contested bool) {
	at := slices.IndexFunc(n.Items, func(it Item) bool { return it.Key == key })
	if at < 0 {
		at = len(n.Items)
		n.Items = append(n.Items, Item{Key: key})
	}
	it := &n.Items[at]
	it.Differ = it.Differ || contested
	if len(it.Facts) > 0 && f.Author != it.Facts[0].Author && !slices.Contains(n.others[key], f.Author) {
		// The newest word of somebody else. A case may well be closed twice.
		if n.others == nil {
			n.others = map[string][]PersonID{}
		}
		n.others[key] = append(n.others[key], f.Author)
		it.Differ = it.Differ || key != closing && string(f.Value) != string(it.Facts[0].Value)
	}
	for _, have := range it.Facts {
		if string(have.Value) == string(f.Value) {
			return
		}
	}
	it.Facts = append(it.Facts, f)
}

type keyed struct {
	key   string
	value json.RawMessage
}

// facts returns the items an entry speaks about. Kinds that can happen several
// times in a night make an item of their own, named by the entry.
func (e *Entry) facts() []keyed {
	body := e.bodyParts()
	if body == nil {
		return nil
	}
	switch e.Kind {
	case Retraction, Read, Cease, Resume, WearStart, Word, Visit, Taught, Learnt:
		return nil // what the practice says, and that it was read, is no fact about a night
	case Insertion, Removal:
		return perEye(e.Kind, e.withZone(body), "at", "on", "slept_minutes", "zone")
	case NotWorn:
		return perEye(e.Kind, body, "reason")
	case Snooze:
		return []keyed{{string(e.Kind) + "/" + string(e.ID), pick(e.withZone(body), "until", "zone")}}
	case Care, Morning:
		return e.perField(body)
	case EveningSight:
		return []keyed{{string(e.Kind), pick(body, "halos", "hours_since_removal", "rating", "scale", "spectacles")}}
	default:
		return []keyed{{string(e.Kind) + "/" + string(e.ID), Canonical(e.Body)}}
	}
}

// withZone adds the zone of writing, in which the clock times stand.
func (e *Entry) withZone(body members) members {
	zone, err := json.Marshal(e.Zone)
	if err != nil {
		panic(err) // a string always marshals
	}
	return append(slices.Clip(body), member{"zone", string(zone)}) // the last of a name counts
}

// eyeNames are the names of eyes, in the order of an [eyeSet].
var eyeNames = [2]string{"left", "right"}

// eyeSet says which eyes something is about: 1 the left, 2 the right, 3 both.
type eyeSet uint8

const bothEyes eyeSet = 3

// eyes returns which eyes a body is about; none when it does not say.
func (m members) eyes() eyeSet {
	switch which, _ := word(m.get("eyes")); which {
	case "both":
		return bothEyes
	case eyeNames[0]:
		return 1
	case eyeNames[1]:
		return 2
	}
	return 0
}

func perEye(kind EntryKind, body members, names ...string) []keyed {
	eyes, value := body.eyes(), pick(body, names...)
	var out []keyed
	for i, eye := range eyeNames {
		if eyes&(1<<i) != 0 {
			out = append(out, keyed{string(kind) + "/" + eye, value})
		}
	}
	return out
}

// perField makes an item of each field. When a case was closed is a clock in
// the zone of writing, and means nothing without it.
func (e *Entry) perField(body members) []keyed {
	var out []keyed
	for _, f := range bodies[e.Kind] {
		switch v := body.get(f.name); {
		case v == "":
		case f.name == "closed_at":
			out = append(out, keyed{closing, pick(e.withZone(members{{"at", v}}), "at", "zone")})
		default:
			out = append(out, keyed{string(e.Kind) + "/" + f.name, Canonical(json.RawMessage(v))})
		}
	}
	return out
}

// closing is the item that says when a case was closed.
const closing = "care/closed_at"

// pick returns the named fields as canonical JSON. names are in order.
func pick(body members, names ...string) json.RawMessage {
	out := []byte{'{'}
	for _, n := range names {
		if v := body.get(n); v != "" {
			if len(out) > 1 {
				out = append(out, ',')
			}
			out = append(append(append(out, '"'), n...), '"', ':')
			out = append(out, Canonical(json.RawMessage(v))...)
		}
	}
	return append(out, '}')
}
