package app_test

import (
	"io"
	"net/http"
	"os"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/transport"
)

// The page for a browser that cannot run the app says which number is which and where
// to go, in four languages; a link dials no blanks (RFC 3966), and a splash is rinsed
// before anybody phones (NHS, Eye injuries).
func TestThePlainPageSaysWhichNumberIsWhich(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	err := d.DB.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		p.Contacts.Clinic, p.Contacts.Phone, p.Contacts.AfterHours, p.Contacts.Emergency = "Harbour <Lane>", "+44 20 7946 0000", "020 7946 0111", "112"
		p.Contacts.Place = care.Place{Name: "Harbour Hospital", Address: "1 Quay Road", Hours: "day and night"}
		return tx.Register().PutPractice(p)
	})
	if err != nil {
		t.Fatal(err)
	}
	page := func() string {
		t.Helper()
		answer, err := http.Get(d.URL() + "/plain")
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		raw, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return strings.ReplaceAll(string(raw), "&#43;", "+")
	}
	raw, err := os.ReadFile("../../../pwa/plain.html")
	if err != nil {
		t.Fatal(err)
	}
	d.Server.Asset = func(string) (transport.Asset, bool) {
		return transport.Asset{Body: raw, ContentType: "text/html; charset=utf-8"}, true
	}
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	whole := page()
	for _, want := range []string{
		`The clinic, in its hours (Harbour &lt;Lane&gt;): <a href="tel:+442079460000" dir="ltr">+44 20 7946 0000</a>`,
		`After hours: <a href="tel:02079460111" dir="ltr">020 7946 0111</a>`, `Emergency: <a href="tel:112" dir="ltr">112</a>`,
		"Emergency eye department: Harbour Hospital, 1 Quay Road (day and night)",
		"Fuera del horario: <a", "非营业时间: <a", "خارج أوقات الدوام: <a",
		// NHS, Eye injuries (page reviewed 7 June 2022): at least 20 minutes; AAO, first aid
		// for eye injuries: an eye that is cut, hit or holds something is not touched.
		"for at least 20 minutes", "al menos 20 minutos", "至少 20 分钟", "20 دقيقة على الأقل",
		"A cut, a hard knock, or something stuck?</strong> Do not touch the eye", "No toque el ojo", "不要碰眼睛", "لا تلمس العين",
		"If nobody answers within 10 minutes", "Si nadie contesta en 10 minutos", "10 分钟内没人接", "خلال 10 دقائق",
	} {
		if !strings.Contains(whole, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	err = d.DB.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		p.Contacts = care.Contacts{Zone: "UTC", Phone: "1234"}
		return tx.Register().PutPractice(p)
	})
	if err != nil {
		t.Fatal(err)
	}
	if bare := page(); strings.Contains(bare, "After hours") || strings.Contains(bare, "Emergency eye department:") || !strings.Contains(bare, `in its hours: <a href="tel:1234"`) {
		t.Errorf("where a number is not set it is named all the same:\n%s", bare)
	}
}
