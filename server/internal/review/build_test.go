package review_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// diary writes a log the way phones do, for one wearer.
type diary struct {
	t       *testing.T
	zone    string
	entries []*care.Entry
	written int
}

func newDiary(t *testing.T) *diary { return &diary{t: t, zone: "Europe/Lisbon"} }

// write adds an entry written (and received) at wall, given as
// YYYY-MM-DDTHH:MM in the diary's zone; empty means 13 hours into the night.
func (d *diary) write(night, kind, body, wall string) *care.Entry {
	d.t.Helper()
	loc, err := time.LoadLocation(d.zone)
	if err != nil {
		d.t.Fatal(err)
	}
	if wall == "" {
		wall = civil.MustDate(night).AddDays(1).String() + "T08:00"
	}
	at, err := time.ParseInLocation("2006-01-02T15:04", wall, loc)
	if err != nil {
		d.t.Fatal(err)
	}
	_, offset := at.Zone()
	d.written++
	version := 1
	if care.EntryKind(kind).AboutReminders() {
		version = 2
	}
	n := d.written
	e := &care.Entry{
		ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%012d", n)), Wearer: "w1", Device: "d1", DSeq: uint64(n), Author: "p1",
		Kind: care.EntryKind(kind), Night: civil.MustDate(night), Wall: at.Format("2006-01-02T15:04:05"), Zone: d.zone,
		Offset: offset / 60, HLC: fmt.Sprintf("%013d-0000", n), V: version, Body: json.RawMessage(body), Recv: at.UTC(),
	}
	raw, err := json.Marshal(e)
	if err != nil {
		d.t.Fatal(err)
	}
	if _, err := care.DecodeEntry(raw); err != nil {
		d.t.Fatal(err)
	}
	d.entries = append(d.entries, e)
	return e
}

func (d *diary) worn(night, in, out string) {
	d.t.Helper()
	d.write(night, "insertion", `{"at":"`+in+`","eyes":"both"}`, "")
	d.write(night, "removal", `{"at":"`+out+`","eyes":"both"}`, "")
}

func (d *diary) missed(night, reason string) {
	d.t.Helper()
	d.write(night, "not-worn", `{"reason":"`+reason+`","eyes":"both"}`, "")
}

func plan(first string) review.PlanFacts {
	return review.PlanFacts{Plan: schedule.DefaultPlan(civil.MustDate(first), "Europe/Lisbon")}
}

// over makes the input for a range ending the night before today.
func (d *diary) over(from, today string, p review.PlanFacts) review.Input {
	return review.Input{
		Wearer: care.Wearer{ID: "w1", Name: "Wearer One", Birth: "2015-06-01"}, From: civil.MustDate(from), Today: civil.MustDate(today),
		Nights: care.Fold(d.entries), Entries: d.entries, Plans: []review.PlanFacts{p},
	}
}

// nightAfter returns the date n nights after first.
func nightAfter(first string, n int) string { return civil.MustDate(first).AddDays(n).String() }

func asJSON(t *testing.T, v any) string {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}
