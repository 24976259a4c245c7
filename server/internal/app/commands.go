package app

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/alerts"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/calc"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/practice"
)

func runCalc(_ context.Context, args []string, std IO) error {
	if len(args) == 0 {
		return calc.List(std.Out)
	}
	if len(args) > 1 {
		return UsageError{"calc takes one name; `" + called() + " calc` lists them"}
	}
	err := calc.Run(args[0], std.In, std.Out)
	var bad *calc.InputError
	if errors.As(err, &bad) {
		return UsageError{bad.Error()}
	}
	return err
}

func runRules(_ context.Context, args []string, std IO) error {
	fs := flags("rules", std)
	html := fs.Bool("html", false, "print a page instead of text")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *html {
		return alerts.WriteHTML(std.Out, alerts.Default())
	}
	return alerts.WriteText(std.Out, alerts.Default())
}

// notHelp turns a request for help, which has been answered, into success.
func notHelp(err error) error {
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	return err
}

// dataFile adds the flag every command on stored data has; as serve's, its default
// can stand in the environment.
func dataFile(fs *flag.FlagSet) *string {
	return fs.String("data", cmp.Or(os.Getenv("NIGHTKEEP_DATA"), "data"), "folder of the data file (NIGHTKEEP_DATA)")
}

func filePath(dir string) string { return filepath.Join(dir, "nightkeep.db") }

// runStaff adds a member of staff, or prints a one-time link for one.
func runStaff(_ context.Context, args []string, std IO) error {
	if len(args) == 0 || !slices.Contains([]string{"add", "link", "role", "list"}, args[0]) {
		return UsageError{"staff: want add, link, role or list; e.g. " + called() + " staff add -name \"Dr A\" -role clinician -mail a@example.org"}
	}
	verb := args[0]
	fs := flags("staff "+verb, std)
	dir := dataFile(fs)
	name := fs.String("name", "", "name shown to colleagues and families (add)")
	role := fs.String("role", "clinician", "clinician, desk or administrator (add, role)")
	mail := fs.String("mail", "", "mail address for alerts (add)")
	id := fs.String("id", "", "id of the member of staff (link, role)")
	base := fs.String("base-url", os.Getenv(baseEnv), "address of the server (add, link; NIGHTKEEP_BASE_URL); empty: that of the running server, else the one it was last served at")
	if err := parse(fs, args[1:]); err != nil {
		return notHelp(err)
	}
	*name = strings.TrimSpace(*name)
	if n := utf8.RuneCountInString(*name); verb == "add" && (n < 1 || n > 80 || !care.OneLine(*name)) {
		return UsageError{"staff add: want -name of 1 to 80 characters that show"}
	}
	if !care.Role(*role).Staff() {
		return UsageError{"staff " + verb + ": want -role clinician, desk or administrator"}
	}
	again := []string{"staff", verb, "-name", *name, "-role", *role, "-mail", *mail, "-id", *id, "-base-url", *base}
	if *mail != "" && !care.MailAddress(*mail) {
		return UsageError{"staff add: -mail " + *mail + ": want one mail address such as a@example.org"}
	}
	return withData(*dir, std, again, func(db *store.DB) error {
		at, err := std.address(db, *base)
		if err != nil {
			return err
		}
		switch verb {
		case "list":
			return listStaff(db, std.Out)
		case "add":
			return addStaff(db, *name, care.Role(*role), *mail, at, std.Out)
		case "role":
			return giveRole(db, care.PersonID(*id), care.Role(*role), std.Out)
		}
		return printLink(db, care.PersonID(*id), register.StaffLinked, at, std.Out)
	})
}

// baseEnv names the address of the practice in the environment.
const baseEnv = "NIGHTKEEP_BASE_URL"

// address is where the server is reached: as said, or as it says itself. That of the
// environment is the practice's, where a rehearsal's links lead nowhere.
func (std IO) address(db *store.DB, said string) (string, error) {
	rehearsal, err := isRehearsal(db)
	switch {
	case err != nil && !store.IsUnreadable(err):
		return "", err
	case rehearsal && (std.server != nil || said == os.Getenv(baseEnv)):
		said = ""
	}
	switch {
	case said != "":
		return strings.TrimSuffix(said, "/"), nil
	case std.server != nil:
		return std.server.URL(), nil
	}
	return "", nil
}

// servedAt is the setting that holds the address the data was last served at.
const servedAt = "served_at"

// keepAddress keeps the address people type, for links made while nobody serves.
func keepAddress(db *store.DB, base string) error {
	if base == "" {
		return nil
	}
	return db.Update(func(tx *store.Tx) error { return tx.Register().SetSetting(servedAt, base) })
}

func addStaff(db *store.DB, name string, role care.Role, mail, base string, out io.Writer) error {
	p := care.Person{ID: care.PersonID(access.NewID()), Name: name, Role: role, Mail: mail}
	err := db.Update(func(tx *store.Tx) error {
		if err := tx.Register().AddPerson(p); err != nil {
			return err
		}
		return tx.Audit().Append("", "added staff", string(p.ID))
	})
	if err != nil {
		return err
	}
	return printLink(db, p.ID, register.StaffAdded, base, out)
}

// giveRole gives a member of staff another role at once; everybody of the practice is
// told.
func giveRole(db *store.DB, id care.PersonID, role care.Role, out io.Writer) error {
	err := db.Update(func(tx *store.Tx) error {
		p, err := staffOf(tx, id)
		if err != nil {
			return err
		}
		p.Role = role
		if err := tx.Register().ChangePerson(id, func(p *care.Person) { p.Role = role }); err != nil {
			return err
		}
		if err := dispatch.RoleGiven(tx, register.StaffChange{Kind: register.StaffRole, Person: id, Role: role}); err != nil {
			return err
		}
		if err := practice.NoteAtOnce(tx, register.StaffRole, p); err != nil {
			return err
		}
		return tx.Audit().Append("", "changed staff", string(id))
	})
	if care.KindOf(err) == care.NotFound {
		return UsageError{"staff role: " + Plain(err)}
	}
	if err == nil {
		fmt.Fprintln(out, "it holds from now on, and everybody of the practice is told")
	}
	return err
}

// staffOf returns a member of staff who is there.
func staffOf(tx *store.Tx, id care.PersonID) (care.Person, error) {
	p, err := tx.Register().Person(id)
	if err != nil || !p.Role.Staff() || p.Gone {
		return p, care.Errorf(care.NotFound, "no-such-staff", "want -id of a member of staff; `%s staff list` shows them", called())
	}
	return p, nil
}

func listStaff(db *store.DB, out io.Writer) error {
	return db.View(func(tx *store.Tx) error {
		staff, err := tx.Register().Staff()
		for _, p := range staff {
			if p.Gone {
				continue
			}
			fmt.Fprintf(out, "%s  %-13s %s\n", p.ID, p.Role, p.Name)
		}
		return err
	})
}

// linkLife is how long a sign-in link of the command line is good for.
const linkLife = time.Hour

// printLink makes a link that lets in at once: whoever has the server's command
// line has its data. Everybody of the practice is told.
func printLink(db *store.DB, id care.PersonID, kind, base string, out io.Writer) error {
	code := access.NewCode()
	err := db.Update(func(tx *store.Tx) error {
		if base == "" {
			if err := tx.Register().Setting(servedAt, &base); err != nil {
				return err
			}
		}
		p, err := staffOf(tx, id)
		if err != nil {
			return err
		}
		if err := tx.Access().Invite(code, register.Invitation{Person: p.ID, By: p.ID, Created: tx.Now, Expires: tx.Now.Add(linkLife)}); err != nil {
			return err
		}
		if err := practice.NoteAtOnce(tx, kind, p); err != nil {
			return err
		}
		return tx.Audit().Append("", "made sign-in link", string(p.ID))
	})
	if care.KindOf(err) == care.NotFound {
		return UsageError{"staff link: " + Plain(err)}
	}
	if err != nil {
		return err
	}
	if base == "" {
		fmt.Fprintf(out, "one-time sign-in link, good for an hour; put it after the server's address, which is not known here (-base-url, once serve has had it):\n/staff#%s\n", code)
		return nil
	}
	fmt.Fprintf(out, "one-time sign-in link, good for an hour:\n%s/staff#%s\n", base, code)
	if u, err := url.Parse(base); err == nil && config.OwnMachine(net.JoinHostPort(u.Hostname(), "0")) {
		fmt.Fprintln(out, "it opens on this machine only; others need the address that serve -base-url names")
	}
	return nil
}

// exists reports whether a path is there.
func exists(path string) bool { _, err := os.Stat(path); return err == nil }
