package store

import (
	"errors"
	"os"
	"strconv"
	"strings"
)

// Mark counts up in the data file and then in a small file beside it, which a copy
// of the data file put back by hand does not take along. It is called now and
// then while the server runs.
func (db *DB) Mark() error {
	n := 0
	err := db.Write(func(tx *Tx) error {
		if err := errors.Join(tx.pairs.Setting(fileMark, &n), tx.duty.MarkClock()); err != nil {
			return err
		}
		n++
		return tx.pairs.SetSetting(fileMark, n)
	})
	if err != nil {
		return err
	}
	if err := db.keepQuarantine(); err != nil {
		return err
	}
	tmp := db.markPath() + ".part"
	if err := os.WriteFile(tmp, []byte(strconv.Itoa(n)+"\n"), 0o600); err != nil {
		return err
	}
	return os.Rename(tmp, db.markPath())
}

// WentBack reports whether the data file is older than one that stood here
// before, by the small file beside it, and then starts a new epoch, as a restore
// does: all phones read the log anew and offer again what it lacks.
func (db *DB) WentBack() (back bool, err error) {
	raw, err := os.ReadFile(db.markPath())
	if err != nil {
		return false, nil // none yet: the file says what there is
	}
	beside, err := strconv.Atoi(strings.TrimSpace(string(raw)))
	if err != nil {
		return false, nil
	}
	err = db.Update(func(tx *Tx) error {
		n := 0
		if err := tx.pairs.Setting(fileMark, &n); err != nil || n >= beside {
			return err
		}
		back = true
		return errors.Join(tx.log.NewEpoch(), tx.pairs.SetSetting(fileMark, beside))
	})
	return back, err
}

func (db *DB) markPath() string { return markOf(db.Path()) }

// markOf is the name of the small file beside a data file.
func markOf(path string) string { return path + ".mark" }

const fileMark = "mark"
