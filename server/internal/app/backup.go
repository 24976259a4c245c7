package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"filippo.io/age"

	"nightkeep/server/internal/app/machine"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/seal"
	"nightkeep/server/internal/store"
)

func runBackup(_ context.Context, args []string, std IO) error {
	fs := flags("backup", std)
	dir := dataFile(fs)
	to := fs.String("to", "", "file to make; it must not exist")
	recipient := fs.String("recipient", os.Getenv("NIGHTKEEP_BACKUP_RECIPIENT"), "public key (age1…), or a file of such keys, to encrypt the copy for (NIGHTKEEP_BACKUP_RECIPIENT); empty: not encrypted")
	newKey := fs.String("new-key", "", "make a secret key in this file, print the public one, and end; keep the file away from this machine")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *newKey != "" {
		return makeKey(*newKey, std.Out)
	}
	if *to == "" {
		return UsageError{"backup: -to FILE says where the copy goes"}
	}
	if exists(filePath(*dir)) && config.SamePlace(filepath.Dir(*to), *dir) {
		return UsageError{"backup: -to " + *to + ": want another folder than that of the data, on another disk if there is one: a copy beside the file goes with it"}
	}
	keys, err := seal.Recipients(*recipient)
	if err != nil {
		return UsageError{"backup: recipient: " + err.Error()}
	}
	again, err := backupArgs(*to, *recipient)
	if err != nil {
		return err
	}
	return withData(*dir, std, again, func(db *store.DB) error {
		err := backupTo(db, *to, keys)
		if errors.As(err, &store.Lacking{}) {
			fmt.Fprintln(std.Out, "copy with records that cannot be read:", *to)
		} else if err == nil {
			fmt.Fprintln(std.Out, kindOf(keys), *to)
		}
		return err
	})
}

// backupArgs is the same command for a server that runs in another folder.
func backupArgs(to, recipient string) (args []string, err error) {
	if to, err = filepath.Abs(to); err != nil {
		return nil, err
	}
	if exists(recipient) {
		if recipient, err = filepath.Abs(recipient); err != nil {
			return nil, err
		}
	}
	return []string{"backup", "-to", to, "-recipient", recipient}, nil
}

func kindOf(keys []age.Recipient) string {
	if len(keys) > 0 {
		return "verified, encrypted copy:"
	}
	return "verified copy:"
}

func makeKey(path string, out io.Writer) error {
	recipient, err := seal.NewKey(path)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s\nThe line above is the public key: give it to -recipient, or to -backup-recipient of serve.\nKeep %s away from this machine, twice: without it no encrypted backup can be read.\n", recipient, path)
	return nil
}

// backupTo makes a verified copy, encrypted when there are keys. A copy that is a
// [store.Lacking] is made all the same. The copy that
// is not encrypted yet stays beside the data file, under its protection.
func backupTo(db *store.DB, to string, keys []age.Recipient) error {
	if len(keys) == 0 {
		return db.Backup(to)
	}
	plain := db.Path() + ".plain"
	if err := os.Remove(plain); err != nil && !errors.Is(err, os.ErrNotExist) { // of a backup that was cut short
		return err
	}
	defer os.Remove(plain)
	err := db.Backup(plain)
	if err != nil && !errors.As(err, &store.Lacking{}) {
		return err
	}
	return cmp.Or(seal.File(plain, to, keys), err)
}

// How the file of secret keys is named: by a flag, or in the environment.
const (
	identityEnv = "NIGHTKEEP_BACKUP_IDENTITY_FILE"
	identityDoc = "file of the secret key, for an encrypted backup (" + identityEnv + ")"
)

func runRestore(_ context.Context, args []string, std IO) error {
	fs := flags("restore", std)
	dir := dataFile(fs)
	from := fs.String("from", "", "backup to restore")
	identity := fs.String("identity", os.Getenv(identityEnv), identityDoc)
	rehearsal := fs.Bool("rehearsal", false, "put it into an empty folder to be tried: serve -rehearsal serves it and lets nothing leave")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *from == "" {
		return UsageError{"restore: -from FILE says which backup"}
	}
	if err := fitsRestore(*dir, *rehearsal); err != nil {
		return err
	}
	kept := ""
	err := opened(*from, *identity, *dir, func(plain string) (err error) {
		if err := practices(plain, *from); err != nil && !*rehearsal {
			return err
		}
		kept, err = store.Restore(plain, filePath(*dir), time.Now())
		if err == nil && *rehearsal {
			err = markRehearsal(filePath(*dir))
		}
		return err
	})
	if err := notSound(err, *from, *dir); err != nil {
		return err
	}
	if *rehearsal {
		fmt.Fprintf(std.Out, "restored for a rehearsal; serve it with: %[1]s serve -rehearsal -data %[2]s -addr 127.0.0.1:8081\nin another window, %[1]s staff list -data %[2]s shows who there is, and %[1]s staff link -data %[2]s -id ID makes a link to sign in there\nnote how it went in the practice's own console, under Settings, and remove %[2]s: it holds everybody's records\n", called(), *dir)
		return nil
	}
	lacks, err := openRestored(*dir)
	if err != nil {
		return err
	}
	fmt.Fprintln(std.Out, "restored; phones will offer again what this backup does not hold")
	if kept != "" {
		fmt.Fprintln(std.Out, "the file that was there is kept as", kept)
	}
	sayLacks(std.Out, lacks)
	fmt.Fprintf(std.Out, "to try a backup without any message leaving: %s restore -rehearsal -from %s -data ANOTHER-FOLDER\n", called(), *from)
	return nil
}

// fitsRestore refuses a folder of another user, or one that cannot be meant.
func fitsRestore(dir string, rehearsal bool) error {
	for _, path := range []string{filePath(dir), dir} {
		if owner, other := machine.OwnedByAnother(path); other {
			return notYours(path, owner)
		}
	}
	if exists(filepath.Join(dir, demoMark)) {
		return UsageError{"restore: " + dir + " is a demo's, whose data anybody with a link can open: want a folder of the practice's own"}
	}
	if rehearsal && exists(filePath(dir)) {
		return UsageError{"restore: " + dir + " holds data already: -rehearsal wants a folder of its own"}
	}
	if !exists(filePath(dir)) {
		if err := notForeign(dir); err != nil {
			return err
		}
	}
	return nil
}

// practices refuses a backup that serve would refuse: one of a demo or of a rehearsal.
func practices(plain, from string) error {
	demo, rehearsed := false, false
	store.SettingOf(plain, demoSetting, &demo)
	store.SettingOf(plain, rehearsalSetting, &rehearsed)
	switch {
	case demo:
		return UsageError{"restore: " + from + " is the data of a demo, which anybody with a link can open; nothing was touched: want a backup of the practice's own, or -rehearsal, to look at this one"}
	case rehearsed:
		return UsageError{"restore: " + from + " is of a rehearsal, which families' phones must never meet; nothing was touched: want the practice's own backup, or -rehearsal"}
	}
	return nil
}

// openRestored opens a restored file once, so that families erased since go for
// good, and so does what free pages hold. It returns what the file lacks.
func openRestored(dir string) (lacks store.Lacks, err error) {
	db, err := store.Open(filePath(dir), time.Now)
	if err != nil {
		return lacks, err
	}
	err = db.View(func(tx *store.Tx) error { return tx.Register().Setting(store.LacksSetting, &lacks) })
	return lacks, errors.Join(err, db.Close())
}

// sayLacks prints what the restore took back.
func sayLacks(out io.Writer, lacks store.Lacks) {
	if lacks.Alerts > 0 {
		fmt.Fprintf(out, "alerts that were open in the file that was there, carried over with their reports: %d; the console names them, and they ring once the server runs: start it now\n", lacks.Alerts)
	}
	if lacks.Left > 0 {
		fmt.Fprintf(out, "ALERTS THAT WERE OPEN IN THE FILE THAT WAS THERE AND COULD NOT BE CARRIED OVER: %d\nhave the families that reported of late phoned now; to read who they are: restore -rehearsal from the file that is kept\n", lacks.Left)
	}
	sayShut(out, lacks.Shut)
	switch {
	case lacks.Unknown:
		fmt.Fprintln(out, "the file that was there cannot be read, or is gone, so nobody knows which alerts were open, nor what was done since the backup: phone the families that reported of late, and look through plans, closings, bookings and settings of the days before")
	case len(lacks.Did) > 0:
		fmt.Fprintln(out, "done after the backup was made, and not in it; each stands in the audit log as “not in the backup”, to be looked at and done again:")
		for _, did := range slices.Sorted(maps.Keys(lacks.Did)) {
			fmt.Fprintf(out, "  %d × %s\n", lacks.Did[did], did)
		}
	}
}

// notSound says of a backup with faults that nothing was touched, and what next.
func notSound(err error, from, dir string) error {
	if !errors.As(err, &store.Unsound{}) {
		return err
	}
	return fmt.Errorf("%w\nnothing in %s was touched; try an earlier backup, or read what can be read into a new file and restore that: %s repair -file %s -to NEW-FILE", err, dir, called(), from)
}

// opened gives f the backup as a data file. One that is encrypted is opened into a
// file without a name on the disk of the data, of which nothing is left.
func opened(backup, identity, dir string, f func(plain string) error) error {
	sealed, err := seal.Sealed(backup)
	if err != nil {
		return err
	}
	if !sealed {
		return f(backup)
	}
	if identity == "" {
		return UsageError{backup + " is encrypted: -identity FILE names its secret key"}
	}
	keys, err := seal.Identities(identity)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	plain, err := seal.Open(backup, filePath(dir)+".plain", keys)
	if err != nil {
		return err
	}
	err = f(plain.Path())
	if err != nil {
		err = ofSealed{err, plain.Path(), backup}
	}
	return errors.Join(err, plain.Close())
}

// ofSealed is an error about an encrypted backup, by the backup's name.
type ofSealed struct {
	error
	plain, backup string
}

// Error names the backup that people know.
func (e ofSealed) Error() string { return strings.ReplaceAll(e.error.Error(), e.plain, e.backup) }

// Unwrap returns the error as it came.
func (e ofSealed) Unwrap() error { return e.error }

func runCheck(_ context.Context, args []string, std IO) error {
	fs := flags("check", std)
	dir := dataFile(fs)
	file := fs.String("file", "", "check this backup instead of the data file")
	setup := fs.Bool("setup", false, "ask the running server what is still to be set, in the order it is set")
	identity := fs.String("identity", os.Getenv(identityEnv), identityDoc)
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *setup {
		return checkSetup(*dir, std)
	}
	path := filePath(*dir)
	if *file != "" {
		path = *file
	}
	return opened(path, *identity, *dir, func(plain string) error {
		faults, err := store.CheckFile(plain)
		if err != nil {
			return err
		}
		if len(faults) > 0 {
			return fmt.Errorf("%d faults:\n%w", len(faults), errors.Join(faults...))
		}
		fmt.Fprintln(std.Out, "sound: pages, checksums, indices, folded nights, audit chain")
		return nil
	})
}

// --- scheduled ---

// backups makes a verified copy whenever the newest one is older than the
// interval, until ctx ends. A backup that fails is logged and tried again after
// a tenth of the interval.
func (a *App) backups(ctx context.Context, cfg config.Config) {
	if cfg.BackupDir == "" {
		<-ctx.Done()
		return
	}
	a.noteBackup(cfg, nil)
	if err := removeParts(cfg.BackupDir); err != nil {
		a.opt.Log.Warn("a backup that was cut off cannot be removed", "err", err)
	}
	for {
		wait := untilBackup(newestBackup(cfg.BackupDir), a.opt.Now(), cfg.BackupEvery)
		if wait == 0 {
			wait = cfg.BackupEvery
			err := a.backupOnce(cfg)
			a.noteBackup(cfg, err)
			if err != nil {
				a.opt.Log.Error("backup failed", "err", err)
				wait = cfg.BackupEvery / 10
			}
		}
		timer := time.NewTimer(wait)
		select {
		case <-ctx.Done():
			timer.Stop()
			return
		case <-timer.C:
		}
	}
}

// untilBackup says how long to wait for the next backup. A restart neither
// delays nor repeats one, and one that seems to come from the future, because
// the clock was set back, delays the next by one interval at most.
func untilBackup(newest, now time.Time, every time.Duration) time.Duration {
	if newest.IsZero() {
		return 0
	}
	return min(max(0, newest.Add(every).Sub(now)), every)
}

const (
	backupPrefix = "nightkeep-"
	backupTime   = "20060102T150405Z"
)

// backupOnce makes one copy and removes the oldest beyond what is kept.
func (a *App) backupOnce(cfg config.Config) error {
	a.copying.Lock()
	defer a.copying.Unlock()
	if err := os.MkdirAll(cfg.BackupDir, 0o700); err != nil {
		return err
	}
	if err := removeParts(cfg.BackupDir); err != nil {
		return err
	}
	name := backupPrefix + a.opt.Now().UTC().Format(backupTime) + ".db"
	if len(cfg.BackupRecipients) > 0 {
		name += ".age"
	}
	err := backupTo(a.DB, filepath.Join(cfg.BackupDir, name), cfg.BackupRecipients)
	if errors.As(err, &store.Lacking{}) { // health says so too; older ones may have what it lacks, so all are kept
		a.opt.Log.Error("a backup was made", "err", err)
		return nil
	}
	if err != nil {
		return err
	}
	have, err := backupsIn(cfg.BackupDir)
	if err != nil {
		return err
	}
	for len(have) > cfg.BackupKeep {
		if err := os.Remove(filepath.Join(cfg.BackupDir, have[0])); err != nil {
			return fmt.Errorf("remove old backup: %w", err)
		}
		have = have[1:]
	}
	return nil
}

// removeParts removes what backups that were cut short have left in a folder.
func removeParts(dir string) error {
	parts, err := filepath.Glob(filepath.Join(dir, backupPrefix+"*.part"))
	for _, p := range parts {
		err = errors.Join(err, os.Remove(p))
	}
	return err
}

// backupsIn lists scheduled backups, encrypted or not, oldest first.
func backupsIn(dir string) ([]string, error) {
	all, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, f := range all {
		if !madeAt(f.Name()).IsZero() {
			out = append(out, f.Name())
		}
	}
	slices.SortFunc(out, func(a, b string) int { return madeAt(a).Compare(madeAt(b)) })
	return out, nil
}

// madeAt reads when a scheduled backup was made from its name; zero for another
// file's name.
func madeAt(name string) time.Time {
	name, ours := strings.CutPrefix(strings.TrimSuffix(name, ".age"), backupPrefix)
	name, whole := strings.CutSuffix(name, ".db")
	at, err := time.Parse(backupTime, name)
	if !ours || !whole || err != nil {
		return time.Time{}
	}
	return at
}

// newestBackup is when the last scheduled backup was made; zero when there is
// none.
func newestBackup(dir string) time.Time {
	have, err := backupsIn(dir)
	if err != nil || len(have) == 0 {
		return time.Time{}
	}
	return madeAt(have[len(have)-1])
}
