package app

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"nightkeep/server/internal/store"
)

// A demo opens its data to whoever has a link, so its folder and its file are
// marked: the demo takes no folder but one it has made, and serve takes none of
// the demo's.
const (
	demoMark    = "nightkeep.demo" // a file in the folder
	demoSetting = "demo"           // in the data file, which may be copied elsewhere
	demoSeats   = "demo_seats"     // by which a second run knows the people of the first
)

// claimDemo marks a folder as the demo's. One that holds anything and was not
// made by a demo is refused, untouched.
func claimDemo(dir string) error {
	mark := filepath.Join(dir, demoMark)
	if _, err := os.Stat(mark); err == nil {
		return nil
	}
	list, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if len(list) > 0 {
		return UsageError{fmt.Sprintf("demo: %s was not made by a demo and holds something: want an empty folder, or a demo's own; a practice's data is opened by serve only", dir)}
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	return os.WriteFile(mark, []byte("Invented data of the Nightkeep demo. Anybody with a link may read it.\n"), 0o600)
}

// fits refuses a demo's file outside the demo, and marks one inside it. In a rehearsal,
// which nothing leaves, one may be looked at.
func fits(db *store.DB, demo, rehearsal bool) error {
	marked := false
	if err := db.View(func(tx *store.Tx) error { return tx.Register().Setting(demoSetting, &marked) }); err != nil {
		return err
	}
	if marked && !demo && !rehearsal {
		return UsageError{db.Path() + " is the data of a demo, which anybody with a link can open; want another folder, or, to look at a backup of it, restore -rehearsal and serve -rehearsal"}
	}
	if demo && !marked {
		var staff, families bool
		err := db.View(func(tx *store.Tx) error {
			people, err := tx.Register().Staff()
			if err != nil {
				return err
			}
			all, err := tx.Register().Families()
			staff, families = len(people) > 0, len(all) > 0
			return err
		})
		if err != nil {
			return err
		}
		if staff || families {
			return fmt.Errorf("%s is the data of a practice, which a demo would open to anybody with a link; want an empty folder, or a demo's own", db.Path())
		}
		return db.Update(func(tx *store.Tx) error { return tx.Register().SetSetting(demoSetting, true) })
	}
	return nil
}

// ours begin the names of what this program makes in a folder of data; the last is
// made by the system at the root of a disk.
var ours = []string{"nightkeep.", "control.sock", "acme", "lost+found"}

// notForeign refuses a folder that holds something and nothing of ours: it is not the
// one that is meant.
func notForeign(dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	other := ""
	for _, f := range list {
		is := false
		for _, name := range ours {
			is = is || strings.HasPrefix(f.Name(), name)
		}
		if is && f.Name() != "lost+found" {
			return nil
		}
		if !is {
			other = f.Name()
		}
	}
	if other == "" {
		return nil
	}
	return UsageError{fmt.Sprintf("%s holds %s, and more perhaps, and no practice: want an empty folder, or the one that holds nightkeep.db", dir, other)}
}
