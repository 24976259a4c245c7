// Package app wires the parts of Nightkeep into a running program and holds
// its commands. It owns no rule; it gives every part its clock, its store and
// its channels.
package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/alerts"
	"nightkeep/pwa"
	"nightkeep/schedule"
	"nightkeep/server/internal/app/courier"
	"nightkeep/server/internal/app/machine"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/push"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web"
	"nightkeep/server/internal/web/transport"
)

// Options say how to run.
type Options struct {
	Addr            string // host:port; port 0 picks a free one
	DataDir         string
	BaseURL         string // as people reach the server; empty: http:// and the address listened on
	Subject         string // contact of whoever runs the server, for push services: mailto: or https:
	Secure          bool   // served over TLS: cookies only over TLS
	TLSCert, TLSKey string // certificate and key files, when the server speaks TLS itself
	ACME            ACME   // gets certificates by itself, when it names a domain
	Dev             bool   // serve the app's modules as they are
	// AllowPrivatePush lets push messages go to this machine; only for the demo
	// and tests, whose push service runs here.
	AllowPrivatePush bool
	Now              func() time.Time
	Log              *slog.Logger
	// Steady makes the server mind steps of the machine's clock; Now is then
	// [time.Now].
	Steady bool
	Demo   *transport.Demo
	// Brothers is how many more children the family of the demo's parent has.
	Brothers int
	Mail     courier.Mailer // nil: no mail server set
	// Rehearsal serves a backup that was restored to be tried: nothing leaves.
	Rehearsal bool
}

// App is the running program.
type App struct {
	opt      Options
	DB       *store.DB
	Server   *web.Server
	Reminder *remind.Runner
	Worker   *escalate.Worker
	site     func() (*pwa.Site, error) // waits for the bundling that New began
	kick     chan struct{}
	stop     context.CancelFunc
	done     sync.WaitGroup

	acme        *acme                           // nil: not asked for
	keyPair     atomic.Pointer[machine.KeyPair] // nil: no certificate files
	ladderFails atomic.Int64                    // since when, Unix milliseconds; 0: it is climbed
	backup      atomic.Pointer[backupState]     // nil: none are scheduled
	pushFailing func() time.Time

	copying sync.Mutex   // one backup at a time
	clock   *steadyClock // nil: the clock is a test's or the demo's, which is turned at will

	mu   sync.Mutex
	http *fiber.App
	ln   *listener
	addr string
}

// New opens the store and builds every part. Nothing runs yet.
func New(opt Options) (*App, error) {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Log == nil {
		opt.Log = slog.Default()
	}
	if opt.Demo != nil {
		if err := claimDemo(opt.DataDir); err != nil {
			return nil, err
		}
	}
	db, err := store.Open(filepath.Join(opt.DataDir, "nightkeep.db"), opt.Now)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(fits(db, opt.Demo != nil, opt.Rehearsal), fitsRehearsal(db, opt.Rehearsal)); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	for _, left := range []string{".part", ".plain", ".plain.part"} { // of copies that were cut off: whoever finds them could read them
		if err := os.Remove(db.Path() + left); err != nil && !errors.Is(err, os.ErrNotExist) {
			opt.Log.Warn("a copy that was cut off cannot be removed", "err", err)
		}
	}
	a := &App{opt: opt, DB: db, kick: make(chan struct{}, 1), acme: newACME(opt)}
	err = a.build()
	if err == nil && opt.Steady {
		var back bool
		if back, err = db.WentBack(); back {
			opt.Log.Warn("the data file is older than the one that stood here before: it starts a new epoch, and phones offer again what it lacks")
		}
	}
	if err == nil {
		_, err = a.Server.Intake.ReadHeld()
	}
	if err != nil {
		db.Close()
		return nil, err
	}
	return a, nil
}

// bundled are the two sites that a program holds, by whether drafts are offered.
// Their sources are part of it: each is made once, however many servers it starts.
var bundled = map[bool]func() (*pwa.Site, error){
	false: sync.OnceValues(func() (*pwa.Site, error) { return pwa.New(false, false, alerts.Web, schedule.Web) }),
	true:  sync.OnceValues(func() (*pwa.Site, error) { return pwa.New(false, true, alerts.Web, schedule.Web) }),
}

func (a *App) build() error {
	a.site = bundled[a.opt.Demo != nil]
	if a.opt.Dev {
		a.site = func() (*pwa.Site, error) { return pwa.New(true, true, nil, nil) }
	}
	go a.site() // takes about a second, which the rest need not wait for
	keys, err := vapidKeys(a.DB)
	if err != nil {
		return err
	}
	subject := a.opt.Subject
	if subject == "" {
		subject = "mailto:operator@localhost.localdomain"
	}
	sender, err := push.New(keys, subject, a.opt.Now)
	if err != nil {
		return UsageError{"serve: contact: " + err.Error()}
	}
	sender.AllowPrivate = a.opt.AllowPrivatePush
	carrier := &courier.Courier{DB: a.DB, Push: sender, Mail: a.opt.Mail, Log: a.opt.Log, Now: a.opt.Now, Base: a.URL}
	a.pushFailing = carrier.PushFailing
	var sends interface {
		transport.Pusher
		escalate.Deliverer
		remind.Sender
	} = carrier
	if a.opt.Rehearsal {
		sends = courier.Stays{Courier: carrier}
	}
	a.Reminder = &remind.Runner{Ledger: dispatch.Reminders{DB: a.DB, Read: readCase}, Sender: sends, Now: a.opt.Now, Log: a.opt.Log}
	a.Worker = newWorker(a.DB, sends, a.opt)
	if a.opt.Steady {
		a.clock = newSteadyClock()
		a.Reminder.Hold = a.clock.ahead
	}
	a.Server = &web.Server{DB: a.DB, Site: transport.Site{
		Intake: &intake.Intake{DB: a.DB, Raised: a.wake, Quotas: intake.NewQuotas()}, Asset: a.asset, Push: sends, Rehearsal: a.opt.Rehearsal, Now: a.opt.Now, Log: a.opt.Log,
		BaseURL: a.opt.BaseURL, Secure: a.opt.Secure, Demo: a.opt.Demo, Facts: a.facts, TestMail: courier.TestMail(a.opt.Mail, a.opt.Rehearsal), Contact: mailOf(a.opt.Subject),
	}}
	return nil
}

// vapidKeys returns the practice's keys and makes them on the first start.
// They stand in the data file, so that a backup holds them.
func vapidKeys(db *store.DB) (keys push.Keys, err error) {
	err = db.Update(func(tx *store.Tx) error {
		if err := tx.Register().Setting("vapid", &keys); err != nil || keys.Private != "" {
			return err
		}
		if keys, err = push.GenerateKeys(); err != nil {
			return err
		}
		return tx.Register().SetSetting("vapid", keys)
	})
	return keys, err
}

func (a *App) asset(path string) (transport.Asset, bool) {
	site, err := a.site()
	if err != nil {
		return transport.Asset{}, false // the start has failed with it
	}
	f, ok := site.File(path)
	out := transport.Asset{ContentType: f.ContentType, CacheControl: f.CacheControl, ETag: f.ETag, Inline: f.Inline, Body: f.Body, Brotli: f.Brotli, Gzip: f.Gzip}
	if a.opt.Rehearsal {
		return bannered(path, out, ok)
	}
	return out, ok
}

// wake makes the outbox worker look at once. It never blocks.
func (a *App) wake() {
	select {
	case a.kick <- struct{}{}:
	default:
	}
}

// Listen opens the address and serves until [App.StopListening]. It returns
// once connections are accepted.
func (a *App) Listen() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	addr := a.opt.Addr
	if a.addr != "" {
		addr = a.addr // the same port again
	}
	secrets, err := a.tlsConfig()
	if err != nil {
		return UsageError{"serve: tls-cert, tls-key: " + err.Error() + "; want a certificate and the key it was made for"}
	}
	ln, err := a.open(addr, secrets)
	if err != nil {
		return fmt.Errorf("listen on %s: %w; choose another with -addr", addr, err)
	}
	a.addr = ln.Addr().String()
	if a.opt.BaseURL == "" {
		a.Server.BaseURL = a.ownAddress(ln.Addr())
	}
	if err := a.acme.listen(); err != nil {
		return errors.Join(err, ln.Close())
	}
	a.http, a.ln = a.Server.App(), ln
	srv := a.http
	a.done.Go(func() {
		if err := srv.Listener(ln); err != nil {
			a.opt.Log.Error("serve", "err", err)
		}
	})
	return nil
}

// ownAddress is the server's address for a browser on this machine, which is all
// that is known while no base URL is set: one that listens on every address has
// none that could stand in a link.
func (a *App) ownAddress(at net.Addr) string {
	scheme, host := "http://", at.String()
	if a.opt.TLSCert != "" {
		scheme = "https://"
	}
	if tcp, ok := at.(*net.TCPAddr); ok && tcp.IP.IsUnspecified() {
		host = net.JoinHostPort("localhost", strconv.Itoa(tcp.Port))
	}
	return scheme + host
}

// StopListening closes the address and every connection; the rest goes on.
func (a *App) StopListening() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.http == nil {
		return nil
	}
	err := errors.Join(a.ln.shutDown(a.http), a.acme.close())
	a.http, a.ln = nil, nil
	return err
}

// Now returns the time of the program's clock.
func (a *App) Now() time.Time { return a.opt.Now() }

// Addr returns the host:port listened on; empty before [App.Listen].
func (a *App) Addr() string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.addr
}

// URL returns the address people open.
func (a *App) URL() string { return a.Server.BaseURL }

// StartWorkers starts reminders, the outbox and the escalation ladder.
func (a *App) StartWorkers() {
	ctx, stop := context.WithCancel(context.Background())
	a.stop = stop
	if a.clock != nil {
		if err := a.startClock(); err != nil {
			a.opt.Log.Error("clock", "err", err)
		}
		a.done.Go(func() { a.watchClock(ctx) })
	}
	wait := a.Reminder.Start(ctx)
	a.done.Go(wait)
	a.done.Go(func() { a.deliver(ctx) })
	a.done.Go(func() { a.refreshRoll(ctx) })
}

// Stop ends everything in order: no new requests, no new messages, then the
// store.
func (a *App) Stop() error {
	err := a.StopListening()
	if a.stop != nil {
		a.stop()
	}
	a.done.Wait()
	return errors.Join(err, a.DB.Close())
}
