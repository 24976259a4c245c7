package e2e_test

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"math"
	"testing"

	"github.com/chromedp/chromedp"
)

// How a label looks to an eye 1.00 D out of focus, as a child's is before the
// effect is complete, holding the phone at arm's length.
//
// By geometrical optics, and by hand: a point in front of an eye that is focused
// elsewhere lights up a disc as wide as the pupil seen through a cone, whose
// angle in radians is the pupil's diameter in metres times the defocus in
// dioptres: 0.004 m x 1.00 D = 4 mrad, which is 13.75 minutes of arc. The pupil
// of 4 mm is an assumption for a lit room; a wider one blurs more. On a screen 400
// mm away that is 1.6 mm, and with a CSS px of 1/96 inch (0.2646 mm, CSS Values
// and Units level 4) 6.05 CSS px. A phone's CSS px is often smaller, about 0.16
// mm, and shows more blur in px; the check claims no more than it
// computes.
const (
	pupilM    = 0.004
	defocusD  = 1.00
	distantMM = 400.0
	cssPxMM   = 25.4 / 96
	blurPx    = pupilM * defocusD * distantMM / cssPxMM // CSS px, diameter
	scale     = 2                                       // device px per CSS px
)

// leastContrast is the Michelson contrast of strokes against what lies between
// and round them that has to be left. It is this project's own choice: a tenth of
// what black on white has, where large letters are still read (from memory, not
// looked up: Legge, Rubin and Luebker 1987, "Psychophysics of reading V").
const leastContrast = 0.1

// boxJS finds the text of the first of some elements that can be seen, brings it
// to the middle and returns its box in CSS px: x, y, width, height.
const boxJS = `(selector => {
	const el = [...document.querySelectorAll(selector)].find((e) => e.checkVisibility() && !e.disabled);
	if (!el) return [];
	if (!el.closest('footer')) el.scrollIntoView({block: 'center', behavior: 'instant'});
	const all = document.createRange();
	const walk = document.createTreeWalker(el, NodeFilter.SHOW_TEXT);
	do walk.nextNode(); while (!/[\p{L}\p{N}]/u.test(walk.currentNode.textContent));
	all.selectNodeContents(walk.currentNode);
	const r = [...all.getClientRects()].find((x) => x.width > 0); // marks of direction have none
	return [r.x, r.y, r.width, r.height];
})`

// legible checks the first action of the screen, where there is one, and
// "Something is wrong", which is on every screen.
func legible(t *testing.T, tab context.Context, screen string) {
	t.Helper()
	for _, selector := range []string{"main .btn.main, main .btn.call", ".foot .wrong span"} {
		box, err := ask[[]float64](tab, boxJS+"('"+selector+"')")
		if err != nil {
			t.Fatal(err)
		}
		if len(box) == 0 {
			continue
		}
		ctx, cancel := context.WithTimeout(tab, patience)
		raw, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		sharp := luminance(img, image.Rect(int(box[0]*scale), int(box[1]*scale), int((box[0]+box[2])*scale), int((box[1]+box[3])*scale)))
		if len(sharp.y) == 0 {
			t.Errorf("%s: %q has no text on the screen: %v", screen, selector, box)
			continue
		}
		if left := sharp.contrastAfter(blurPx * scale / 2); left < leastContrast {
			t.Errorf("%s: %q keeps a contrast of %.2f out of focus, want at least %.2f", screen, selector, left, leastContrast)
		}
	}
}

// plane is linear luminance, row by row.
type plane struct {
	w, h int
	y    []float64
}

// luminance reads relative luminance as WCAG 2.2 defines it (sRGB, IEC
// 61966-2-1), since light adds up linearly in a blur and code values do not.
func luminance(img image.Image, r image.Rectangle) plane {
	r = r.Intersect(img.Bounds())
	p := plane{w: r.Dx(), h: r.Dy()}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			red, green, blue, _ := img.At(x, y).RGBA()
			p.y = append(p.y, 0.2126*linear(red)+0.7152*linear(green)+0.0722*linear(blue))
		}
	}
	return p
}

func linear(code uint32) float64 {
	c := float64(code) / 0xffff
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

// contrastAfter blurs the plane with a disc of a radius in device px and
// compares the strokes with the ground, as they were told apart while sharp.
func (p plane) contrastAfter(radius float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range p.y {
		low, high = min(low, v), max(high, v)
	}
	ground := p.at(0, 0)
	var sum [2]float64
	var n [2]int
	for y := range p.h {
		for x := range p.w {
			side := 0
			if math.Abs(p.at(x, y)-ground) > (high-low)/2 {
				side = 1
			}
			sum[side] += p.blurred(x, y, radius)
			n[side]++
		}
	}
	if n[0] == 0 || n[1] == 0 {
		return 0
	}
	a, b := sum[0]/float64(n[0]), sum[1]/float64(n[1])
	return math.Abs(a-b) / (a + b)
}

// at reads one point; what is outside is like the corner, which is ground.
func (p plane) at(x, y int) float64 {
	if x < 0 || y < 0 || x >= p.w || y >= p.h {
		return p.y[0]
	}
	return p.y[y*p.w+x]
}

// blurred is the mean over a disc round a point.
func (p plane) blurred(x, y int, radius float64) float64 {
	var sum, n float64
	reach := int(math.Ceil(radius))
	for dy := -reach; dy <= reach; dy++ {
		for dx := -reach; dx <= reach; dx++ {
			if float64(dx*dx+dy*dy) <= radius*radius {
				sum += p.at(x+dx, y+dy)
				n++
			}
		}
	}
	return sum / n
}

// The measure itself, on stripes: coarse ones survive, stripes of half the
// blur's width are gone, as the blur averages over two of them.
func TestBlurTellsCoarseFromFine(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		stripe int // device px
		reads  bool
	}{
		{"coarse", 24, true},
		{"fine", 3, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := plane{w: 96, h: 32}
			for range p.h {
				for x := range p.w {
					p.y = append(p.y, 0.05+0.9*float64(x/c.stripe%2))
				}
			}
			if got := p.contrastAfter(blurPx * scale / 2); got >= leastContrast != c.reads {
				t.Errorf("contrast %.3f left; reads should be %v", got, c.reads)
			}
		})
	}
}
