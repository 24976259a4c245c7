package demo

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
)

// Wearer is one wearer's story as the scenario files tell it. Rates are
// fractions of nights; days and nights count back from the demo's now.
type Wearer struct {
	About        string             `json:"about"`
	Code         string             `json:"code"`
	Name         string             `json:"name"`
	Age          int                `json:"age"`
	Family       string             `json:"family"`
	Zone         string             `json:"zone"`
	Parents      []string           `json:"parents"`
	Teen         bool               `json:"teen"`          // has a device of their own
	Nights       int                `json:"nights"`        // length of the log
	SilentNights int                `json:"silent_nights"` // the last nights without any entry
	Insertion    civil.Clock        `json:"insertion"`
	Removal      civil.Clock        `json:"removal"`
	Jitter       int                `json:"jitter"` // minutes either side
	Unlogged     float64            `json:"unlogged"`
	Missed       float64            `json:"missed"`
	SkipWeekdays []time.Weekday     `json:"skip_weekdays"`
	SkipReason   string             `json:"skip_reason"`
	Log          string             `json:"log"` // "" day by day, or "sundays"
	System       string             `json:"system"`
	LateSoak     []int              `json:"late_soak"` // nights ago on which the case was closed late
	Travel       *travel            `json:"travel"`
	Out          []outOf            `json:"out"`
	Care         map[string]float64 `json:"care"`
	Evening      evening            `json:"evening"`
	Plan         planSpec           `json:"plan"`
	Events       []event            `json:"events"`
	Visits       []visitSpec        `json:"visits"`
	Calls        []callSpec         `json:"calls"`
	Invited      []string           `json:"invited"` // parents who have an invitation and no device yet
}

type travel struct {
	From int    `json:"from_nights_ago"`
	To   int    `json:"to_nights_ago"`
	Zone string `json:"zone"`
}

type outOf struct {
	From   int    `json:"from_nights_ago"`
	To     int    `json:"to_nights_ago"`
	Reason string `json:"reason"`
}

type evening struct {
	Base        float64 `json:"base"`     // rating, 1 to 5
	PerWeek     float64 `json:"per_week"` // change of rating a week
	FadeFrom    int     `json:"fade_from_nights_ago"`
	Every       int     `json:"every"`
	AfterMissed float64 `json:"after_missed"` // rating lost after a missed night
	Halos       bool    `json:"halos_when_faded"`
}

type planSpec struct {
	RecallMonths int `json:"recall_months"`
	Started      int `json:"started_days_ago"`
	CaseStarted  int `json:"case_started_days_ago"`
	LensStarted  int `json:"lens_started_days_ago"`
	SoakMinutes  int `json:"soak_minutes"`
}

type event struct {
	NightsAgo int            `json:"nights_ago"`
	At        civil.Clock    `json:"at"`
	Symptoms  map[string]any `json:"symptoms"`
	Morning   map[string]any `json:"morning"`
	Clinic    *answer        `json:"clinic"`
}

type answer struct {
	AcknowledgedAfter int    `json:"acknowledged_after_min"`
	ClosedAfter       int    `json:"closed_after_days"`
	Outcome           string `json:"outcome"`
	Note              string `json:"note"`
}

type visitSpec struct {
	DaysAgo int        `json:"days_ago"`
	Kind    string     `json:"kind"`
	Right   [3]float64 `json:"right"`
	Left    [3]float64 `json:"left"`
	Axial   [2]float64 `json:"axial"`
	Kept    bool       `json:"kept"`
	Booked  bool       `json:"booked"`
	Time    string     `json:"time"` // of a booked visit
	// Found is what else was recorded of each eye, on Scale.
	Found struct {
		Right course.EyeFindings `json:"right"`
		Left  course.EyeFindings `json:"left"`
	} `json:"found"`
	Scale  string `json:"scale"`
	Advice string `json:"advice"`
}

// callSpec is a telephone call the desk made.
type callSpec struct {
	DaysAgo int    `json:"days_ago"`
	Rule    string `json:"rule"`
	Outcome string `json:"outcome"`
	Note    string `json:"note"`
	Again   int    `json:"again_after_days"`
}

// written is an entry before a phone gives it its number, with the moment at
// which somebody wrote it.
type written struct {
	at    time.Time
	zone  string
	night civil.Date
	kind  care.EntryKind
	teen  bool // written by the teen
	body  map[string]any
}

// story returns everything written for the wearer before now, in order.
func (w *Wearer) story(now time.Time) []written {
	home := mustZone(w.Zone)
	tonight := civil.NightOf(now, home)
	var out []written
	missedBefore := false
	for ago := w.Nights; ago >= 0; ago-- {
		if ago < w.SilentNights {
			break
		}
		n := nightStory{w: w, ago: ago, date: tonight.AddDays(-ago), rng: w.rng(ago), zone: w.zoneOn(ago), afterMissed: missedBefore}
		out = append(out, n.tell()...)
		missedBefore = n.missed
	}
	if w.Log == "sundays" {
		for i := range out {
			out[i].at = nextSunday(out[i].at, home)
		}
	}
	out = slices.DeleteFunc(out, func(x written) bool { return x.at.After(now.Add(-2 * time.Hour)) })
	slices.SortStableFunc(out, func(a, b written) int { return a.at.Compare(b.at) })
	return out
}

func nextSunday(t time.Time, loc *time.Location) time.Time {
	d := civil.DateOf(t.In(loc))
	return civil.At(d.AddDays((7-int(d.Weekday()))%7), civil.MustClock("19:40"), loc)
}

func (w *Wearer) zoneOn(ago int) string {
	if t := w.Travel; t != nil && ago <= t.From && ago >= t.To {
		return t.Zone
	}
	return w.Zone
}

func (w *Wearer) rng(ago int) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(w.Code))
	return rand.New(rand.NewPCG(h.Sum64(), uint64(ago)))
}

// nightStory tells one night.
type nightStory struct {
	w           *Wearer
	ago         int
	date        civil.Date
	rng         *rand.Rand
	zone        string
	afterMissed bool
	missed      bool
	out         []written
}

func (n *nightStory) tell() []written {
	unlogged := n.rng.Float64() < n.w.Unlogged
	if !unlogged {
		n.sight()
		n.wear()
	}
	for _, e := range n.w.Events {
		if e.NightsAgo == n.ago && e.Symptoms != nil {
			n.write(e.At, care.Symptoms, e.Symptoms)
		}
		if e.NightsAgo == n.ago && e.Morning != nil {
			n.write(n.w.Removal+5, care.Morning, e.Morning)
		}
	}
	return n.out
}

func (n *nightStory) write(at civil.Clock, kind care.EntryKind, body map[string]any) {
	n.out = append(n.out, written{
		at: civil.AtNight(n.date, at, mustZone(n.zone)), zone: n.zone, night: n.date, kind: kind,
		teen: n.w.Teen, body: body,
	})
}

func (n *nightStory) around(c civil.Clock) civil.Clock {
	if n.w.Jitter == 0 {
		return c
	}
	return c + civil.Clock(n.rng.IntN(2*n.w.Jitter+1)-n.w.Jitter)
}

// sight writes the evening rating, which stands before the night's insertion.
func (n *nightStory) sight() {
	ev := n.w.Evening
	if ev.Every == 0 || n.ago%ev.Every != 0 || n.ago == n.w.Nights {
		return
	}
	weeks := float64(n.w.Nights-n.ago) / 7
	if ev.FadeFrom > 0 {
		weeks = math.Max(0, float64(ev.FadeFrom-n.ago)) / 7
	}
	r := ev.Base + ev.PerWeek*weeks + n.rng.NormFloat64()*0.3
	if n.afterMissed {
		r -= ev.AfterMissed
	}
	rating := int(math.Round(min(5, max(1, r))))
	body := map[string]any{"rating": rating, "hours_since_removal": 12, "spectacles": rating <= 2, "halos": "none"}
	if ev.Halos && ev.FadeFrom > 0 && n.ago < ev.FadeFrom/2 {
		body["halos"] = "some"
	}
	n.write(n.around(civil.MustClock("18:50")), care.EveningSight, body)
}

func (n *nightStory) wear() {
	if reason := n.notWorn(); reason != "" {
		n.missed = true
		n.write(n.around(n.w.Insertion), care.NotWorn, map[string]any{"reason": reason, "eyes": "both"})
		return
	}
	in, out := n.around(n.w.Insertion), n.around(n.w.Removal)
	n.write(in, care.Insertion, map[string]any{"at": in, "eyes": "both"})
	n.write(out, care.Removal, map[string]any{"at": out, "eyes": "both"})
	n.write(out+4, care.Care, n.careBody(out))
}

func (n *nightStory) notWorn() string {
	for _, o := range n.w.Out {
		if n.ago <= o.From && n.ago >= o.To {
			return o.Reason
		}
	}
	if slices.Contains(n.w.SkipWeekdays, n.date.Weekday()) {
		return n.w.SkipReason
	}
	if n.rng.Float64() < n.w.Missed {
		return []string{"tired", "forgot", "ill", "away"}[n.rng.IntN(4)]
	}
	return ""
}

func (n *nightStory) careBody(removal civil.Clock) map[string]any {
	body := map[string]any{"rinse": "solution", "system": "multipurpose", "closed_at": removal + 3}
	for _, item := range []string{"hand_wash", "rub", "case_emptied", "case_wiped", "case_dried", "topping_off", "tap_water"} {
		if rate, ok := n.w.Care[item]; ok {
			body[item] = n.rng.Float64() < rate
		}
	}
	if n.rng.Float64() < n.w.Care["rinse_tap"] {
		body["rinse"] = "tap-water"
	}
	if every := int(n.w.Care["deposit_days"]); every > 0 && n.ago%every == 0 {
		body["deposit_removal"] = true
	}
	if n.w.System != "" {
		body["system"] = n.w.System
	}
	if slices.Contains(n.w.LateSoak, n.ago) {
		body["closed_at"] = civil.MustClock("11:45") // evening use then comes short of a long soak
	}
	return body
}

func mustZone(name string) *time.Location {
	loc, err := civil.LoadZone(name)
	if err != nil {
		panic(err) // the scenario is ours and tested
	}
	return loc
}

// entry turns something written into the entry a phone sends.
func (p *phone) entry(w care.WearerID, author care.PersonID, x written) (json.RawMessage, error) {
	body, err := json.Marshal(x.body)
	if err != nil {
		return nil, err
	}
	local := x.at.In(mustZone(x.zone))
	_, offset := local.Zone()
	p.dseq++
	p.count = (p.count + 1) % 10000
	e := care.Entry{
		ID: p.uuid(x.at), Wearer: w, Device: p.device, DSeq: p.dseq, Author: author, Kind: x.kind, Night: x.night,
		Wall: local.Format("2006-01-02T15:04:05"), Zone: x.zone, Offset: offset / 60,
		HLC: fmt.Sprintf("%013d-%04d", x.at.UnixMilli(), p.count), V: 1, Body: body,
	}
	return json.Marshal(e)
}

// uuid makes a UUIDv7 (RFC 9562) of the moment; the rest comes from the phone
// and its counter, so that a replay of the scenario is the same.
func (p *phone) uuid(at time.Time) care.EntryID {
	h := fnv.New128a()
	fmt.Fprint(h, p.device, p.dseq)
	var b [16]byte
	copy(b[:], h.Sum(nil))
	ms := binary.BigEndian.AppendUint64(nil, uint64(at.UnixMilli()))
	copy(b[:6], ms[2:])
	b[6], b[8] = b[6]&0x0f|0x70, b[8]&0x3f|0x80
	return care.EntryID(fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:]))
}
