package app

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
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
	a, err := New(opt)
	if err != nil {
		return err
	}
	if err := startPractice(a.DB, MachineZone(os.Getenv("TZ"), os.Readlink)); err != nil {
		return errors.Join(err, a.Stop())
	}
	a.Server.TrustedProxies, a.Server.MetricsToken = cfg.TrustedProxies, cfg.MetricsToken
	if _, err := a.site(); err != nil {
		return errors.Join(err, a.Stop())
	}
	if err := a.Listen(); err != nil {
		return errors.Join(err, a.Stop())
	}
	a.StartWorkers()
	log.Info("serving", "addr", a.addr, "base_url", a.URL())
	a.backups(ctx, cfg)
	return a.Stop()
}

func options(cfg config.Config, log *slog.Logger) (Options, error) {
	opt := Options{Addr: cfg.Addr, DataDir: cfg.Data, BaseURL: strings.TrimSuffix(cfg.BaseURL, "/"), Now: time.Now, Log: log,
		Secure: strings.HasPrefix(cfg.BaseURL, "https://"), TLSCert: cfg.TLSCert, TLSKey: cfg.TLSKey}
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

// backups makes a verified copy at each interval until ctx ends. A backup that
// fails is logged and tried again at the next interval.
func (a *App) backups(ctx context.Context, cfg config.Config) {
	if cfg.BackupDir == "" {
		<-ctx.Done()
		return
	}
	tick := time.NewTicker(cfg.BackupEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if err := a.backupOnce(cfg.BackupDir, cfg.BackupKeep); err != nil {
				a.opt.Log.Error("backup failed", "err", err)
			}
		}
	}
}

// backupOnce makes one copy and removes the oldest beyond what is kept.
func (a *App) backupOnce(dir string, keep int) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	name := "nightkeep-" + a.opt.Now().UTC().Format("20060102T150405Z") + ".db"
	if err := a.DB.Backup(filepath.Join(dir, name)); err != nil {
		return err
	}
	have, err := filepath.Glob(filepath.Join(dir, "nightkeep-*.db"))
	if err != nil {
		return err
	}
	slices.Sort(have) // the time in the name sorts
	for len(have) > keep {
		if err := os.Remove(have[0]); err != nil {
			return fmt.Errorf("remove old backup: %w", err)
		}
		have = have[1:]
	}
	return nil
}
