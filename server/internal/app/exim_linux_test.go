package app_test

import (
	"crypto/tls"
	"maps"
	"testing"
	"time"

	"nightkeep/server/internal/mail"
	"nightkeep/server/internal/mail/mailtest"
)

// A red flag that nobody acknowledges reaches everybody by mail through a mail
// server as providers run it, over STARTTLS, once it takes anything: at first
// nothing answers there, then its queue is full and it answers 452. Nothing is
// lost meanwhile, and nobody finds more than one mail about the alert then.
func TestMailThroughARealServer(t *testing.T) {
	t.Parallel()
	p := mailtest.New(t)
	mailer, err := mail.New(mail.Config{Addr: p.Addr, User: "nightkeep", Password: "correct", From: "nightkeep@example.com", TLS: &tls.Config{RootCAs: p.Trust}})
	if err != nil {
		t.Fatal(err)
	}
	d := newDeskWith(t, mailer)
	d.raise(t, "a-1")
	for _, room := range []string{"", "1000000G", "0"} {
		if p.Stop(); room != "" {
			p.Start(room)
		}
		for range 14 { // 70 minutes
			if err := d.Climb(); err != nil {
				t.Fatal(err)
			}
			d.work(t)
			d.pass(5 * time.Minute)
		}
		if room == "" {
			continue
		}
		if got := p.Count(); room != "0" && len(got) > 0 {
			t.Fatalf("a queue that is full took %v", got)
		}
	}
	// Ann is the whole rota; the owner hears when nobody has answered for an hour.
	// From 11:20 on: what waited, and the rounds of 11:30, 11:45, 12:00 and 12:15.
	got := p.Count()
	lapsed := mail.Subjects()["lapsed"]
	want := map[string]int{"<ann@example.com> " + lapsed: 5, "<owner@example.com> " + lapsed: 5}
	if !maps.Equal(got, want) {
		t.Errorf("the queue holds %v, want %v", got, want)
	}
}
