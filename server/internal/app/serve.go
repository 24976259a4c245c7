package app

import (
	"context"
	"errors"
	"flag"
	"log/slog"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/store"
)

func runServe(ctx context.Context, args []string, std IO) error {
	cfg, err := config.Load(args, os.Getenv, std.Err)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return UsageError{"serve: " + strings.ReplaceAll(err.Error(), "\n", "\nserve: ")}
	}
	if cfg.PrintConfig {
		cfg.Print(std.Out)
		return nil
	}
	hangUps := make(chan os.Signal, 1)
	signal.Notify(hangUps, syscall.SIGHUP) // from here on it never ends the server
	defer signal.Stop(hangUps)
	log := slog.New(slog.NewJSONHandler(std.Err, nil))
	a, err := started(cfg, log)
	if err != nil {
		return err
	}
	if err := a.Listen(); err != nil {
		return errors.Join(err, a.Stop())
	}
	if a.opt.BaseURL == "" { // a passkey is bound to a name and takes no address (WebAuthn, "relying party identifier")
		a.Server.BaseURL = strings.NewReplacer("//127.0.0.1:", "//localhost:", "//[::1]:", "//localhost:").Replace(a.Server.BaseURL)
	}
	a.StartWorkers()
	go a.acme.obtain()
	a.control(ctx)
	go a.guard(ctx)
	go a.heed(ctx, hangUps)
	log.Info("serving", "addr", a.addr, "base_url", a.URL())
	if cfg.Rehearsal {
		cfg.BackupDir = "" // a rehearsal's copies would stand among the practice's
	}
	a.backups(ctx, cfg)
	log.Info("stopping: asked to")
	err = within(stopMost, a.Stop)
	log.Info("stopped", "err", err)
	return err
}

// stopMost is how long stopping may take, several times what requests on their way and a
// piece of a backup need; our own choice.
const stopMost = 15 * time.Second

// errNotClosed says why a server ended without closing its data file.
var errNotClosed = errors.New("the data file does not close, as one that was cut short while it was served: the server ends without; whatever was answered before the damage is on the disk. Run check before the next start")

// within runs what ends the server. A file that is damaged while it is open can hold the
// close up for ever, and the process must end all the same.
func within(most time.Duration, stop func() error) error {
	done := make(chan error, 1)
	go func() { done <- stop() }()
	select {
	case err := <-done:
		return err
	case <-time.After(most):
		return errNotClosed
	}
}

// started opens the data and everything that stands on it, short of listening. A
// folder that cannot be the one that is meant is refused, untouched.
func started(cfg config.Config, log *slog.Logger) (*App, error) {
	begins := !exists(filePath(cfg.Data))
	if begins && cfg.Rehearsal {
		return nil, UsageError{"serve: " + cfg.Data + " holds no data: a rehearsal wants a folder made by restore -rehearsal"}
	}
	if begins {
		if err := notForeign(cfg.Data); err != nil {
			return nil, err
		}
	}
	opt, err := options(cfg, log)
	if err != nil {
		return nil, UsageError{"serve: " + err.Error()}
	}
	for _, d := range cfg.Doubts(os.Environ()) {
		log.Warn(d)
	}
	a, err := New(opt)
	if err != nil {
		return nil, startingAgainIsOfNoUse(err)
	}
	if begins {
		log.Warn("a new practice begins: there was no data file in this folder; is it the one that is meant?", "data", cfg.Data)
	}
	a.Server.TrustedProxies, a.Server.MetricsToken = cfg.TrustedProxies, cfg.MetricsToken
	err = errors.Join(startPractice(a.DB), keepAddress(a.DB, opt.BaseURL))
	if err == nil {
		_, err = a.site()
	}
	if err != nil {
		return nil, errors.Join(err, a.Stop())
	}
	return a, nil
}

// startingAgainIsOfNoUse makes of a data file that is gone or cannot be read an error
// that ends with 2, which a service manager does not answer by another start.
func startingAgainIsOfNoUse(err error) error {
	var said *care.Error
	if store.IsUnreadable(err) || errors.As(err, &said) && (said.Code == "empty-file" || said.Code == "file-gone" || said.Code == "newer-layout") {
		return UsageError{"serve: " + Plain(err)}
	}
	return err
}

// heed reads certificate files again at each SIGHUP, which never ends a server.
func (a *App) heed(ctx context.Context, hangUps <-chan os.Signal) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-hangUps:
			a.Reload()
		}
	}
}

func options(cfg config.Config, log *slog.Logger) (Options, error) {
	if cfg.Rehearsal && cfg.BaseURL == os.Getenv(baseEnv) {
		cfg.BaseURL = "" // the practice's own, where the rehearsal is not
	}
	opt := Options{Addr: cfg.Addr, DataDir: cfg.Data, BaseURL: strings.TrimSuffix(cfg.BaseURL, "/"), Now: time.Now, Steady: true, Log: log,
		Rehearsal: cfg.Rehearsal, Secure: strings.HasPrefix(cfg.BaseURL, "https://"), TLSCert: cfg.TLSCert, TLSKey: cfg.TLSKey,
		ACME: ACME{cfg.ACMEDomain, cfg.ACMEContact, cfg.ACMECache, cfg.ACMEDirectory, cfg.ACMEHTTP}}
	if cfg.Contact != "" {
		opt.Subject = "mailto:" + cfg.Contact
	}
	mailer, err := newMailer(cfg)
	if err != nil {
		return opt, err
	}
	if mailer != nil {
		opt.Mail = mailer
	}
	return opt, nil
}
