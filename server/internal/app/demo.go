package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"time"

	"nightkeep/server/internal/config"
	"nightkeep/server/internal/demo"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/transport"
)

// demoLinks is the one line of `demo -json`.
type demoLinks struct {
	URL           string `json:"url"`
	Parent        string `json:"parent"`
	Teen          string `json:"teen"`
	Clinician     string `json:"clinician"`
	Desk          string `json:"desk"`
	Administrator string `json:"administrator"`
}

// demoWords introduces the links to a person.
const demoWords = `Nightkeep demo: an invented practice, invented people.

  parent         %s
  teen           %s
  clinician      %s
  desk           %s
  administrator  %s

Each link signs your browser in as that person, as often as you open it.
Nothing here asks for a passkey, which nobody of the demo has.
Ctrl-C ends the demo.
`

func runDemo(ctx context.Context, args []string, std IO) error {
	fs := flags("demo", std)
	addr := fs.String("addr", "127.0.0.1:8080", "address to listen on; port 0 picks a free one")
	data := fs.String("data", "", "folder for the data; empty: a temporary one, removed at the end")
	start := fs.String("now", "", "start the clock at this instant (RFC 3339); empty: now")
	asJSON := fs.Bool("json", false, "print exactly one JSON line on standard output")
	dev := fs.Bool("dev", false, "serve the app's modules as they are, for work on them")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	now, err := instantOr(*start, time.Now())
	if err != nil {
		return err
	}
	if !config.OwnMachine(*addr) {
		return UsageError{fmt.Sprintf("demo: -addr %s can be reached by others, and whoever reaches a demo may do everything in it: want an address of this machine, such as 127.0.0.1:8080", *addr)}
	}
	dir := *data
	if dir == "" {
		tmp, err := os.MkdirTemp("", "nightkeep-demo-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(tmp)
		dir = tmp
	}
	log := slog.New(slog.NewTextHandler(std.Err, nil))
	a, _, err := StartDemo(Options{Addr: *addr, DataDir: dir, Log: log, Dev: *dev}, now)
	if err != nil {
		return err
	}
	at := a.URL() + "/demo/"
	links := demoLinks{a.URL(), at + "parent", at + "teen", at + "clinician", at + "desk", at + "administrator"}
	if *asJSON {
		if err := json.NewEncoder(std.Out).Encode(links); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(std.Out, demoWords, links.Parent, links.Teen, links.Clinician, links.Desk, links.Administrator)
	}
	<-ctx.Done()
	return a.Stop()
}

// instantOr reads an instant, RFC 3339; empty is the usual one.
func instantOr(text string, usual time.Time) (time.Time, error) {
	if text == "" {
		return usual, nil
	}
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return at, UsageError{fmt.Sprintf("-now %q: want an instant such as 2026-03-28T21:00:00Z", text)}
	}
	return at, nil
}

// StartDemo starts a server that plays the invented scenario up to now and
// then runs on from there. The clock is the program's: whoever holds it can
// turn it.
func StartDemo(opt Options, now time.Time) (*App, *demo.Clock, error) {
	clock := &demo.Clock{}
	clock.Set(now)
	opt.Now, opt.AllowPrivatePush = clock.Now, true
	opt.Demo = &transport.Demo{}
	a, err := New(opt)
	if err != nil {
		return nil, nil, err
	}
	err = a.playDemo(clock, now)
	if err == nil {
		_, err = a.site()
	}
	if err != nil {
		return nil, nil, errors.Join(err, a.Stop())
	}
	a.StartWorkers()
	return a, clock, nil
}

func (a *App) playDemo(clock *demo.Clock, now time.Time) error {
	if err := a.Listen(); err != nil {
		return err
	}
	p := demo.Player{DB: a.DB, Clock: clock, Base: "http://" + a.addr, Relax: a.DB.NoSync, Brothers: a.opt.Brothers}
	people := transport.Demo{}
	if err := a.DB.View(func(tx *store.Tx) error { return tx.Register().Setting(demoSeats, &people) }); err != nil {
		return err
	}
	if len(people) == 0 { // else the folder of an earlier demo: its people are there
		if err := a.unplayed(); err != nil {
			return err
		}
		seats, err := p.Play(now)
		if err != nil {
			return err
		}
		for who, s := range seats {
			people[who] = transport.DemoSeat(s)
		}
		if err := a.DB.Update(func(tx *store.Tx) error { return tx.Register().SetSetting(demoSeats, people) }); err != nil {
			return err
		}
	}
	*a.Server.Demo = people
	return nil
}

// unplayed refuses a folder in which the scenario was cut off half-way: played
// again, it would have everybody twice.
func (a *App) unplayed() error {
	return a.DB.View(func(tx *store.Tx) error {
		all, err := tx.Register().Families()
		if err == nil && len(all) > 0 {
			err = fmt.Errorf("the demo in %s was cut off while it was made, or its file was damaged: who signs in there is not known; remove the folder, and start again", a.opt.DataDir)
		}
		return err
	})
}
