package app

import "nightkeep/server/internal/config"

// What tests see of the scheduled backups.
var UntilBackup = untilBackup

// BackupOnce makes one scheduled backup.
func (a *App) BackupOnce(cfg config.Config) error { return a.backupOnce(cfg) }
