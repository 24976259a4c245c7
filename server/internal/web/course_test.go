package web_test

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/figures"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/clinic"
)

// speckled is a picture that no coder makes small.
func speckled(w, h int) image.Image {
	p := image.NewNRGBA(image.Rect(0, 0, w, h))
	x := uint32(1)
	for i := range p.Pix {
		x = x*1664525 + 1013904223 // a common generator of numbers (Numerical Recipes)
		p.Pix[i] = byte(x >> 24)
	}
	return p
}

func asJPEG(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withPlace puts a segment of the kind in which cameras write the place (EXIF, APP1
// of ISO/IEC 10918-1) into a JPEG, and a page of HTML behind its end.
func withPlace(raw []byte) []byte {
	exif := append([]byte("Exif\x00\x00"), "PLACE-WHERE-IT-WAS-TAKEN"...)
	segment := append([]byte{0xff, 0xe1, 0, byte(len(exif) + 2)}, exif...)
	out := append(append([]byte{}, raw[:2]...), segment...)
	return append(append(out, raw[2:]...), "<script>alert(1)</script>"...)
}

const plainPDF = "%PDF-1.4\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF\n"

func attachBody(kind string, raw []byte) string {
	b, _ := json.Marshal(map[string]string{"visit": "v1", "eye": "right", "what": "slit lamp", "type": kind, "data": base64.StdEncoding.EncodeToString(raw)})
	return string(b)
}

const attachedTo = "/api/clinic/wearers/w1/attachments"

// withVisit is a practice whose wearer W-1 has a kept visit.
func withVisit(t *testing.T) *site {
	t.Helper()
	s := planned(t)
	s.visit(t, course.Visit{ID: "v1", Kind: "recall", Date: civil.MustDate("2026-03-01"), State: "kept"})
	return s
}

// A picture is kept as its pixels alone, shown cut off from everything else, stands
// in the archive of the family, is found whole by a check and is gone with the family.
func TestAPictureOfAVisit(t *testing.T) {
	t.Parallel()
	s := withVisit(t)
	raw := withPlace(asJPEG(t, speckled(40, 30)))
	a := decode[struct{ Attachment course.Attachment }](t, s.says("POST", attachedTo, "clinician", attachBody("image/jpeg", raw), 200, `"slit lamp"`)).Attachment
	res, body := s.get(attachedTo+"/"+a.ID, "clinician", "")
	if res.StatusCode != 200 || res.Header.Get("Content-Type") != "image/jpeg" || !strings.HasPrefix(res.Header.Get("Content-Disposition"), "inline") ||
		!strings.HasPrefix(res.Header.Get("Content-Security-Policy"), "sandbox; default-src 'none'") || res.Header.Get("X-Content-Type-Options") != "nosniff" || res.Header.Get("Cache-Control") != "no-store" {
		t.Errorf("%d %v", res.StatusCode, res.Header)
	}
	if strings.Contains(body, "PLACE") || strings.Contains(body, "<script>") || len(body) != a.Size {
		t.Errorf("%d bytes of %d, or more than the pixels", len(body), a.Size)
	}
	if p, err := jpeg.Decode(strings.NewReader(body)); err != nil || p.Bounds().Dx() != 40 || p.Bounds().Dy() != 30 {
		t.Errorf("not the picture: %v", err)
	}
	if !s.audited("c1", "read attachment", "w1 "+a.ID) {
		t.Error("who looked is not written down")
	}
	for _, who := range []string{"desk", "admin"} {
		s.says("GET", attachedTo+"/"+a.ID, who, "", 403, "not-allowed")
	}
	s.says("GET", "/api/clinic/wearers/w2/attachments/"+a.ID, "clinician", "", 404, "not-found") // another child's
	if !inArchive(t, s, body) {
		t.Error("the family's archive does not have the picture")
	}
	s.update(func(tx *store.Tx) error {
		if faults := tx.Chart().Check(); len(faults) > 0 {
			t.Errorf("a check says %v", faults)
		}
		_, err := tx.Archive().EraseFamily("f1", "")
		return err
	})
	s.update(func(tx *store.Tx) error {
		if left, err := tx.Chart().Attached("w1", a.ID); err != nil || len(left) != 0 {
			t.Errorf("%d bytes outlive the family, %v", len(left), err)
		}
		return nil
	})
}

// inArchive reports whether a file of the family's archive has these bytes.
func inArchive(t *testing.T, s *site, body string) bool {
	t.Helper()
	var b bytes.Buffer
	if err := clinic.WriteExport(s.srv.DB, "f1", "http://clinic.example", care.Person{}, &b); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if !strings.HasPrefix(f.Name, "attachments/") {
			continue
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := io.ReadAll(r)
		if err == nil && string(raw) == body {
			return true
		}
	}
	return false
}

// A document is never shown, only saved; it leaves with a confirmation.
func TestADocumentOfAVisit(t *testing.T) {
	t.Parallel()
	s := withVisit(t)
	a := decode[struct{ Attachment course.Attachment }](t, s.says("POST", attachedTo, "clinician", attachBody("application/pdf", []byte(plainPDF)), 200, "")).Attachment
	res, body := s.get(attachedTo+"/"+a.ID, "clinician", "")
	if res.Header.Get("Content-Disposition") != `attachment; filename="document.pdf"` || body != plainPDF {
		t.Errorf("%v, %d bytes", res.Header, len(body))
	}
	s.says("DELETE", attachedTo+"/"+a.ID, "clinician", "", 409, "recheck-needed")
	s.confirmed("clinician", "dc")
	s.says("DELETE", attachedTo+"/"+a.ID, "clinician", "", 200, "")
	s.says("GET", attachedTo+"/"+a.ID, "clinician", "", 404, "not-found")
}

// What is not a whole picture or a plain document is refused, and nothing is kept.
func TestAttachmentsThatAreNone(t *testing.T) {
	t.Parallel()
	s := withVisit(t)
	whole := asJPEG(t, speckled(64, 64))
	wide := asPNG(t, image.NewPaletted(image.Rect(0, 0, 4000, 3001), color.Palette{color.Black, color.White}))
	for name, c := range map[string]struct {
		kind   string
		raw    []byte
		status int
		word   string
	}{
		"a page called a picture":    {"image/png", []byte("<html><script>alert(1)</script>"), 422, "no JPEG, PNG or PDF"},
		"a drawing with scripts":     {"image/svg+xml", []byte("<svg/>"), 422, "want a JPEG or PNG"},
		"another kind than it says":  {"image/png", whole, 422, "its bytes are image/jpeg"},
		"cut off":                    {"image/jpeg", whole[:len(whole)/2], 422, "cut off or damaged"},
		"a PDF without an end":       {"application/pdf", []byte("%PDF-1.4\n1 0 obj"), 422, "no end"},
		"a PDF with a program":       {"application/pdf", []byte(strings.Replace(plainPDF, "/Catalog", "/Catalog/OpenAction<</S/JavaScript/JS(x)>>", 1)), 422, "holds a program"},
		"a PDF with a file":          {"application/pdf", []byte(strings.Replace(plainPDF, "/Catalog", "/Catalog/EmbeddedFiles 2 0 R/Type/EmbeddedFile ", 1)), 422, "holds a program"},
		"more points than are drawn": {"image/png", wide, 422, "at most 12 million"},
		"more bytes than are taken":  {"application/pdf", append([]byte(plainPDF), make([]byte, 2<<20)...), 413, "at most 2097152"},
		"more than the line takes":   {"application/pdf", make([]byte, 5<<19), 413, "body-too-large"},
		"no bytes":                   {"image/png", nil, 422, "no JPEG, PNG or PDF"},
	} {
		got, raw := s.call("POST", attachedTo, "clinician", attachBody(c.kind, c.raw))
		if got != c.status || !strings.Contains(raw, c.word) {
			t.Errorf("%s: %d %s; want %d with %q", name, got, firstLine(raw), c.status, c.word)
		}
	}
	s.says("POST", attachedTo, "clinician", strings.Replace(attachBody("image/jpeg", whole), "v1", "v9", 1), 422, "unknown-visit")
	s.says("POST", attachedTo, "clinician", strings.Replace(attachBody("image/jpeg", whole), "slit lamp", " ", 1), 422, `"what"`)
	for range 12 {
		s.says("POST", attachedTo, "clinician", attachBody("image/jpeg", whole), 200, "")
	}
	s.says("POST", attachedTo, "clinician", attachBody("image/jpeg", whole), 409, "takes 12")
	if got := decode[struct{ Attachments []course.Attachment }](t, s.says("GET", attachedTo, "clinician", "", 200, "")); len(got.Attachments) != 12 {
		t.Errorf("%d are kept, want the 12 good ones", len(got.Attachments))
	}
}

// Lenses are kept as things: what was ordered, came, was given out and is gone.
func TestLensesAsThings(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const path = "/api/clinic/wearers/w1/lenses"
	type reply struct{ Lens course.Lens }
	first := decode[reply](t, s.says("POST", path, "desk", `{"base":0,"eye":"right","design":"toric","fenestrated":true,"material":"hexafocon","serial":"S1","lot":"L1","base_curve_mm":7.8,"cylinder":-1.5,"axis":180,"ordered":"2026-02-01"}`, 200, `"version":1`)).Lens
	s.says("POST", path, "desk", `{"id":"`+first.ID+`","base":1,"eye":"right","design":"toric","ordered":"2026-02-01","received":"2026-01-30"}`, 422, `"received"`)
	s.says("POST", path, "desk", `{"id":"`+first.ID+`","base":1,"eye":"right","design":"toric","serial":"S1","ordered":"2026-02-01","received":"2026-02-08","dispensed":"2026-02-09"}`, 200, `"version":2`)
	s.says("POST", path, "desk", `{"id":"`+first.ID+`","base":1,"eye":"right","design":"toric"}`, 409, "changed")
	s.says("POST", path, "desk", `{"base":0,"eye":"right","design":"other","dispensed":"2026-03-01"}`, 409, "already has a right lens")
	s.says("POST", path, "desk", `{"base":0,"eye":"right","design":"other","dispensed":"2026-03-01","spare":true}`, 200, "")
	for body, want := range map[string]string{
		`{"base":0,"eye":"middle","design":"other"}`:                                       "bad-eye",
		`{"base":0,"eye":"","design":"other"}`:                                             "choose the eye",
		`{"base":0,"eye":"left","design":""}`:                                              "choose the design",
		`{"base":0,"eye":"left","design":"Acme"}`:                                          "bad-design",
		`{"base":0,"eye":"left","design":"other","base_curve_mm":78}`:                      "not possible",
		`{"base":0,"eye":"left","design":"other","cylinder":-1}`:                           "want both or neither",
		`{"base":0,"eye":"left","design":"other","dispensed":"2027-01-01"}`:                "in the future",
		`{"base":0,"eye":"left","design":"other","ended":"2026-03-01"}`:                    `"why"`,
		`{"base":0,"eye":"left","design":"other","ended":"2026-03-01","why":"evaporated"}`: "bad-reason",
		`{"base":0,"id":"other-child","eye":"left","design":"other"}`:                      "bad-id",
	} {
		s.says("POST", path, "desk", body, 422, want)
	}
	s.says("POST", path, "desk", `{"base":0,"eye":"left","design":"other","serial":"s1"}`, 409, "serial number s1")
	s.says("POST", path, "desk", `{"base":0,"eye":"left","design":"other","spare":true}`, 409, "Nothing of this lens is written")
	got := decode[struct {
		Home   []course.Lens
		Lenses []struct{ State, Serial string }
	}](t, s.says("GET", path, "clinician", "", 200, ""))
	if len(got.Home) != 2 || got.Home[0].Spare || !got.Home[1].Spare || len(got.Lenses) != 2 || got.Lenses[1].State != "home" {
		t.Errorf("%+v", got)
	}
	s.says("GET", path, "admin", "", 403, "not-allowed")
}

type coursed struct {
	Stopped []string
	Plan    int
	Ended   bool
	Ends    civil.Date
	Causes  []struct{ Eye string }
	Courses []struct {
		First   civil.Date
		WashOut *course.WashOut `json:"wash_out"`
	}
	Endings  []course.Ending
	Events   []course.AdverseEvent
	Consents []struct{ Person, Version string }
}

func (s *site) course() coursed {
	s.t.Helper()
	return decode[coursed](s.t, s.says("GET", "/api/clinic/wearers/w1/course", "clinician", "", 200, ""))
}

// Wear ends with a reason; the phones hear it and nobody is asked for the visits of
// the plan; the wash-out is followed; a new course begins with a new baseline, and
// what lay before it is in none of its figures.
func TestStoppingAndStartingOver(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const at = "/api/clinic/wearers/w1/"
	today := civil.NightOf(simNow, simNow.Location())
	stopped := today.AddDays(-40)
	s.says("POST", at+"end", "clinician", `{"stopped":"`+stopped.String()+`","reason":"bored","base":1}`, 422, "bad-reason")
	s.says("POST", at+"end", "clinician", `{"stopped":"2025-11-01","reason":"comfort","base":1}`, 422, "after the first one")
	s.says("POST", at+"end", "clinician", `{"stopped":"`+stopped.String()+`","reason":"comfort","base":0}`, 409, "changed")
	s.says("POST", at+"start-over", "clinician", `{"first":"`+today.String()+`","base":1}`, 409, "not-ended")
	s.says("POST", at+"end", "clinician", s.readBoth(at+"end", `{"stopped":"`+stopped.String()+`","reason":"comfort","note":"dry eyes","words":"No lenses from now on.","base":1}`), 200, "")
	s.says("POST", at+"end", "clinician", `{"stopped":"`+stopped.String()+`","reason":"comfort","base":2}`, 409, "ended already")
	v := s.course()
	if !v.Ended || v.Ends != stopped || v.Plan != 2 || len(v.Endings) != 1 || v.Endings[0].Note != "dry eyes" || len(v.Causes) != 0 {
		t.Fatalf("after the end: %+v", v)
	}
	if w := v.Courses[0].WashOut; w == nil || w.Days != 40 || w.Done || len(w.Due) != 3 {
		t.Errorf("wash-out: %+v", w)
	}
	s.says("GET", at+"wear", "clinician", "", 200, `"stop"`)
	if got := s.recalls(t); len(got) != 0 {
		t.Errorf("after the end the plan still asks for %v", got)
	}
	for i, sphere := range []float64{-2, -2.25} {
		r := &course.Refraction{Sphere: sphere}
		s.visit(t, course.Visit{ID: fmt.Sprint("r", i), Kind: "recall", Date: stopped.AddDays(16 + 10*i), State: "kept", Right: course.EyeFindings{Refraction: r}, Left: course.EyeFindings{Refraction: r}})
	}
	if w := s.course().Courses[0].WashOut; !w.Done || len(w.Due) != 0 {
		t.Errorf("two readings that agree: %+v", w)
	}
	s.says("POST", at+"spectacles", "clinician", `{"ending":"`+v.Endings[0].ID+`","on":"`+today.AddDays(-10).String()+`"}`, 200, "")
	s.says("POST", at+"start-over", "clinician", `{"first":"`+stopped.AddDays(-1).String()+`","base":2}`, 422, "first")
	s.says("POST", at+"start-over", "clinician", `{"first":"`+today.String()+`","baseline_right":-2.25,"base":2}`, 409, "No new baseline is given for the left eye")
	s.says("POST", at+"start-over", "clinician", `{"first":"`+today.String()+`","baseline_right":-2.25,"baseline_left":-2.25,"why":"eyes are calm","base":2}`, 200, "")
	v = s.course()
	if v.Ended || len(v.Courses) != 2 || v.Courses[1].First != today || v.Courses[1].WashOut != nil || v.Courses[0].WashOut.Days != 40 || v.Endings[0].Spectacles != today.AddDays(-10) {
		t.Errorf("after the new start: %+v", v)
	}
	if strings.Contains(s.says("GET", at+"wear", "clinician", "", 200, ""), `"state":"stop"`) {
		t.Error("the end of wear still holds a lens back")
	}
	if p := decode[struct{ Plans []map[string]any }](t, s.says("GET", at+"plan", "clinician", "", 200, "")).Plans[0]; p["first_night"] != today.String() || p["baseline_left"] != -2.25 || p["recalls_from"] != "" {
		t.Errorf("plan: %v", p)
	}
}

// An end that was a mistake is taken back, and what else stops an eye goes on; that must
// be lifted by its own way for a new start after an end that was told by hand.
func TestAnEndIsTakenBack(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const at = "/api/clinic/wearers/w1/"
	today := civil.NightOf(simNow, simNow.Location())
	s.says("POST", at+"end", "clinician", `{"stopped":"`+today.String()+`","reason":"other","base":1}`, 200, "")
	s.says("POST", at+"go-on", "clinician", `{"base":2}`, 200, "")
	v := s.course()
	if v.Ended || len(v.Courses) != 1 || v.Endings[0].TakenBack != today {
		t.Errorf("taken back: %+v", v)
	}
	s.says("POST", at+"say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"ended","review_by":"2026-04-28"}}`), 200, "")
	s.says("POST", at+"say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"right","reason":"report","review_by":"2026-04-28"}}`), 200, "")
	if v = s.course(); !v.Ended || len(v.Causes) != 1 || v.Causes[0].Eye != "right" {
		t.Errorf("ended by hand, and one eye stopped: %+v", v)
	}
	s.says("POST", at+"start-over", "clinician", fmt.Sprintf(`{"first":%q,"base":3,"sure":true}`, today), 409, "something else holds a lens back")
	s.says("POST", at+"end", "desk", `{}`, 403, "not-allowed")
	s.says("POST", at+"go-on", "clinician", fmt.Sprintf(`{"base":%d}`, len(v.Courses)+2), 200, "") // lifts the end, and nothing else
	if w := s.wear("clinician"); w.Wear.Right.State != "stop" || w.Wear.Left.State != "none" {
		t.Errorf("the end taken back beside a stop of the right eye: %+v", w.Wear)
	}
}

// eyesOn returns where the eyes of W-1 stand on a night by the family's log alone,
// which is what a phone without a network has.
func (s *site) eyesOn(t *testing.T, night civil.Date) (states [2]care.Mark) {
	t.Helper()
	s.put(t, func(tx *store.Tx) error {
		w := care.WearOf(tx.Log().WearFacts("w1"), night, false, nil)
		states = [2]care.Mark{w.Right.State, w.Left.State}
		return nil
	})
	return states
}

// An end that is written in the morning, of that day, stops at once: before noon the
// night that runs is still the one before. It is Thursday 26 March, 08:10 in Lisbon.
func TestAnEndInTheMorningStopsAtOnce(t *testing.T) {
	t.Parallel()
	s := plannedAt(t, time.Date(2026, 3, 26, 8, 10, 0, 0, time.UTC))
	s.says("POST", "/api/clinic/wearers/w1/end", "clinician", `{"stopped":"2026-03-26","reason":"comfort","base":1}`, 200, "")
	s.says("GET", "/api/clinic/wearers/w1/wear", "clinician", "", 200, `"state":"stop"`)
	for _, night := range []string{"2026-03-25", "2026-03-26", "2026-09-01"} {
		if got := s.eyesOn(t, civil.MustDate(night)); got != [2]care.Mark{care.Stop, care.Stop} {
			t.Errorf("night of %s: %v, want both eyes stopped", night, got)
		}
	}
}

// A lens that is given to a family after the end of wear is asked about; the record of
// one that was given before it is not.
func TestALensGivenAfterTheEndIsAsked(t *testing.T) {
	t.Parallel()
	s := plannedAt(t, time.Date(2026, 3, 26, 8, 10, 0, 0, time.UTC))
	s.says("POST", "/api/clinic/wearers/w1/end", "clinician", `{"stopped":"2026-03-26","reason":"comfort","base":1}`, 200, "")
	given := func(eye, on, more string) string {
		return fmt.Sprintf(`{"base":0,"eye":%q,"design":"other","serial":"S-%s","dispensed":%q%s}`, eye, eye, on, more)
	}
	s.says("POST", "/api/clinic/wearers/w1/lenses", "desk", given("left", "2026-03-26", ""), 409, "no course asks for it")
	s.says("POST", "/api/clinic/wearers/w1/lenses", "desk", given("left", "2026-03-26", `,"sure":true`), 200, "")
	s.says("POST", "/api/clinic/wearers/w1/lenses", "desk", given("right", "2026-03-25", ""), 200, "")
}

// An end that is still to come stops nothing yet, and its words reach the family all
// the same; from its night on the log alone stops both eyes, so that no phone has to
// hear from the practice then; taken back before it came, lenses are never held back.
func TestAnEndToCome(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const at = "/api/clinic/wearers/w1/"
	on := civil.NightOf(simNow, simNow.Location()).AddDays(14)
	s.says("POST", at+"end", "clinician", s.readBoth(at+"end", fmt.Sprintf(`{"stopped":%q,"reason":"finished","words":"Two more weeks.","base":1}`, on)), 200, "")
	wear := s.says("GET", at+"wear", "clinician", "", 200, "Two more weeks.")
	if strings.Contains(wear, `"state":"stop"`) {
		t.Error("an end in two weeks stops an eye tonight")
	}
	if v := s.course(); v.Ended || v.Ends != on || v.Courses[0].WashOut != nil {
		t.Errorf("%+v", v)
	}
	none, stop := [2]care.Mark{care.None, care.None}, [2]care.Mark{care.Stop, care.Stop}
	if before, then := s.eyesOn(t, on.AddDays(-1)), s.eyesOn(t, on); before != none || then != stop {
		t.Errorf("the night before: %v, want %v; that night: %v, want %v", before, none, then, stop)
	}
	s.says("POST", at+"go-on", "clinician", s.readBoth(at+"go-on", `{"base":2,"words":"We go on."}`), 200, "")
	if got := s.eyesOn(t, on); got != none {
		t.Errorf("the end was taken back, and its night has %v", got)
	}
	s.says("GET", at+"wear", "clinician", "", 200, "We go on.")
	if v := s.course(); !v.Ends.IsZero() || len(v.Courses) != 1 {
		t.Errorf("%+v", v)
	}
}

// After an end that was told by hand alone a new start is a new course all the same.
func TestANewStartAfterAnEndByHand(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const at = "/api/clinic/wearers/w1/"
	today := civil.NightOf(simNow, simNow.Location())
	s.says("POST", at+"say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"ended","review_by":"2026-04-28"}}`), 200, "")
	s.says("POST", at+"start-over", "clinician", fmt.Sprintf(`{"first":%q,"baseline_right":-2,"baseline_left":-2,"base":1}`, today.AddDays(30)), 409, "not known to be steady")
	s.says("POST", at+"start-over", "clinician", fmt.Sprintf(`{"first":%q,"baseline_right":-2,"baseline_left":-2,"base":1,"sure":true}`, today.AddDays(30)), 200, "")
	// Until that night no lens is allowed, and yet the new course is not ended.
	if v := s.course(); len(v.Courses) != 2 || v.Courses[1].First != today.AddDays(30) || !v.Ends.IsZero() || v.Courses[1].WashOut != nil {
		t.Errorf("%+v", v)
	}
	s.says("GET", at+"wear", "clinician", "", 200, `"state":"stop"`)
}

const anEvent = `{"base":0,"kind":"infiltrate","eye":"right","began":"2026-03-10","aware":"2026-03-11","words":"red eye in the morning","actions":["lens-out","referred"],
	"outcome":"settled","settled":"2026-03-20","serious":["prevented"],"device":{"in_wear":"yes","kept":"yes","lot":"L1"},"reporter":{"name":"Dr C"}}`

// An adverse event is written down without an alert, keeps its earlier versions,
// counts in the practice's figures, and is made into a file that names the wearer by
// code and age alone.
func TestAnAdverseEventIsAFile(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const path = "/api/clinic/wearers/w1/events"
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Wanda Secret","code":"W-1","birth":"2014-09-10"}`, 200, "")
	s.says("POST", "/api/clinic/wearers/w1/lenses", "desk", `{"base":0,"eye":"right","design":"toric","lot":"L1"}`, 200, "")
	e := decode[struct{ Event course.AdverseEvent }](t, s.says("POST", path, "clinician", anEvent, 200, `"version":1`)).Event
	second := strings.Replace(strings.Replace(anEvent, `"base":0`, `"base":1,"id":"`+e.ID+`"`, 1), "red eye in the morning", "red eye and pain", 1)
	s.says("POST", path, "clinician", second, 200, `"version":2`)
	s.says("POST", path, "clinician", second, 409, "changed")
	for old, want := range map[[2]string]string{
		{`"infiltrate"`, `"bad luck"`}:                       `"kind"`,
		{`"2026-03-10"`, `"2027-03-10"`}:                     "in the future",
		{`"aware":"2026-03-11"`, `"aware":"2026-03-09"`}:     "before it began",
		{`"settled":"2026-03-20"`, `"settled":"2026-03-01"`}: "before it began",
		{`"outcome":"settled"`, `"outcome":"going-on"`}:      "outcome that says so",
		{`"red eye in the morning"`, `" "`}:                  `"words"`,
		{`"Dr C"`, `""`}:                                     `"reporter.name"`,
		{`["prevented"]`, `["prevented"],"not_sure":true`}:   "one of the two",
		{`"lot":"L1"`, `"lot":"L1","lens":"nobody's"`}:       "unknown-lens",
		{`"base":0`, `"base":0,"alert":"nobody's"`}:          "unknown-alert",
		{`"base":0`, `"base":0,"told_on":"2026-03-12"`}:      `"told"`,
		{`"base":0`, `"base":0,"sight_is":20`}:               "not possible",
	} {
		s.says("POST", path, "clinician", strings.Replace(anEvent, old[0], old[1], 1), 422, want)
	}
	if v := s.course(); len(v.Events) != 1 || len(v.Events[0].Earlier) != 1 || v.Events[0].Earlier[0].Words != "red eye in the morning" {
		t.Errorf("%+v", v.Events)
	}
	s.says("GET", path+"/"+e.ID+"/file", "clinician", "", 409, "recheck-needed")
	s.confirmed("clinician", "dc")
	res, raw := s.get(path+"/"+e.ID+"/file", "clinician", "")
	file := decode[struct {
		Patient struct {
			Code string
			Age  float64 `json:"age_years_when_it_began"`
		}
		Event course.AdverseEvent
		Words map[string]string
	}](t, raw)
	if res.Header.Get("Content-Disposition") != `attachment; filename="adverse-event.json"` || file.Patient.Code != "W-1" || file.Patient.Age != 11.5 ||
		file.Event.Device.Lot != "L1" || file.Words["infiltrate"] == "" || strings.Contains(raw, "Wanda") || strings.Contains(raw, "2014") {
		t.Errorf("%v\n%s", res.Header, raw)
	}
	if !s.audited("c1", "made file of adverse event", "w1 "+e.ID) {
		t.Error("that a file was made is not written down")
	}
	f := decode[figures.PracticeFigures](t, s.says("GET", "/api/clinic/practice?from=2026-01-01&to=2026-03-27", "admin", "", 200, ""))
	if len(f.Adverse) != 2 || f.Adverse[1].Kind != "infiltrate" || f.Adverse[1].Events.Text != "fewer than 5" || f.Events.Events.Text != "fewer than 5" {
		t.Errorf("figures: %+v, %+v", f.Adverse, f.Events)
	}
}

// What was answered before fitting, and who consented to what, stand in the record.
func TestAnswersBeforeFittingAndConsent(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const path = "/api/clinic/wearers/w1/candidates"
	const body = `{"right":{"sphere":-3,"cylinder":0,"axis":0},"left":{"sphere":-2.5,"cylinder":0,"axis":0},"age_years":10,"answers":{"Dry eyes?":"no","Swims every day?":"yes"},"asked":14}`
	s.says("POST", path, "clinician", body, 200, "")
	for _, bad := range [][2]string{{`"yes"`, `"perhaps"`}, {`"asked":14`, `"asked":1`}, {`"sphere":-3`, `"sphere":-300`}, {`"Dry eyes?"`, `""`}} {
		s.says("POST", path, "clinician", strings.Replace(body, bad[0], bad[1], 1), 422, "")
	}
	s.says("POST", "/api/join", "", `{"code":"CODE","device_name":"Phone","consent":"2"}`, 200, "")
	got := decode[struct {
		Candidates []course.Candidate
		Consents   []struct{ Person, Version string }
	}](t, s.says("GET", "/api/clinic/wearers/w1/course", "clinician", "", 200, ""))
	if len(got.Candidates) != 1 || got.Candidates[0].Answers["Swims every day?"] != "yes" || got.Candidates[0].Asked != 14 || got.Candidates[0].By != "C" {
		t.Errorf("answers: %+v", got.Candidates)
	}
	if len(got.Consents) != 1 || got.Consents[0].Person != "P" || got.Consents[0].Version != "2" {
		t.Errorf("consents: %+v", got.Consents)
	}
	s.update(func(tx *store.Tx) error {
		all, err := register.Shelved[course.Candidate](tx.Chart(), register.Candidates, "w1")
		if len(all) != 1 {
			t.Errorf("%d are kept, want the good one alone", len(all))
		}
		return err
	})
}

// An axial length that was measured with another instrument than the last one is
// asked about; letter case and spaces make no other.
func TestAnotherInstrumentIsAskedAbout(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const visits = "/api/clinic/wearers/w1/visits"
	kept := func(date, instrument string) string {
		return fmt.Sprintf(`{"kind":"recall","date":%q,"state":"kept","instrument":%q,"right":{"axial_mm":24.5}}`, date, instrument)
	}
	s.says("POST", visits, "clinician", kept("2026-01-10", "Biometer A"), 200, "")
	s.says("POST", visits, "clinician", kept("2026-02-10", "biometer  a"), 200, "")
	s.says("POST", visits, "clinician", kept("2026-03-10", "ultrasound"), 409, "are not compared")
	s.says("POST", visits, "clinician", kept("2026-03-10", ""), 409, "nothing that was named")
	s.says("POST", visits, "clinician", strings.Replace(kept("2026-03-10", "ultrasound"), "{", `{"sure":true,`, 1), 200, "")
}

// An end dated before nights that the family logged with a lens is asked about, with
// how many and the last; one dated after them is not. Nights of 24, 25 and 27 March were
// logged with a lens, 26 March without.
func TestAnEndBeforeNightsThatWereWornIsAskedAbout(t *testing.T) {
	t.Parallel()
	s := planned(t)
	for i, night := range []string{"2026-03-24", "2026-03-25", "2026-03-27"} {
		s.logs(i+1, "insertion", night, `{"at":"21:30","eyes":"both"}`)
	}
	s.logs(4, "not-worn", "2026-03-26", `{"reason":"forgot","eyes":"both"}`)
	end := func(stopped, more string) string {
		return `{"stopped":"` + stopped + `","reason":"comfort","base":1` + more + `}`
	}
	const path = "/api/clinic/wearers/w1/end"
	s.says("POST", path, "clinician", end("2026-03-24", ""), 409, "Nights logged with lenses from 2026-03-24 on: 3, the last 2026-03-27.")
	s.says("POST", path, "clinician", end("2026-03-25", ""), 409, "Nights logged with lenses from 2026-03-25 on: 2, the last 2026-03-27.")
	if got := s.course(); len(got.Endings) != 0 {
		t.Errorf("asked, and yet stored: %+v", got.Endings)
	}
	s.says("POST", path, "clinician", end("2026-03-28", ""), 200, "")
}

// The family hears from which night no lens is worn and who wrote it, also of an
// end that lies ahead.
func TestTheFamilyHearsWhoEndedWear(t *testing.T) {
	t.Parallel()
	s := planned(t)
	stopped := civil.NightOf(simNow, simNow.Location()).AddDays(7).String()
	s.says("POST", "/api/clinic/wearers/w1/end", "clinician", `{"stopped":"`+stopped+`","reason":"adverse-event","base":1}`, 409, "No adverse event of this wearer is written down")
	s.says("POST", "/api/clinic/wearers/w1/end", "clinician", `{"stopped":"`+stopped+`","reason":"adverse-event","base":1,"sure":true}`, 200, "")
	type family struct {
		Wearers []struct {
			ID      string
			EndedBy string `json:"ended_by"`
			Plan    struct{ Stopped string }
		}
	}
	who := s.course().Endings[0].By
	for _, w := range decode[family](t, s.says("GET", "/api/family", "family", "", 200, "")).Wearers {
		if w.ID == "w1" && (who == "" || w.EndedBy != who || w.Plan.Stopped != stopped) {
			t.Errorf("%+v, want %s of %s", w, stopped, who)
		}
		if w.ID != "w1" && w.EndedBy != "" {
			t.Errorf("wear of %s goes on", w.ID)
		}
	}
}

// Whoever opens the review or the list of wearers sees that wear ends and why, and an
// adverse event that the practice wrote down, whatever range is looked at.
func TestTheConsoleSaysTheEndAndTheEvent(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const at = "/api/clinic/wearers/w1/"
	night := civil.NightOf(simNow, simNow.Location())
	if raw := s.says("GET", at+"review", "clinician", "", 200, `"ends":null`); strings.Contains(raw, "Infection of the cornea") {
		t.Error("nothing happened yet")
	}
	s.update(func(tx *store.Tx) error {
		e := course.AdverseEvent{ID: "e1", Version: 1, Kind: "infection", Eye: "right", Began: night.AddDays(-300), Outcome: "settled-with-trace", Serious: []string{"lasting"}}
		return tx.Chart().Shelve(register.Events, "w1", e.ID, e)
	})
	s.says("POST", at+"end", "clinician", `{"stopped":"`+night.AddDays(7).String()+`","reason":"adverse-event","base":1}`, 200, "")
	type view struct {
		Ends   *course.EndOfWear
		Glance struct{ Raise []review.Raise }
	}
	want := course.EndOfWear{Night: night.AddDays(7), Why: "An adverse event", By: s.course().Endings[0].By}
	v := decode[view](t, s.says("GET", at+"review", "clinician", "", 200, ""))
	if v.Ends == nil || *v.Ends != want {
		t.Errorf("review: %+v, want %+v", v.Ends, want)
	}
	if r := v.Glance.Raise; len(r) == 0 || !r[0].Danger || !strings.Contains(r[0].Text, night.AddDays(-300).String()+" Infection of the cornea, right eye: Settled, with a scar or another trace (serious)") {
		t.Errorf("raised: %+v", r)
	}
	for _, w := range decode[struct {
		Wearers []struct {
			ID   string
			Ends *course.EndOfWear
		}
	}](t, s.says("GET", "/api/clinic/wearers", "clinician", "", 200, "")).Wearers {
		if (w.ID == "w1") != (w.Ends != nil) || w.Ends != nil && *w.Ends != want {
			t.Errorf("list: %s %+v", w.ID, w.Ends)
		}
	}
}

// The file of an event leaves the practice under a code: a name of the family in its
// words is asked about, whatever the case of its letters, and nothing is stored unasked.
func TestANameInAnEventIsAskedAbout(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.update(func(tx *store.Tx) error {
		return tx.Register().AddPerson(care.Person{ID: "p7", Family: "f1", Name: "Ana Example", Role: care.Parent})
	})
	body := func(words, sure string) string {
		return `{"base":0,"kind":"infection","eye":"right","began":"2026-03-01","aware":"2026-03-01","words":"` + words + `","outcome":"not-known","device":{"in_wear":"yes","kept":"no"},"reporter":{"name":"Dr A"}` + sure + `}`
	}
	const path = "/api/clinic/wearers/w1/events"
	s.says("POST", path, "clinician", body("Seen with ANA, red eye", ""), 409, "A name of the family")
	if got := s.course().Events; len(got) != 0 {
		t.Errorf("stored unasked: %+v", got)
	}
	s.says("POST", path, "clinician", body("Banana juice in the eye", ""), 200, "")
	s.says("POST", path, "clinician", body("Seen with ANA, red eye", `,"sure":true`), 200, "")
}

// An end of today that is written in the morning, while the night before still runs, is
// today's everywhere: on the page of lenses, with its reason, and in the review.
func TestAnEndOfTodayInTheMorning(t *testing.T) {
	t.Parallel()
	morning := time.Date(2026, 3, 28, 8, 57, 0, 0, time.UTC)
	s := plannedAt(t, morning)
	s.says("POST", "/api/clinic/wearers/w1/end", "clinician", `{"stopped":"2026-03-28","reason":"adverse-event","base":1,"sure":true}`, 200, "")
	v := s.course()
	if want := civil.MustDate("2026-03-28"); v.Ends != want || len(v.Endings) != 1 || v.Endings[0].Stopped != v.Ends {
		t.Errorf("it ends %s, and the ending is of %+v; want both %s", v.Ends, v.Endings, want)
	}
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `"ends":{"night":"2026-03-28"`)
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `"why":"An adverse event"`)
	s.says("GET", "/api/family", "family", "", 200, `"stopped":"2026-03-28"`)
}

// While an adverse event is not settled, a new start asks about it in words, and so
// does the taking back of an end; the page knows whether the eye is stopped, so that it
// can offer to write a stop.
func TestAnUnsettledEventIsAskedAboutBeforeANewStart(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const at = "/api/clinic/wearers/w1/"
	today := civil.NightOf(simNow, simNow.Location())
	event := func(version int, outcome string) {
		t.Helper()
		id := ""
		if version > 0 {
			id = s.course().Events[0].ID
		}
		s.says("POST", at+"events", "clinician", fmt.Sprintf(`{"id":%q,"base":%d,"kind":"infection","eye":"left","began":"2026-03-01","aware":"2026-03-01","words":"a spot",
			"outcome":%q,"device":{"in_wear":"yes","kept":"no"},"reporter":{"name":"Dr A"}}`, id, version, outcome), 200, "")
	}
	event(0, "not-known")
	if v := s.course(); len(v.Stopped) != 0 {
		t.Errorf("stopped by nobody: %v", v.Stopped)
	}
	s.says("POST", at+"end", "clinician", fmt.Sprintf(`{"stopped":%q,"reason":"cost","base":1}`, today), 200, "")
	if v := s.course(); len(v.Stopped) != 2 {
		t.Errorf("after the end: %v", v.Stopped)
	}
	const ask = "An adverse event is not settled: Infection of the cornea, left eye, since 2026-03-01. Was the eye examined"
	start := fmt.Sprintf(`{"first":%q,"baseline_right":-2,"baseline_left":-2,"base":2}`, today)
	s.says("POST", at+"start-over", "clinician", start, 409, ask)
	s.says("POST", at+"go-on", "clinician", `{"base":2}`, 409, ask)
	event(1, "going-on")
	s.says("POST", at+"go-on", "clinician", `{"base":2}`, 409, ask)
	event(2, "settled")
	if raw := s.says("POST", at+"start-over", "clinician", start, 409, "steady"); strings.Contains(raw, "not settled") {
		t.Errorf("a settled event is asked about: %s", raw)
	}
	s.says("POST", at+"go-on", "clinician", `{"base":2}`, 200, "")
}
