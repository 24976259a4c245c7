package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

func runRepair(_ context.Context, args []string, std IO) error {
	fs := flags("repair", std)
	file := fs.String("file", "", "damaged data file or backup; it is read and not touched")
	to := fs.String("to", "", "file to make of what can be read; it must not exist")
	identity := fs.String("identity", os.Getenv(identityEnv), identityDoc)
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if *file == "" || *to == "" {
		return UsageError{"repair: -file FILE says what is damaged, -to FILE where what can be read goes"}
	}
	return opened(*file, *identity, filepath.Dir(*to), func(plain string) error {
		out, err := store.Repair(plain, *to, time.Now())
		if err != nil {
			return err
		}
		fmt.Fprintf(std.Out, "%d records saved in %s, %d of them from pages to which nothing led any more\n", out.Pairs, *to, out.Loose)
		for _, part := range []struct {
			title string
			list  []error
		}{{"could not be read", out.Lost}, {"does not fit in the new file", out.Left}} {
			if len(part.list) > 0 {
				fmt.Fprintf(std.Out, "%s, %d:\n%v\n", part.title, len(part.list), errors.Join(part.list...))
			}
		}
		if out.Staff == 0 {
			fmt.Fprintf(std.Out, "NOBODY OF THE STAFF IS LEFT: once it is in place, make each anew with %s staff add; the rota, and what was theirs, must be set again\n", called())
		}
		if out.People == 0 {
			fmt.Fprintln(std.Out, "NOBODY OF ANY FAMILY IS LEFT: their phones are shut out until each person is entered and invited anew; phone them")
		}
		sayShut(std.Out, out.Shut)
		if len(out.Left) > 0 {
			fmt.Fprintln(std.Out, "what does not fit stays named by check; with the server stopped,",
				"put the new file in the place of the data file, and keep the damaged one")
			return nil
		}
		fmt.Fprintf(std.Out, "with the server stopped, put it in place with: %s restore -from %s\n", called(), *to)
		return nil
	})
}

// sayShut prints who cannot get in by a repaired file, and what to do.
func sayShut(out io.Writer, shut register.ShutOut) {
	if shut == (register.ShutOut{}) {
		return
	}
	fmt.Fprintf(out, "WHO CANNOT GET IN BY WHAT IS LEFT: staff without a passkey: %d; families of whom no phone is let in: %d; phones and browsers that have lost what lets them in: %d\nonce it is in place, make each of the staff a link with %[4]s staff link, which %[4]s staff list names; then invite the families anew from the console, and phone them: what their phones report does not arrive\n",
		shut.Staff, shut.Families, shut.Devices, called())
}
