package store

import (
	"errors"
	"os"
	"strconv"
	"strings"
)

// Mark counts up in the data file and then in a small file beside it, which a copy
// of the data file put back by hand does not take along. It is called now and
// then while the server runs, and mends what a read has met: nothing may ever write
// there, and reads cannot.
func (db *DB) Mark() error {
	if err := db.keepSettings(); err != nil {
		return err
	}
	if db.hurt.Swap(false) {
		if _, err := db.mend(); err != nil {
			return err
		}
	}
	n := 0
	err := db.Write(func(tx *Tx) (err error) {
		if err := tx.duty.MarkClock(); err != nil {
			return err
		}
		n, err = tx.markAfter(0)
		return err
	})
	if err != nil {
		return err
	}
	if err := db.keepQuarantine(); err != nil {
		return err
	}
	return putMark(db.Path(), n)
}

// markAfter counts up in the data file, to beyond a number.
func (tx *Tx) markAfter(beside int) (n int, err error) {
	if err := tx.pairs.Setting(fileMark, &n); err != nil {
		return 0, err
	}
	n = max(n, beside) + 1
	return n, tx.pairs.SetSetting(fileMark, n)
}

// putMark writes the small file beside a data file, on the disk when it returns.
func putMark(path string, n int) error {
	return putBeside(markOf(path), []byte(strconv.Itoa(n)+"\n"))
}

// markBeside reads the small file beside a data file; 0 when there is none: then the
// data file says what there is.
func markBeside(path string) int {
	raw, err := os.ReadFile(markOf(path))
	if err != nil {
		return 0
	}
	n, err := strconv.Atoi(strings.TrimSpace(string(raw)))
	if err != nil {
		return 0
	}
	return n
}

// WentBack reports whether the data file is older than one that stood here
// before, by the small file beside it, and then starts a new epoch, as a restore
// does: all phones read the log anew and offer again what it lacks. A file that has no key
// for the names of its lives gets one.
func (db *DB) WentBack() (back bool, err error) {
	beside := markBeside(db.Path())
	err = db.Update(func(tx *Tx) error {
		n := 0
		if err := errors.Join(tx.log.KeepLifeKey(), tx.pairs.Setting(fileMark, &n)); err != nil || n >= beside {
			return err
		}
		back = true
		return errors.Join(tx.log.NewEpoch(), tx.pairs.SetSetting(fileMark, beside), tx.register.SetSetting(LacksSetting, Lacks{At: tx.Now, Unknown: true, Blind: true}))
	})
	return back, err
}

// markOf is the name of the small file beside a data file.
func markOf(path string) string { return path + ".mark" }

const fileMark = "mark"
