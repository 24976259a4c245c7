package app_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/store/scene"
)

// An emergency whose person on duty cannot be read any more reaches the owner by mail
// instead: a damaged record never makes an alert wait for nobody.
func TestAnAlertOfWhoCannotBeReadGoesToTheOwner(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	if err := d.App.Stop(); err != nil {
		t.Fatal(err)
	}
	scene.Damage(t, d.opt.DataDir+"/nightkeep.db", func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("people"))
		return b.Put([]byte("ann"), bytes.Replace(b.Get([]byte("ann")), []byte("ann@"), []byte("xnn@"), 1))
	})
	d.start(t)
	d.raise(t, "a1")
	for range 6 {
		d.pass(time.Minute)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
	}
	if got := strings.Join(d.mails.sent, ", "); !strings.Contains(got, "owner@example.com emergency") || strings.Contains(got, "xnn@") {
		t.Errorf("mailed: %s; want the owner, and no address that cannot be trusted", got)
	}
}
