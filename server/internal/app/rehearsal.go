package app

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"
	"time"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/transport"
)

// A rehearsal tries a backup: everything runs, and nothing leaves. Its file is
// marked when it is restored, so that a practice's own is never served as a
// rehearsal, nor a rehearsal's to families, whose phones would take its epoch
// for the practice's.
const rehearsalSetting = "rehearsal"

// markRehearsal marks a restored file.
func markRehearsal(path string) error {
	db, err := store.Open(path, time.Now)
	if err != nil {
		return err
	}
	err = db.Update(func(tx *store.Tx) error {
		// Its links must not lead to the practice's own server.
		return errors.Join(tx.Register().SetSetting(rehearsalSetting, true), tx.Register().SetSetting(servedAt, ""))
	})
	if end := db.Close(); err == nil {
		err = end
	}
	return err
}

// isRehearsal reports whether a file was restored for a rehearsal.
func isRehearsal(db *store.DB) (marked bool, err error) {
	err = db.View(func(tx *store.Tx) error { return tx.Register().Setting(rehearsalSetting, &marked) })
	return marked, err
}

// fitsRehearsal refuses a practice's file in a rehearsal, and a rehearsal's
// everywhere else, as a [UsageError]: another start would end the same.
func fitsRehearsal(db *store.DB, rehearsal bool) error {
	marked, err := isRehearsal(db)
	if err != nil {
		return err
	}
	switch {
	case rehearsal && !marked:
		return UsageError{db.Path() + " was not restored for a rehearsal: want a folder made by restore -rehearsal, so that a practice's own file is never touched"}
	case marked && !rehearsal:
		return UsageError{db.Path() + " was restored for a rehearsal, and families' phones must never meet it: want serve -rehearsal, or restore the backup again without it"}
	}
	return nil
}

const rehearsalBanner = `<p class="rehearsal" role="status"><strong>Rehearsal.</strong> This is a copy of a backup. Nothing leaves it: no notification, no mail, no calendar. Phones of families are refused. Nothing done here reaches the practice.</p>`

// bannered puts the banner on a page of the app, and leaves out the service
// worker, which would keep the page for later.
func bannered(path string, f transport.Asset, ok bool) (transport.Asset, bool) {
	if path == "sw.js" {
		return transport.Asset{}, false
	}
	if !ok || filepath.Ext(path) != ".html" {
		return f, ok
	}
	at := bytes.Index(f.Body, []byte("<body>"))
	if at < 0 {
		return f, ok
	}
	at += len("<body>")
	f.Body = append(append(append([]byte{}, f.Body[:at]...), rehearsalBanner...), f.Body[at:]...)
	f.Brotli, f.Gzip, f.CacheControl = nil, nil, "no-store"
	f.ETag = strings.TrimSuffix(f.ETag, `"`) + `-r"`
	return f, true
}
