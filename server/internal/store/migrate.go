package store

import (
	"bytes"
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
)

// Layout is the number of the newest file layout this program writes.
const Layout = 6

// plainLayout is the last layout whose values have no content sum.
const plainLayout = 5

// migrations[i] brings a file from layout i to i+1, up to [plainLayout], inside
// one transaction. They are never edited once shipped; each has a fixture from
// before it.
var migrations = []func(*Tx) error{
	firstEpoch,
	sealAudit,
	rekey,
	leanNights,
	oneHead,
}

// sixth are the steps of layout 6 beside the content sums: they run once every
// value has one, in the transaction that makes the file one of layout 6, and for a
// new file too.
var sixth = []func(*Tx) error{wearStart, endLeft}

// firstEpoch brings layout 1. Buckets come with their first pair.
func firstEpoch(tx *Tx) error { return tx.put("meta", []byte("epoch"), quote(rand.Text())) }

// audit1 is a line of the audit log in layout 1: its hash is made over the ids
// themselves.
type audit1 struct {
	Seq    uint64        `json:"seq"`
	At     time.Time     `json:"at"`
	Who    care.PersonID `json:"who"`
	Did    string        `json:"did"`
	What   string        `json:"what"`
	Before string        `json:"before"`
	Hash   string        `json:"hash"`
}

func (a audit1) digest() string {
	a.Hash = ""
	raw, err := json.Marshal(a)
	if err != nil {
		panic(err) // plain fields always marshal
	}
	return hexSum(raw)
}

// sealAudit brings layout 2: consents stand apart, and an audit log from which ids can be taken out without breaking
// its chain. A line that did not fit the old chain does not fit the new one
// either.
func sealAudit(tx *Tx) error {
	var lines []audit1
	err := tx.each("audit", func(_, raw []byte) error {
		var old audit1
		lines = append(lines, old)
		return json.Unmarshal(raw, &lines[len(lines)-1])
	})
	if err != nil {
		return err
	}
	oldBefore, newBefore := "", ""
	for _, old := range lines {
		device, version, consented := strings.Cut(old.What, " consent ")
		if consented {
			if err := tx.PutConsent(Consent{old.Who, care.DeviceID(device), version, old.At}); err != nil {
				return err
			}
		}
		line := Audit{Seq: old.Seq, At: old.At, Who: old.Who, Did: old.Did, What: device, Before: newBefore}
		line.seal()
		if old.digest() != old.Hash || old.Before != oldBefore {
			line.Hash = "did not fit the chain in layout 1"
		}
		oldBefore, newBefore = old.Hash, line.Hash
		if err := audit.put(tx, key(old.Seq), line); err != nil {
			return err
		}
	}
	return nil
}

// rekey brings layout 3: references of entries are kept by family, so that a
// batch touches one page instead of one for each entry; staff's devices have an
// index. What it once kept of nights comes with layout 4, of ids with layout 5.
func rekey(tx *Tx) error {
	if err := tx.drop("refs"); err != nil {
		return err
	}
	err := tx.each("entries", func(k, v []byte) error {
		e, err := tx.readEntry(care.FamilyID(k[:len(k)-9]), numberOf(k), v)
		if err != nil {
			return nil // stays in its place, and is named by a check
		}
		return tx.indexRefs(care.FamilyID(k[:len(k)-9]), &e)
	})
	if err != nil {
		return err
	}
	return tx.each(devices.name, func(k, v []byte) error {
		var d care.Device
		if err := json.Unmarshal(v, &d); err != nil || d.Family != "" {
			return err
		}
		return staffDevices.put(tx, string(d.Person), string(d.ID))
	})
}

// drop takes buckets out.
func (tx *Tx) drop(names ...string) error {
	for _, name := range names {
		if err := tx.kv.Drop(name); err != nil {
			return err
		}
	}
	return nil
}

// leanNights brings layout 4: one small record of each night instead of the
// folded night, an index of its entries and what the rules look at.
func leanNights(tx *Tx) error {
	if err := tx.drop("night_entries", "nights", "briefs"); err != nil {
		return err
	}
	return tx.eachEntry(func(family care.FamilyID, e *care.Entry) error {
		tx.list(family, e)
		return tx.noteID(family, e) // by which a night's entries find each other
	})
}

// eachEntry calls f for every entry of every log, and works out after each
// family what f left to do.
func (tx *Tx) eachEntry(f func(care.FamilyID, *care.Entry) error) error {
	var last care.FamilyID
	err := tx.each("entries", func(k, v []byte) error {
		family := care.FamilyID(k[:len(k)-9])
		if family != last {
			if err := tx.settle(); err != nil {
				return err
			}
			last, tx.was = family, nil
		}
		e, err := tx.readEntry(family, numberOf(k), v)
		if err != nil {
			return nil // stays in its place, and is named by a check
		}
		return f(family, &e)
	})
	if err != nil {
		return err
	}
	return tx.settle()
}

// oneHead brings layout 5: the ids of a family's entries and the watermarks of
// its devices stand together, so that a push writes one page for them and not
// two. Briefs are worked out again, because their closing times are in another
// order. A watermark of a device that there is none of is left out: nothing comes
// from it any more.
func oneHead(tx *Tx) error {
	err := tx.eachEntry(func(family care.FamilyID, e *care.Entry) error {
		tx.stain(nightID{e.Wearer, e.Night})
		return tx.noteID(family, e)
	})
	if err != nil {
		return err
	}
	err = tx.each("device_marks", func(device, top []byte) error {
		d, err := devices.get(tx, device)
		if err != nil || d.Family == "" {
			return nil
		}
		if err := tx.goTo(d.Family); err != nil {
			return err
		}
		tx.head.hear(d.ID, binary.BigEndian.Uint64(top))
		return nil
	})
	if err != nil {
		return err
	}
	if err := tx.settle(); err != nil {
		return err
	}
	return tx.drop("entry_ids", "device_marks")
}

func quote(s string) []byte {
	raw, err := json.Marshal(s)
	if err != nil {
		panic(err) // a string always marshals
	}
	return raw
}

// layoutOf returns the layout of what an engine holds, 0 for nothing yet.
func layoutOf(tx kv.Tx) (have int, err error) {
	if len(tx.Buckets()) == 0 {
		return 0, nil
	}
	if err := json.Unmarshal(tx.Get("meta", []byte(layoutKey)), &have); err != nil {
		return 0, fmt.Errorf("store: read layout: %w", err)
	}
	return have, nil
}

// reading gives a transaction on a file of any layout.
func reading(k kv.Tx) *Tx {
	have, _ := layoutOf(k) // nothing can be read where it cannot
	return &Tx{kv: k, plain: have <= plainLayout}
}

// migrate runs the missing steps and refuses a file from a later program. A file
// with data in it is copied beside itself first. Whenever it is cut off, the file
// has the layout it says, and the next opening goes on.
func (db *DB) migrate() error {
	have := 0
	err := db.kv.View(func(k kv.Tx) (err error) { have, err = layoutOf(k); return err })
	switch {
	case err != nil:
		return err
	case have > Layout:
		return care.Errorf(care.Unavailable, "newer-layout",
			"this data file has layout %d and this program reads up to %d; run the newer program, or restore the backup made before the upgrade", have, Layout)
	case have == Layout:
		return nil
	case have == 0:
		return db.kv.Update(kv.Alone, func(k kv.Tx) error {
			tx := &Tx{kv: k, Now: db.now()}
			if err := firstEpoch(tx); err != nil {
				return err
			}
			return tx.beSixth()
		})
	}
	kept := fmt.Sprintf("%s.layout-%d-%s", db.Path(), have, db.now().UTC().Format("20060102T150405Z"))
	if err := errors.Join(db.copyTo(kept), flush(kept)); err != nil {
		return fmt.Errorf("store: copy before the upgrade: %w", err)
	}
	if err := db.migratePlain(have); err != nil {
		return err
	}
	return db.addSums()
}

// migratePlain brings a file up to [plainLayout].
func (db *DB) migratePlain(have int) error {
	if have == plainLayout {
		return nil
	}
	return db.kv.Update(kv.Alone, func(k kv.Tx) error {
		for i := have; i < plainLayout; i++ {
			if err := migrations[i](&Tx{kv: k, plain: true}); err != nil {
				return fmt.Errorf("store: migrate to layout %d: %w", i+1, err)
			}
		}
		return putLayout(k, plainLayout)
	})
}

// addSums brings layout 6: every value ends with its content sum, and every bucket
// has its digest. The file is written anew for it and takes the place of the old
// one when it is whole, so that the size of a transaction does not grow with the
// file.
func (db *DB) addSums() error {
	add := func(bucket string, k, v []byte) []byte {
		if bucket == "meta" && string(k) == layoutKey {
			return v
		}
		stored, _ := withSum(bucket, k, v)
		return stored
	}
	err := db.file.Renew(add, func(k kv.Tx) error {
		tx := &Tx{kv: k, Now: db.now()}
		if err := tx.countDigests(); err != nil {
			return err
		}
		return tx.beSixth()
	})
	if err != nil {
		return fmt.Errorf("store: migrate to layout 6: %w", err)
	}
	return nil
}

// beSixth runs the steps of layout 6.
func (tx *Tx) beSixth() error {
	for _, step := range sixth {
		if err := step(tx); err != nil {
			return err
		}
	}
	return errors.Join(tx.settle(), tx.putDigests(), putLayout(tx.kv, Layout))
}

func putLayout(k kv.Tx, n int) error {
	return k.Put("meta", []byte(layoutKey), []byte(strconv.Itoa(n)))
}

// Setting reads a named JSON value of the practice into v. A missing name
// leaves v as it is.
func (tx *Tx) Setting(name string, v any) error {
	raw := tx.get("meta", []byte(name))
	if raw == nil {
		return nil
	}
	if err := json.Unmarshal(raw, v); err != nil {
		tx.aside("meta", []byte(name), err)
		return fmt.Errorf("store: read the setting %s: %w", name, err)
	}
	return nil
}

// SetSetting stores a named JSON value.
func (tx *Tx) SetSetting(name string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return meta.put(tx, []byte(name), raw)
}

// Epoch names this life of the log. A restore from backup starts a new one, so
// that devices offer again what the backup did not hold.
func (tx *Tx) Epoch() (string, error) {
	raw := tx.get("meta", []byte("epoch"))
	if n := len(raw); n > 2 && raw[0] == '"' && !bytes.ContainsRune(raw, '\\') {
		return string(raw[1 : n-1]), nil // asked for with every request
	}
	var s string
	err := tx.Setting("epoch", &s)
	return s, err
}

// NewEpoch starts a new life of the log, after a restore.
func (tx *Tx) NewEpoch() error {
	if err := tx.SetSetting(restoredKey, tx.Now); err != nil {
		return err
	}
	return tx.SetSetting("epoch", rand.Text())
}

const restoredKey = "restored_at"

// Restored returns when the log was last put back from a backup; zero when it
// never was.
func (tx *Tx) Restored() (at time.Time, err error) {
	err = tx.Setting(restoredKey, &at)
	return at, err
}
