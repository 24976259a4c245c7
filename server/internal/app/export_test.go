package app

import (
	"context"
	"net"

	"nightkeep/server/internal/config"
)

// What tests see of the scheduled backups.
var UntilBackup = untilBackup

// ReadCase is what the reminders read of a wearer.
var ReadCase = readCase

// BackupOnce makes one scheduled backup.
func (a *App) BackupOnce(cfg config.Config) error { return a.backupOnce(cfg) }

// Control takes orders from other processes until ctx ends.
func (a *App) Control(ctx context.Context) { a.control(ctx) }

// AcceptAndCut accepts one connection and cuts it, as stopping does.
func AcceptAndCut(ln net.Listener) (net.Conn, error) {
	l := &listener{Listener: ln, open: map[*conn]bool{}}
	c, err := l.Accept()
	l.cut(true)
	return c, err
}
