package app

import (
	"context"
	"net"
	"time"

	"nightkeep/server/internal/config"
)

// What tests see of the scheduled backups.
var UntilBackup = untilBackup

// ReadCase is what the reminders read of a wearer.
var ReadCase = readCase

// BackupOnce makes one scheduled backup.
func (a *App) BackupOnce(cfg config.Config) error { return a.backupOnce(cfg) }

// MakesBackups tells the server that backups are made in a folder.
func (a *App) MakesBackups(dir string) {
	a.noteBackup(config.Config{BackupDir: dir, BackupEvery: 24 * time.Hour}, nil)
}

// Control takes orders from other processes until ctx ends.
func (a *App) Control(ctx context.Context) { a.control(ctx) }

// AcceptAndCut accepts one connection and cuts it, as stopping does.
func AcceptAndCut(ln net.Listener) (net.Conn, error) {
	l := &listener{Listener: ln, open: map[*conn]bool{}}
	c, err := l.Accept()
	l.cut(true)
	return c, err
}

// WithinStop stops a server as serve does when it is asked to end.
func WithinStop(stop func() error) error { return within(stopMost, stop) }
