package web_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/valyala/fasthttp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/register"
)

// The simulator: several devices of one family, the real HTTP handlers, and a
// network that loses, repeats, delays and cuts. Everything follows from one
// seed. Run one schedule again with
//
//	NIGHTKEEP_SEED=123 go test ./server/internal/web -run TestSyncSimulator
//
// NIGHTKEEP_SCHEDULES sets how many schedules run; the test command runs
// 10,000 without the race detector, and this number with it.
const simSchedules = 300

func TestSyncSimulator(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	if one := os.Getenv("NIGHTKEEP_SEED"); one != "" {
		seed, err := strconv.ParseUint(one, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		w.schedule(t, seed)
		return
	}
	schedules := uint64(simSchedules)
	if n := os.Getenv("NIGHTKEEP_SCHEDULES"); n != "" {
		var err error
		if schedules, err = strconv.ParseUint(n, 10, 64); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() { w.met.check(t, schedules) }) // once all lanes have ended
	const lanes = 4
	for lane := range uint64(lanes) {
		t.Run(fmt.Sprintf("lane %d", lane), func(t *testing.T) {
			t.Parallel()
			for seed := lane; seed < schedules; seed += lanes {
				w.schedule(t, seed)
				if t.Failed() {
					t.Fatalf("schedule with seed %d failed; run it again with NIGHTKEEP_SEED=%d", seed, seed)
				}
			}
		})
	}
}

// world is the server all schedules share; each has a family of its own.
type world struct {
	db      *store.DB
	handler fasthttp.RequestHandler
	met     met
}

func newWorld(t *testing.T) *world {
	t.Helper()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return simNow })
	if err != nil {
		t.Fatal(err)
	}
	db.NoSync(true) // faults of the disk are another test's business
	err = db.Update(func(tx *store.Tx) error {
		return tx.Register().AddPerson(care.Person{ID: "clinician", Name: "C", Role: care.Clinician})
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return &world{db: db, handler: testServer(db).App().Handler()}
}

// simNow is the evening before the clocks change in Europe in 2026.
var simNow = time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)

var simZones = []string{"Europe/Lisbon", "America/New_York", "Australia/Lord_Howe", "Asia/Tokyo"}

// simDevice is a phone, as small a model of one as the protocol allows.
type simDevice struct {
	id     care.DeviceID
	person care.PersonID
	token  string
	zone   *time.Location
	clock  time.Duration // how wrong its clock is
	dseq   uint64
	hlc    int64
	tick   int
	queue  []care.Entry // no durable verdict yet
	have   map[care.EntryID]care.Entry
	order  []care.EntryID // as pulled
	epoch  string
	cursor uint64
	mark   uint64
	anew   bool // reads the log from the start, after a restore
}

type schedule struct {
	*world
	t       *testing.T
	rng     *rand.Rand
	family  care.FamilyID
	wearers []care.WearerID
	devices []*simDevice
	written map[care.EntryID]care.Entry
	late    []func() // requests the network still holds
	ids     int
	seed    uint64
}

func (w *world) schedule(t *testing.T, seed uint64) {
	t.Helper()
	s := &schedule{world: w, t: t, seed: seed, rng: rand.New(rand.NewPCG(seed, 7)), written: map[care.EntryID]care.Entry{}}
	s.enrol()
	s.live(10 + s.rng.IntN(20))
	s.arrive()
	s.quiet()
	s.check()
}

// live lets devices write, travel and sync n times in all.
func (s *schedule) live(n int) {
	for range n {
		d := s.devices[s.rng.IntN(len(s.devices))]
		switch s.rng.IntN(3) {
		case 0, 1:
			s.write(d)
		case 2:
			s.sync(d, true)
		}
		if s.rng.IntN(10) == 0 {
			s.travel(d)
		}
		if len(s.late) > 0 && s.rng.IntN(3) == 0 {
			s.late[0]()
			s.late = s.late[1:]
		}
	}
}

// arrive delivers what the network still holds.
func (s *schedule) arrive() {
	for _, deliver := range s.late {
		deliver()
	}
	s.late = nil
}

// travel takes a device to another zone; its clock follows, right or wrong.
func (s *schedule) travel(d *simDevice) {
	loc, err := time.LoadLocation(simZones[s.rng.IntN(len(simZones))])
	if err != nil {
		s.t.Fatal(err)
	}
	if loc.String() != d.zone.String() {
		d.zone = loc
		s.met.travels.Add(1)
	}
}

func (s *schedule) enrol() {
	s.family = care.FamilyID(fmt.Sprintf("f%d", s.seed))
	err := s.db.Write(func(tx *store.Tx) error {
		s.devices, s.wearers = nil, nil
		if err := tx.Register().AddFamily(care.Family{ID: s.family, Name: "F", Zone: "Europe/Lisbon", Created: tx.Now}); err != nil {
			return err
		}
		for i := range 2 {
			w := care.Wearer{ID: care.WearerID(fmt.Sprintf("w%d-%d", s.seed, i)), Family: s.family, Name: "W", Code: "W"}
			s.wearers = append(s.wearers, w.ID)
			if err := tx.Register().AddWearer(w); err != nil {
				return err
			}
		}
		for i := range 2 + int(s.seed%4) {
			d := &simDevice{
				id: care.DeviceID(fmt.Sprintf("d%d-%d", s.seed, i)), person: care.PersonID(fmt.Sprintf("p%d-%d", s.seed, i)),
				token: fmt.Sprintf("token-%d-%d", s.seed, i), have: map[care.EntryID]care.Entry{},
				clock: time.Duration(s.seed*31%97+uint64(i)*17)*time.Hour%(97*time.Hour) - 48*time.Hour,
			}
			loc, err := time.LoadLocation(simZones[(int(s.seed)+i)%len(simZones)])
			if err != nil {
				return err
			}
			d.zone = loc
			s.devices = append(s.devices, d)
			if err := tx.Register().AddPerson(care.Person{ID: d.person, Family: s.family, Name: "P", Role: care.Parent}); err != nil {
				return err
			}
			if err := tx.Register().AddDevice(care.Device{ID: d.id, Family: s.family, Person: d.person, Created: tx.Now, LastSeen: tx.Now}); err != nil {
				return err
			}
			if err := tx.Access().AddCredential(d.token, register.Credential{Device: d.id, Created: tx.Now}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

// write adds an entry to the device's queue, sometimes one that corrects or
// retracts an entry it knows of.
func (s *schedule) write(d *simDevice) {
	at := simNow.Add(d.clock + time.Duration(s.rng.IntN(36*60))*time.Minute).In(d.zone)
	_, offset := at.Zone()
	s.ids++
	d.dseq++
	d.hlc = max(d.hlc, at.UnixMilli())
	d.tick++
	e := care.Entry{
		ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%08x%04x", s.seed, s.ids)), Wearer: s.wearers[s.rng.IntN(2)],
		Device: d.id, DSeq: d.dseq, Author: d.person, Night: civil.NightOf(at, d.zone), Wall: at.Format("2006-01-02T15:04:05"),
		Zone: d.zone.String(), Offset: offset / 60, HLC: fmt.Sprintf("%013d-%04d", d.hlc, d.tick), V: 1,
	}
	bodies := []struct {
		kind care.EntryKind
		body string
	}{
		{care.Insertion, `{"at":"21:30","eyes":"both"}`}, {care.Removal, `{"at":"06:50","eyes":"right"}`},
		{care.Care, `{"rub":true,"tap_water":false}`}, {care.Care, `{"rub":false,"rinse":"tap-water"}`},
		{care.EveningSight, `{"rating":3}`}, {care.NotWorn, `{"reason":"ill","eyes":"both"}`},
		{care.Symptoms, `{"right":{"pain":"persists","redness":"mild"}}`}, {care.Note, `{"text":"a note"}`},
	}
	s.met.entry(d, at)
	b := bodies[s.rng.IntN(len(bodies))]
	e.Kind, e.Body = b.kind, json.RawMessage(b.body)
	if target, ok := s.known(d); ok && s.rng.IntN(3) == 0 {
		e.Wearer = target.Wearer
		if s.rng.IntN(2) == 0 {
			e.Kind, e.Body, e.Retracts = care.Retraction, json.RawMessage(`{}`), target.ID
		} else {
			e.Supersedes = []care.EntryID{target.ID}
		}
	}
	d.queue = append(d.queue, e)
	d.have[e.ID] = e
	s.written[e.ID] = e
}

// known picks an entry the device knows of, in a fixed order for the seed.
func (s *schedule) known(d *simDevice) (care.Entry, bool) {
	ids := make([]care.EntryID, 0, len(d.have))
	for id := range d.have {
		ids = append(ids, id)
	}
	if len(ids) == 0 {
		return care.Entry{}, false
	}
	slices.Sort(ids)
	return d.have[ids[s.rng.IntN(len(ids))]], true
}

// sync sends what waits and takes what comes back, through the network.
func (s *schedule) sync(d *simDevice, faults bool) {
	batch := slices.Clone(d.queue)
	s.rng.Shuffle(len(batch), func(i, j int) { batch[i], batch[j] = batch[j], batch[i] })
	if faults && len(batch) > 1 && s.rng.IntN(3) == 0 {
		batch = batch[:len(batch)/2]
	}
	body := s.body(d, batch)
	deliver := func() (int, []byte) { return s.post(d, body) }
	if !faults {
		status, raw := deliver()
		s.take(d, status, raw)
		return
	}
	fault := s.rng.IntN(len(simFaults))
	s.met.faults[fault].Add(1)
	switch fault {
	case 0: // the request is lost
	case 1: // the reply is lost after the commit
		deliver()
	case 2: // the request arrives twice
		deliver()
		status, raw := deliver()
		s.take(d, status, raw)
	case 3: // the request arrives much later, after others; its reply goes nowhere
		s.late = append(s.late, func() { deliver() })
	case 4: // the body is cut
		if status, _ := s.post(d, body[:len(body)/2]); status == 200 {
			s.t.Errorf("seed %d: a cut body was taken", s.seed)
		}
	case 5: // something before the server answers
		s.take(d, []int{401, 413, 429, 500, 502}[s.rng.IntN(5)], nil)
	case 6: // the reply is cut
		status, raw := deliver()
		s.take(d, status, raw[:len(raw)/2])
	default:
		status, raw := deliver()
		s.take(d, status, raw)
	}
}

func (s *schedule) body(d *simDevice, batch []care.Entry) []byte {
	raw, err := json.Marshal(map[string]any{
		"epoch": d.epoch, "cursor": d.cursor, "entries": batch, "now": simNow.Add(d.clock).Format(time.RFC3339),
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return raw
}

// post calls the real handlers.
func (s *schedule) post(d *simDevice, body []byte) (int, []byte) {
	var ctx fasthttp.RequestCtx
	ctx.Request.Header.SetMethod("POST")
	ctx.Request.SetRequestURI("/api/sync")
	ctx.Request.Header.SetContentType("application/json")
	ctx.Request.Header.SetCookie("nightkeep_device", d.token)
	ctx.Request.SetBody(body)
	s.handler(&ctx)
	return ctx.Response.StatusCode(), slices.Clone(ctx.Response.Body())
}

// take applies a reply the way a phone does: only a verdict empties the queue.
func (s *schedule) take(d *simDevice, status int, raw []byte) {
	var reply intake.Reply
	if status != 200 || json.Unmarshal(raw, &reply) != nil {
		return
	}
	done := map[care.EntryID]bool{}
	for _, v := range reply.Verdicts {
		if v.Verdict != "accepted" && v.Verdict != "duplicate" {
			s.t.Errorf("seed %d: entry %s: %+v", s.seed, v.ID, v)
		}
		done[care.EntryID(v.ID)] = true
	}
	d.queue = slices.DeleteFunc(d.queue, func(e care.Entry) bool { return done[e.ID] })
	if d.epoch != "" && d.epoch != reply.Epoch {
		d.offerOwn()
	}
	if reply.Watermark < d.mark {
		s.t.Errorf("seed %d: watermark went back from %d to %d", s.seed, d.mark, reply.Watermark)
	}
	d.mark, d.epoch, d.cursor = reply.Watermark, reply.Epoch, reply.Cursor
	for _, raw := range reply.Changes {
		var e care.Entry
		if err := json.Unmarshal(raw, &e); err != nil {
			s.t.Fatal(err)
		}
		d.have[e.ID] = e
		d.order = append(d.order, e.ID)
		if ms, err := strconv.ParseInt(e.HLC[:13], 10, 64); err == nil {
			d.hlc = max(d.hlc, ms)
		}
	}
	if d.anew && !reply.More {
		d.handIn()
	}
	if d.cursor != uint64(len(d.order)) {
		s.t.Errorf("seed %d: cursor %d after %d entries", s.seed, d.cursor, len(d.order))
	}
	sum := ""
	for _, id := range d.order {
		sum = log.NextChecksum(sum, id)
	}
	if sum != reply.Checksum {
		s.t.Errorf("seed %d: checksum does not fit what the device holds", s.seed)
	}
}

// offerOwn is what a phone does when the server was put back from a backup: it
// reads the log anew, and sends what it wrote itself, whatever was said of it
// before.
func (d *simDevice) offerOwn() {
	d.order, d.mark, d.queue, d.anew = nil, 0, nil, true
	for _, e := range d.have {
		if e.Device == d.id {
			e.Forget()
			d.queue = append(d.queue, e)
		}
	}
	slices.SortFunc(d.queue, func(a, b care.Entry) int { return int(a.DSeq) - int(b.DSeq) })
}

// handIn sends what the log held before the restore and no longer holds now, as
// it was given out then, whoever wrote it.
func (d *simDevice) handIn() {
	d.anew = false
	for id, e := range d.have {
		if e.Device != d.id && !slices.Contains(d.order, id) {
			d.queue = append(d.queue, e)
		}
	}
	slices.SortFunc(d.queue, func(a, b care.Entry) int { return strings.Compare(string(a.ID), string(b.ID)) })
}

// quiet lets every device sync without faults; two rounds must be enough.
func (s *schedule) quiet() {
	for range 2 {
		for _, d := range s.devices {
			s.sync(d, false)
		}
	}
}

func (s *schedule) check() {
	t := s.t
	var all []*care.Entry
	for _, e := range s.written {
		all = append(all, &e)
	}
	want := care.Fold(all)
	for _, d := range s.devices {
		if len(d.queue) > 0 {
			t.Errorf("seed %d: device %s still has %d entries unsent", s.seed, d.id, len(d.queue))
		}
		if d.mark != d.dseq {
			t.Errorf("seed %d: device %s watermark %d, wrote %d", s.seed, d.id, d.mark, d.dseq)
		}
		if len(d.order) != len(s.written) {
			t.Errorf("seed %d: device %s pulled %d entries of %d", s.seed, d.id, len(d.order), len(s.written))
		}
		var mine []*care.Entry
		for _, e := range d.have {
			mine = append(mine, &e)
		}
		if diff := differ(want, care.Fold(mine)); diff != "" {
			t.Errorf("seed %d: device %s sees other nights:\n%s", s.seed, d.id, diff)
		}
	}
	s.checkServer(want)
}

func (s *schedule) checkServer(want []care.Night) {
	var got []care.Night
	err := s.db.View(func(tx *store.Tx) error {
		for _, w := range s.wearers {
			nights, err := tx.Log().Nights(w, civil.MustDate("2026-03-20"), civil.MustDate("2026-04-10"))
			if err != nil {
				return err
			}
			got = append(got, nights...)
		}
		return s.checkAlerts(tx)
	})
	if err != nil {
		s.t.Error(err)
	}
	if diff := differ(want, got); diff != "" {
		s.t.Errorf("seed %d: the server sees other nights:\n%s", s.seed, diff)
	}
}

// checkAlerts wants an alert for every stored red flag, and its messages in
// the outbox of the same commit.
func (s *schedule) checkAlerts(tx *store.Tx) error {
	named := map[care.EntryID]bool{}
	for _, w := range s.wearers {
		list, err := tx.Duty().WearerAlerts(w)
		if err != nil {
			return err
		}
		for _, a := range list {
			for _, e := range a.History {
				named[e.Entry] = true
			}
			for _, id := range a.Recent {
				named[id] = true
			}
			if a.NextStepAt.IsZero() && a.Live() {
				s.t.Errorf("seed %d: alert %s is live and nothing will happen to it", s.seed, a.ID)
			}
		}
	}
	for _, e := range s.written {
		if e.Kind == care.Symptoms && !named[e.ID] {
			s.t.Errorf("seed %d: red flag %s has no alert", s.seed, e.ID)
		}
	}
	return nil
}

// differ is cmp.Diff, after a look that is quick when nothing differs.
func differ(want, got []care.Night) string {
	if len(want)+len(got) == 0 {
		return "" // everything was retracted
	}
	a, errA := json.Marshal(want)
	b, errB := json.Marshal(got)
	if errA == nil && errB == nil && string(a) == string(b) {
		return ""
	}
	return cmp.Diff(want, got)
}
