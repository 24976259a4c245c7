package log

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"

	"nightkeep/server/internal/care"
)

// A life of a log, the whole file's or one family's, has a name that says when it began
// and that this practice's file gave it: "<Unix ms>-<random>-<HMAC-SHA256>". So a phone
// that names a life of later than ours proves that an older file was put back, and one
// that makes a name up proves nothing. Names of before there was a key are random alone:
// they are older than any other, and prove nothing either.

const (
	lifeKey   = "life_key" // the setting
	wholeFile = "file"     // what the name of an epoch is of; else the family's id
	macBytes  = 16
)

// KeepLifeKey makes the key of the names of lives where there is none.
func (tx *Tx) KeepLifeKey() error {
	if tx.lifeKey() != "" {
		return nil
	}
	return tx.p.SetSetting(lifeKey, rand.Text())
}

// lifeKey is "" in a file that has none, or whose key cannot be read.
func (tx *Tx) lifeKey() (key string) {
	_ = tx.p.Setting(lifeKey, &key)
	return key
}

// nameLife names a life that begins now, and after those that are named.
func (tx *Tx) nameLife(of string, after ...string) (string, error) {
	if err := tx.KeepLifeKey(); err != nil {
		return "", err
	}
	at := tx.p.Now.UnixMilli()
	for _, name := range after {
		if began, ours := tx.began(of, name); ours {
			at = max(at, began+1)
		}
	}
	said := strconv.FormatInt(at, 10) + "-" + rand.Text()
	return said + "-" + tx.lifeMAC(of, said), nil
}

// began returns when a life began, in Unix ms, and whether this practice's file gave it
// its name.
func (tx *Tx) began(of, name string) (at int64, ours bool) {
	i := strings.LastIndexByte(name, '-')
	if i < 0 || tx.lifeKey() == "" || !hmac.Equal([]byte(name[i+1:]), []byte(tx.lifeMAC(of, name[:i]))) {
		return 0, false
	}
	ms, _, _ := strings.Cut(name, "-")
	at, err := strconv.ParseInt(ms, 10, 64)
	return at, err == nil
}

func (tx *Tx) lifeMAC(of, said string) string {
	mac := hmac.New(sha256.New, []byte(tx.lifeKey()))
	mac.Write([]byte(of + " " + said))
	return hex.EncodeToString(mac.Sum(nil)[:macBytes])
}

// NameLife names a new life of one family's log.
func (tx *Tx) NameLife(f *care.Family, after ...string) (err error) {
	f.Life, err = tx.nameLife(string(f.ID), append(after, f.Life)...)
	return err
}

// Later reports whether a phone of a family names a life that began after ours: of the
// whole file, or of the family's log in it. Either proves that the file is older than
// what the phone was told. Of a family whose record cannot be read nothing is known.
func (tx *Tx) Later(f care.FamilyID, told string) (bool, error) {
	ours, err := tx.Epoch()
	if err != nil {
		return false, err
	}
	file, life, _ := strings.Cut(told, ".")
	if file != ours {
		return tx.after(wholeFile, file, ours), nil
	}
	family, err := tx.register.Family(f)
	return err == nil && tx.after(string(f), life, family.Life), nil
}

// after reports whether one life began after another.
func (tx *Tx) after(of, name, other string) bool {
	at, ours := tx.began(of, name)
	began, _ := tx.began(of, other)
	return ours && at > began
}
