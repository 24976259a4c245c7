package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
)

// phone posts entries of its family, one request after the other.
type phone struct {
	id      string
	family  string
	rng     *rand.Rand
	ids     int
	queue   []care.Entry
	durable map[care.EntryID]care.Entry // had a verdict
	posts   int
	lost    int
	answers chan<- struct{}
	err     error // what the server must never answer
}

// load writes and sends until the connection breaks.
func (p *phone) load(ctx context.Context, url string) {
	for ctx.Err() == nil && p.err == nil {
		for range 1 + p.rng.IntN(4) {
			p.queue = append(p.queue, p.write())
		}
		batch := p.queue[:min(len(p.queue), intake.MaxEntries)]
		if !p.send(url, batch) {
			return
		}
	}
}

// noon is the day's start of the first night written about.
var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func (p *phone) write() care.Entry {
	p.ids++
	at := noon.Add(time.Duration(p.rng.IntN(60*24)) * time.Hour)
	e := care.Entry{
		ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%04s%08x", p.id, p.ids)), Wearer: care.WearerID(p.family + "a"),
		Device: care.DeviceID("d" + p.id), DSeq: uint64(p.ids), Author: care.PersonID("p" + p.id), Kind: care.Care,
		Night: civil.NightOf(at, time.UTC), Wall: at.Format("2006-01-02T15:04:05"), Zone: "Etc/UTC", V: 1,
		HLC: fmt.Sprintf("%013d-0000", noon.UnixMilli()+int64(p.ids)), Body: json.RawMessage(`{"rub":true,"case_dried":false}`),
	}
	if p.rng.IntN(2) == 0 {
		e.Wearer = care.WearerID(p.family + "b")
	}
	switch p.rng.IntN(8) {
	case 0:
		e.Kind, e.Body = care.Symptoms, json.RawMessage(`{"right":{"pain":"persists","redness":"mild"}}`)
	case 1:
		e.Kind, e.Body = care.Note, json.RawMessage(`{"text":"a note"}`)
	case 2:
		if len(p.queue) > 0 {
			target := p.queue[p.rng.IntN(len(p.queue))]
			e.Kind, e.Wearer, e.Retracts, e.Body = care.Retraction, target.Wearer, target.ID, json.RawMessage(`{}`)
		}
	}
	return e
}

// send posts a batch and takes the verdicts; false when there was no answer.
func (p *phone) send(url string, batch []care.Entry) bool {
	status, reply, err := post(url, "token-"+p.id, batch)
	if err != nil {
		p.lost++
		return false
	}
	if status != http.StatusOK {
		p.err = fmt.Errorf("phone %s was answered %d", p.id, status)
		return false
	}
	p.posts++
	select {
	case p.answers <- struct{}{}:
	default:
	}
	done := map[care.EntryID]bool{}
	for _, v := range reply.Verdicts {
		if v.Verdict != "accepted" && v.Verdict != "duplicate" {
			p.err = fmt.Errorf("entry %s: %+v", v.ID, v)
		}
		done[care.EntryID(v.ID)] = true
	}
	rest := []care.Entry{}
	for _, e := range p.queue {
		if done[e.ID] {
			p.durable[e.ID] = e
		} else {
			rest = append(rest, e)
		}
	}
	p.queue = rest
	return true
}

// post sends one sync request over a connection of its own.
func post(url, token string, batch []care.Entry) (int, intake.Reply, error) {
	var reply intake.Reply
	body, err := json.Marshal(map[string]any{"epoch": "", "cursor": 0, "entries": batch})
	if err != nil {
		return 0, reply, err
	}
	status, raw, err := ask(http.MethodPost, url+"/api/sync", token, body)
	if err != nil {
		return 0, reply, err
	}
	return status, reply, json.Unmarshal(raw, &reply)
}

// ask makes one request over a connection of its own and reads the whole
// answer.
func ask(method, url, token string, body []byte) (int, []byte, error) {
	req, err := http.NewRequest(method, url, bytes.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	req.Close = true
	req.Header.Set("Content-Type", "application/json")
	req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: token})
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	return res.StatusCode, raw, err
}
