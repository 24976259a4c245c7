package app

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
)

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
