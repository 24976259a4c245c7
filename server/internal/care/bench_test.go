package care_test

import (
	"testing"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

func oneNight() []*care.Entry {
	return []*care.Entry{
		nightEntry(0, "2026-03-28", "evening-sight", `{"rating":4,"halos":"none"}`),
		nightEntry(1, "2026-03-28", "insertion", `{"at":"21:30","eyes":"both"}`),
		nightEntry(2, "2026-03-28", "removal", `{"at":"06:30","eyes":"both","slept_minutes":500}`),
		nightEntry(3, "2026-03-28", "morning", `{"redness":0,"comfort":4,"moved":"freely"}`),
		nightEntry(4, "2026-03-28", "care", `{"rub":true,"rinse":"solution","closed_at":"07:00"}`),
	}
}

// BenchmarkFold folds the five entries of a night.
func BenchmarkFold(b *testing.B) {
	entries := oneNight()
	b.ReportAllocs()
	for b.Loop() {
		care.Fold(entries)
	}
}

// BenchmarkNightSigns works out what the rules need of a night.
func BenchmarkNightSigns(b *testing.B) {
	entries := oneNight()
	night := entries[0].Night
	b.ReportAllocs()
	for b.Loop() {
		care.NightSignsOf(night, care.Live("w1", night, entries))
	}
}

// BenchmarkRules evaluates every rule about the record on 45 nights.
func BenchmarkRules(b *testing.B) {
	today := civil.MustDate("2026-03-28")
	one := care.NightSignsOf(today, oneNight())
	var nights []care.NightSigns
	for back := 44; back >= 0; back-- {
		one.Date = today.AddDays(-back)
		nights = append(nights, one)
	}
	plan := schedule.Plan{SoakMinutes: 360, FirstNight: today.AddDays(-100)}
	b.ReportAllocs()
	for b.Loop() {
		seen := care.AlertNights(nights, plan, today, alerts.Default().LongestWindow())
		alerts.Default().Evaluate(alerts.Input{Today: today, Back: seen, Facts: care.AlertFacts(nights, plan, today)})
	}
}
