package store

import (
	"encoding/json"
	"errors"
	"os"
	"strconv"

	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/store/pairs"
)

// The settings stand in one or two pages, without which nothing can be served: epoch,
// rota, keys, who the staff are. So the mark takes a copy of them along, beside the
// data file, and where one of them is lost it is taken from there.

// settings is the bucket of the settings.
const settings = "meta"

// settingsOf is the name of the copy of the settings beside a data file.
func settingsOf(path string) string { return path + ".settings" }

// wholeSettings returns the settings as they are stored. The error says that one cannot
// be read.
func wholeSettings(k kv.Tx) (all map[string][]byte, err error) {
	all = map[string][]byte{}
	err = k.Try(func() error {
		for name, stored := range k.Ascend(settings, nil) {
			if string(name) != pairs.LayoutKey && !pairs.Fits(settings, name, stored) {
				return kv.Damaged{Bucket: settings, Why: "a setting does not fit its checksum"}
			}
			all[string(name)] = append([]byte{}, stored...)
		}
		return nil
	})
	return all, err
}

// keepSettings writes the copy, or takes the settings from it where one cannot be read.
func (db *DB) keepSettings() error {
	var all map[string][]byte
	err := db.kv.View(func(k kv.Tx) (err error) { all, err = wholeSettings(k); return err })
	if errors.Is(err, kv.ErrDamaged) {
		_, err := db.mendSettings()
		return err
	}
	if err != nil {
		return err
	}
	raw, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return putBeside(settingsOf(db.Path()), raw)
}

// settingsBeside reads the copy; nil when there is none that could be used.
func settingsBeside(path string) map[string][]byte {
	raw, err := os.ReadFile(settingsOf(path))
	if err != nil {
		return nil
	}
	var all map[string][]byte
	if json.Unmarshal(raw, &all) != nil || len(all["epoch"]) == 0 || string(all[pairs.LayoutKey]) != strconv.Itoa(Layout) {
		return nil
	}
	for name, stored := range all {
		if name != pairs.LayoutKey && !pairs.Fits(settings, []byte(name), stored) {
			return nil
		}
	}
	return all
}

// mendSettings takes the settings from the copy where one of them cannot be read, and
// reports whether it did. A file of another layout is left to its upgrade.
func (db *DB) mendSettings() (mended bool, err error) {
	err = db.kv.View(func(k kv.Tx) error {
		if have, err := layoutOf(k); err == nil && have != Layout {
			return nil
		}
		_, err := wholeSettings(k)
		return err
	})
	all := settingsBeside(db.Path())
	if !errors.Is(err, kv.ErrDamaged) || all == nil {
		return false, err
	}
	_ = db.incident(err)
	return true, db.file.SetApart([]string{settings}, func(k kv.Tx) error {
		for name, stored := range all {
			if err := k.Put(settings, []byte(name), stored); err != nil {
				return err
			}
		}
		return db.tx(k).pairs.CountDigest(settings)
	})
}

// putBeside writes a small file beside a data file, on the disk when it returns.
func putBeside(path string, raw []byte) error {
	tmp := path + ".part"
	if err := os.WriteFile(tmp, raw, 0o600); err != nil {
		return err
	}
	if err := flush(tmp); err != nil {
		return err
	}
	return durable.Rename(tmp, path)
}
