package course

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"slices"
	"strings"
	"sync"

	"nightkeep/server/internal/care"
)

const (
	// mostPixels is what a picture may have: 4,000 by 3,000, as a telephone takes it.
	// Drawn it is 48 MB of memory, and one at a time is drawn.
	mostPixels = 12_000_000
	// quality of a JPEG that is written anew, of 100: no loss that an eye sees (common
	// practice).
	quality = 90
)

var kinds = []string{"image/jpeg", "image/png", "application/pdf"}

// drawing lets one picture at a time be drawn.
var drawing sync.Mutex

// cleaned returns what is kept of a file: a picture drawn anew, without anything
// but its pixels, or a document as it is, which is never shown, only saved. The
// type that is named and the bytes must agree.
func cleaned(named string, raw []byte) (kind string, clean []byte, err error) {
	kind = kindOf(raw)
	switch {
	case !slices.Contains(kinds, named):
		return "", nil, care.Refuse("bad-type", "type", "%q is not taken; want a JPEG or PNG picture or a PDF", named)
	case kind == "":
		return "", nil, care.Refuse("bad-file", "data", "the bytes are no JPEG, PNG or PDF")
	case kind != named:
		return "", nil, care.Refuse("bad-file", "data", "the file is called %s and its bytes are %s", named, kind)
	case kind == "application/pdf":
		return kind, raw, checkPDF(raw)
	}
	clean, err = redrawn(kind, raw)
	return kind, clean, err
}

// kindOf goes by the first bytes alone.
func kindOf(raw []byte) string {
	switch {
	case bytes.HasPrefix(raw, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case bytes.HasPrefix(raw, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case bytes.HasPrefix(raw, []byte("%PDF-1.")), bytes.HasPrefix(raw, []byte("%PDF-2.")):
		return "application/pdf"
	}
	return ""
}

// checkPDF refuses a document that is cut off, and one that brings a program or
// another file: whoever saves it opens it outside of here.
func checkPDF(raw []byte) error {
	if !bytes.Contains(raw[max(0, len(raw)-1024):], []byte("%%EOF")) {
		return care.Refuse("bad-file", "data", "the PDF has no end: it was cut off")
	}
	for _, word := range []string{"/JavaScript", "/JS", "/Launch", "/EmbeddedFile", "/RichMedia", "/XFA"} {
		if named(raw, word) {
			return care.Refuse("bad-file", "data", "the PDF holds a program or another file (%s); print it to a plain PDF and attach that", strings.TrimPrefix(word, "/"))
		}
	}
	return nil
}

// named reports whether a name of the PDF stands there whole: /JS, not /JSomething.
func named(raw []byte, word string) bool {
	for rest := raw; ; {
		i := bytes.Index(rest, []byte(word))
		if i < 0 {
			return false
		}
		rest = rest[i+len(word):]
		if len(rest) == 0 || !letter(rest[0]) {
			return true
		}
	}
}

func letter(b byte) bool {
	return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= '0' && b <= '9'
}

// redrawn decodes a picture and writes its pixels anew.
func redrawn(kind string, raw []byte) ([]byte, error) {
	head, _, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return nil, notAPicture()
	}
	if head.Width < 1 || head.Height < 1 || head.Width > mostPixels/head.Height {
		return nil, care.Refuse("too-large", "data", "the picture has %d by %d points; want at most %d million", head.Width, head.Height, mostPixels/1_000_000)
	}
	drawing.Lock()
	defer drawing.Unlock()
	picture, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return nil, notAPicture()
	}
	var out bytes.Buffer
	if kind == "image/jpeg" {
		err = jpeg.Encode(&out, picture, &jpeg.Options{Quality: quality})
	} else {
		err = png.Encode(&out, eightBit(picture))
	}
	if err != nil {
		return nil, err
	}
	if out.Len() > mostBytes {
		return nil, care.Errorf(care.TooLarge, "too-large", "written anew the picture has %d bytes; a file takes at most %d: make it smaller, or a JPEG", out.Len(), mostBytes)
	}
	return out.Bytes(), nil
}

// eightBit halves the size of a PNG with 16 bits a colour, which no screen shows.
func eightBit(p image.Image) image.Image {
	switch p.(type) {
	case *image.RGBA64, *image.NRGBA64, *image.Gray16:
		out := image.NewNRGBA(p.Bounds())
		draw.Draw(out, out.Bounds(), p, p.Bounds().Min, draw.Src)
		return out
	}
	return p
}

func notAPicture() error {
	return care.Refuse("bad-file", "data", "the picture cannot be read: it is cut off or damaged")
}
