package app

import (
	"context"
	"errors"
	"flag"
	"log/slog"
	"os"
	"strings"
	"time"

	"nightkeep/server/internal/config"
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
	log := slog.New(slog.NewJSONHandler(std.Err, nil))
	opt, err := options(cfg, log)
	if err != nil {
		return UsageError{"serve: " + err.Error()}
	}
	if !ownMachine(cfg.Addr) && cfg.TLSCert == "" && cfg.ACMEDomain == "" && len(cfg.TrustedProxies) == 0 {
		log.Warn("OTHERS CAN READ WHAT IS SENT: this address can be reached from other machines, without TLS and without a proxy that is named; see the three ways to HTTPS in the operator's guide", "addr", cfg.Addr)
	}
	a, err := New(opt)
	if err != nil {
		return err
	}
	if err := startPractice(a.DB, MachineZone(os.Getenv("TZ"), os.Readlink)); err != nil {
		return errors.Join(err, a.Stop())
	}
	a.Server.TrustedProxies, a.Server.MetricsToken = cfg.TrustedProxies, cfg.MetricsToken
	if cfg.BackupDir != "" {
		a.Server.LastBackup = func() (time.Time, time.Duration) { return newestBackup(cfg.BackupDir), cfg.BackupEvery }
	}
	if _, err := a.site(); err != nil {
		return errors.Join(err, a.Stop())
	}
	if err := a.Listen(); err != nil {
		return errors.Join(err, a.Stop())
	}
	a.StartWorkers()
	go a.acme.obtain()
	a.control(ctx)
	go a.guard(ctx)
	log.Info("serving", "addr", a.addr, "base_url", a.URL())
	a.backups(ctx, cfg)
	return a.Stop()
}

func options(cfg config.Config, log *slog.Logger) (Options, error) {
	opt := Options{Addr: cfg.Addr, DataDir: cfg.Data, BaseURL: strings.TrimSuffix(cfg.BaseURL, "/"), Now: time.Now, Steady: true, Log: log,
		Secure: strings.HasPrefix(cfg.BaseURL, "https://"), TLSCert: cfg.TLSCert, TLSKey: cfg.TLSKey,
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
