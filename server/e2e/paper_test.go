package e2e_test

import (
	"bytes"
	"compress/zlib"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

var (
	// streamOfPDF finds the streams of a PDF (ISO 32000-1, 7.3.8).
	streamOfPDF = regexp.MustCompile(`(?s)stream\r?\n(.*?)endstream`)
	// painted finds what fills or strokes a shape (ISO 32000-1, table 60).
	painted = regexp.MustCompile(`(?m)(?:^|\s)(?:S|s|f|f\*|B|B\*|b|b\*)(?:\s|$)`)
)

// shapes counts the shapes that a PDF paints, letters not among them.
func shapes(pdf []byte) (n int) {
	for _, m := range streamOfPDF.FindAllSubmatch(pdf, -1) {
		z, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // a font or a picture, packed otherwise
		}
		body, _ := io.ReadAll(z) // what follows the packed bytes is no fault
		n += len(painted.FindAll(body, -1))
	}
	return n
}

// The review prints with its charts in every engine that can print to a file:
// without them a sheet has fewer shapes, by at least as many as the charts of
// the page have bars and points.
func TestReviewPrintsWithItsCharts(t *testing.T) {
	inEngines(t, []feature{printing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0010")
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Who needs a call")
		w.do(`(globalThis.print = () => {}, location.hash = "#wearer/` + id + `")`) // the browser's own dialogue would hold the page
		w.visible(css("review"), css("score"), css("points"))
		w.gone(".review > .only-print")
		w.tap("print-two")
		w.visible(".two-sheets")
		drawn := read[int](w, `[...document.querySelectorAll('.score svg')].flatMap((s) => [...s.querySelectorAll('rect, circle, path')]).filter((x) => x.getBoundingClientRect().width > 0 && getComputedStyle(x).visibility === 'visible' && getComputedStyle(x).fill !== 'none').length`)
		if drawn < 28 {
			t.Fatalf("%d shapes in the chart of the nights, want one a night at least", drawn)
		}
		with, err := w.paper(210/25.4, 297/25.4)
		w.must(err, "printing")
		if dir := os.Getenv("NIGHTKEEP_SHOTS"); dir != "" {
			w.must(os.WriteFile(filepath.Join(dir, "review-"+e.name+".pdf"), with, 0o600), "keeping the paper")
		}
		w.do(`document.querySelectorAll('.score svg').forEach((s) => s.replaceChildren())`)
		without, err := w.paper(210/25.4, 297/25.4)
		w.must(err, "printing")
		if more := shapes(with) - shapes(without); more < drawn {
			t.Errorf("the chart of the nights has %d shapes on paper, want the %d of the page", more, drawn)
		}
		w.sound()
	})
}
