package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"nightkeep/server/internal/app/machine"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/clinic"
)

// runExport writes everything about one family as an archive.
func runExport(_ context.Context, args []string, std IO) error {
	fs := flags("export", std)
	dir := dataFile(fs)
	family := fs.String("family", "", "id of the family")
	base := fs.String("base-url", "http://127.0.0.1:8080", "address of the server; names the forms and codes in the FHIR files")
	to := fs.String("to", "", "archive to make, e.g. record.zip; it must not exist")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *family == "" || *to == "" {
		return UsageError{"export: want -family ID and -to FILE.zip"}
	}
	return withStore(*dir, func(db *store.DB) error {
		out, err := os.OpenFile(*to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if err != nil {
			return err
		}
		err = errors.Join(noFamily(*family, clinic.WriteExport(db, care.FamilyID(*family), *base, care.Person{}, out)), out.Close())
		if err != nil {
			return errors.Join(err, os.Remove(*to))
		}
		err = db.Update(func(tx *store.Tx) error { return tx.Audit().Append("", "exported family", *family) })
		if err != nil {
			return err
		}
		fmt.Fprintln(std.Out, "written:", *to)
		return nil
	})
}

// runErase erases one family for good.
func runErase(_ context.Context, args []string, std IO) error {
	fs := flags("erase", std)
	dir := dataFile(fs)
	family := fs.String("family", "", "id of the family")
	sure := fs.Bool("yes", false, "say that it is meant: nothing brings it back")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *family == "" || !*sure {
		return UsageError{"erase: want -family ID and -yes; it cannot be undone, so export first if the family wants its record"}
	}
	err := withStore(*dir, func(db *store.DB) error {
		return noFamily(*family, db.Update(func(tx *store.Tx) error { return eraseQuiet(tx, care.FamilyID(*family)) }))
	})
	if err != nil {
		return err
	}
	// Opening once more writes the file anew, without what was freed.
	if err := withStore(*dir, func(*store.DB) error { return nil }); err != nil {
		return err
	}
	fmt.Fprintln(std.Out, "erased; backups made before still hold the family until they are removed")
	return nil
}

// eraseQuiet erases a family of whom no alert is open.
func eraseQuiet(tx *store.Tx, family care.FamilyID) error {
	open, err := tx.Archive().OpenAlerts(family)
	if err != nil {
		return err
	}
	if open > 0 {
		return UsageError{fmt.Sprintf("%d alerts of this family are open, so it cannot be erased: a clinician deals with them and closes them in the console first", open)}
	}
	_, err = tx.Archive().EraseFamily(family, "")
	return err
}

// noFamily says of a family that is not found how to find the id.
func noFamily(id string, err error) error {
	if care.KindOf(err) != care.NotFound {
		return err
	}
	return UsageError{fmt.Sprintf("there is no family with the id %q; its page in the console shows it", id)}
}

// withStore opens the data file for one command. A server that runs on it is
// in the way, and says so.
func withStore(dir string, f func(*store.DB) error) error {
	if !exists(filePath(dir)) {
		return noData(dir)
	}
	db, err := openData(dir)
	if err != nil {
		return err
	}
	return errors.Join(f(db), db.Close())
}

func notYours(path, owner string) error {
	return UsageError{fmt.Sprintf("%s belongs to the user %s: want the command run as that user, for example with sudo -u %s", path, owner, owner)}
}

// openData opens a practice's data for a command, as nobody but the user whose
// data it is: files that root or another user made there would stop the server.
func openData(dir string) (*store.DB, error) {
	for _, path := range []string{filePath(dir), dir} {
		if owner, other := machine.OwnedByAnother(path); other {
			return nil, notYours(path, owner)
		}
	}
	return store.Open(filePath(dir), time.Now)
}

// noData says that a folder holds no practice; of one that this user may not look
// into nobody knows, and that is said.
func noData(dir string) error {
	if _, err := os.Stat(filePath(dir)); errors.Is(err, fs.ErrPermission) {
		if owner, other := machine.OwnedByAnother(dir); other {
			return notYours(dir, owner)
		}
		return err
	}
	return UsageError{fmt.Sprintf("there is no practice in %s: -data names the folder that holds nightkeep.db; a new practice begins with %s serve -data FOLDER", dir, called())}
}
