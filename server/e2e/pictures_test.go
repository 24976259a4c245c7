package e2e_test

import (
	"os"
	"testing"
)

// Pictures of every screen in every state. With NIGHTKEEP_SHOTS naming a folder
// they are kept there; without, each is still visited and must show itself
// soundly, and its first action must be legible out of focus.
//
//	NIGHTKEEP_SHOTS=DIR go test ./server/e2e -run TestPictures
//
// With the variable there are pictures in Spanish and Chinese too, and of each
// screen in forced colours, at a zoom of 200 % and with letters of 200 %.
func TestPictures(t *testing.T) {
	t.Parallel()
	langs := []string{"en", "ar"}
	if os.Getenv("NIGHTKEEP_SHOTS") != "" {
		langs = append(langs, "es", "zh")
	}
	for _, lang := range langs {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, lang)
			tr.look = func(screen string) { portraits(tr, lang+"-"+screen) }
			tr.family()
			sound(t, tr.tab)
		})
	}
}

// portraits takes one screen on a phone, light and dark, on the narrowest
// phone, and on a desk.
func portraits(tr *tour, name string) {
	tr.t.Helper()
	shot(tr.t, tr.tab, name+"-390")
	legible(tr.t, tr.tab, name)
	dark(tr.t, tr.tab, true)
	shot(tr.t, tr.tab, name+"-390-dark")
	legible(tr.t, tr.tab, name+", dark")
	dark(tr.t, tr.tab, false)
	width(tr.t, tr.tab, 320, 640)
	shot(tr.t, tr.tab, name+"-320")
	width(tr.t, tr.tab, 1280, 800)
	shot(tr.t, tr.tab, name+"-1280")
	width(tr.t, tr.tab, 390, 844)
	if os.Getenv("NIGHTKEEP_SHOTS") == "" {
		return
	}
	media(tr.t, tr.tab, "forced-colors", "active")
	shot(tr.t, tr.tab, name+"-forced")
	media(tr.t, tr.tab, "forced-colors", "none")
	width(tr.t, tr.tab, 195, 422)
	shot(tr.t, tr.tab, name+"-zoom200")
	width(tr.t, tr.tab, 320, 640)
	letters(tr.t, tr.tab, 200)
	shot(tr.t, tr.tab, name+"-letters200")
	letters(tr.t, tr.tab, 100)
	width(tr.t, tr.tab, 390, 844)
}
