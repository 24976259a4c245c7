package clinic

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// exportFamily answers with everything about a family as one archive.
func (c *call) exportFamily() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	id := care.FamilyID(c.Params("id"))
	if id == care.DrillFamily {
		return isDrill()
	}
	var b bytes.Buffer
	if err := WriteExport(c.Srv, id, c.Srv.BaseURL, c.Caller.Person.Named(), &b); err != nil {
		return err
	}
	// Written down before it is sent: what left the building is known even when
	// the line breaks.
	if err := c.Audit("exported family", string(id)); err != nil {
		return err
	}
	c.Set(fiber.HeaderCacheControl, "no-store")
	c.Set(fiber.HeaderContentType, "application/zip")
	c.Set(fiber.HeaderContentDisposition, `attachment; filename="record.zip"`)
	return c.Send(b.Bytes())
}

// copiesPerDay is how many copies a family may take a day: our choice, more than
// anybody needs, and few enough to cost the others nothing.
var copiesPerDay = quota.Limit{Most: 5, Per: 24 * time.Hour}

// copyForFamily answers a family with its own record: the archive without what is
// not theirs to read, see [dossier.forFamily].
func (c *call) copyForFamily() error {
	id := c.Caller.Person.Family
	if id == care.DrillFamily {
		return isDrill()
	}
	if err := c.TakeQuota(c.copies, string(id)); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := writeExport(c.Srv, id, c.Srv.BaseURL, care.Person{}, (*dossier).forFamily, &b); err != nil {
		return err
	}
	if err := c.Audit("took a copy", string(id)); err != nil {
		return err
	}
	return c.Attach("application/zip", "record.zip", b.Bytes())
}

// ofFamily are the buckets a family's copy holds. What a teen wrote to the clinicians
// alone, what the staff wrote for each other (follow-ups, comments on alerts) and what
// only serves the machine is not among them.
var ofFamily = []string{"families", "people", "wearers", "devices", "consents", "plans", "visits", "entries", "nights", "held", "conflicts"}

// forFamily leaves of everything what the family may read: of a visit all but the
// words the practice wrote for itself.
func (d *dossier) forFamily() error {
	for bucket := range d.records {
		if !slices.Contains(ofFamily, bucket) {
			delete(d.records, bucket)
		}
	}
	for bucket, field := range map[string]string{"visits": "note", "plans": "remark"} {
		for i, r := range d.records[bucket] {
			raw, err := without(r.Value, field)
			if err != nil {
				return err
			}
			d.records[bucket][i].Value = raw
		}
	}
	for i := range d.files {
		f := &d.files[i]
		for j := range f.Visits {
			f.Visits[j].Note = ""
		}
		for j := range f.Plans {
			f.Plans[j].Remark = ""
		}
		for j := range f.Alerts {
			for k := range f.Alerts[j].Closings {
				f.Alerts[j].Closings[k].Note = ""
			}
		}
	}
	return nil
}

// without returns a JSON object, and whatever stands inside it, without a member.
func without(raw json.RawMessage, field string) (json.RawMessage, error) {
	var object map[string]json.RawMessage
	if json.Unmarshal(raw, &object) != nil {
		return raw, nil // no object
	}
	delete(object, field)
	for k, v := range object {
		inner, err := without(v, field)
		if err != nil {
			return nil, err
		}
		object[k] = inner
	}
	return json.Marshal(object)
}

// dossier is everything about a family, read in one short transaction.
type dossier struct {
	Family  care.Family
	At      time.Time
	records map[string][]archive.Record // by bucket
	nights  bytes.Buffer                // CSV
	files   []interop.Record            // one for each wearer
	names   map[string]string           // of people, wearers and devices, by id
	// attached are the pictures and documents of visits, as files.
	attached []attachedFile
}

type attachedFile struct {
	name    string
	content []byte
}

// WriteExport writes everything about a family as a ZIP archive: index.html to
// read, nights.csv, entries.jsonl with the log as the phones wrote it, fhir/ with
// a FHIR R4 bundle of each wearer, attachments/ with the pictures and documents of
// visits, and records/ with every stored record as JSON
// lines. base is the server's address, by is who writes it, zero on the command
// line. An unknown family gives a not-found error.
func WriteExport(db Viewer, id care.FamilyID, base string, by care.Person, w io.Writer) error {
	return writeExport(db, id, base, by, func(*dossier) error { return nil }, w)
}

func writeExport(db Viewer, id care.FamilyID, base string, by care.Person, trim func(*dossier) error, w io.Writer) error {
	var d dossier
	if err := db.View(func(tx *store.Tx) error { return d.read(tx, id) }); err != nil {
		return err
	}
	if err := trim(&d); err != nil {
		return err
	}
	z := zip.NewWriter(w)
	files := []struct {
		name  string
		write func(io.Writer) error
	}{
		{"index.html", d.writePage},
		{"nights.csv", func(w io.Writer) error { _, err := w.Write(d.nights.Bytes()); return err }},
		{"entries.jsonl", d.writeEntries},
	}
	for _, f := range files {
		if err := addFile(z, f.name, d.At, f.write); err != nil {
			return err
		}
	}
	if err := d.addFHIR(z, base, by); err != nil {
		return err
	}
	for _, a := range d.attached {
		err := addFile(z, "attachments/"+a.name, d.At, func(w io.Writer) error { _, err := w.Write(a.content); return err })
		if err != nil {
			return err
		}
	}
	if err := d.addRecords(z); err != nil {
		return err
	}
	return z.Close()
}

// addFHIR adds the record of each wearer as a document of its own.
func (d *dossier) addFHIR(z *zip.Writer, base string, by care.Person) error {
	for i, f := range d.files {
		f.Base, f.By, f.Now = base, by, d.At
		err := addFile(z, fmt.Sprintf("fhir/wearer-%d.json", i+1), d.At, func(w io.Writer) error {
			raw, err := interop.FHIR(f)
			if err != nil {
				return err
			}
			_, err = w.Write(raw)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// addRecords adds what is stored as it is, a file for each bucket.
func (d *dossier) addRecords(z *zip.Writer) error {
	for _, bucket := range d.buckets() {
		err := addFile(z, "records/"+bucket+".jsonl", d.At, func(w io.Writer) error {
			enc := json.NewEncoder(w)
			for _, r := range d.records[bucket] {
				if err := enc.Encode(r); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func addFile(z *zip.Writer, name string, at time.Time, write func(io.Writer) error) error {
	w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at})
	if err != nil {
		return err
	}
	return write(w)
}

func (d *dossier) read(tx *store.Tx, id care.FamilyID) (err error) {
	if d.Family, err = tx.Register().Family(id); err != nil {
		return err
	}
	d.At, d.records, d.names = tx.Now, map[string][]archive.Record{}, map[string]string{}
	if err := tx.Archive().Records(id, d.take); err != nil {
		return err
	}
	wearers, err := tx.Register().Wearers(id)
	if err != nil {
		return err
	}
	out := interop.NewNightsCSV(&d.nights)
	for _, x := range wearers {
		f, err := fileRecord(tx, x, civil.Date{}, civil.Date{})
		if err != nil {
			return err
		}
		d.files = append(d.files, f)
		if err := d.attach(tx, x.ID); err != nil {
			return err
		}
		nights, err := tx.Log().Nights(x.ID, record.LongAgo, civil.DateOf(tx.Now).AddDays(2))
		if err != nil {
			return err
		}
		if err := out.Write(x.Code, nights, tx.Log().WearFacts(x.ID)); err != nil {
			return err
		}
	}
	return out.Flush()
}

// take keeps a record, and the name of what has one.
func (d *dossier) take(r archive.Record) error {
	if r.Bucket == "attached" {
		return nil // stands beside it, as files
	}
	d.records[r.Bucket] = append(d.records[r.Bucket], r)
	if slices.Contains([]string{"people", "wearers", "devices"}, r.Bucket) {
		var named struct {
			Name string `json:"name"`
		}
		if json.Unmarshal(r.Value, &named) == nil { // else it is shown as it is
			d.names[r.Key[0]] = named.Name
		}
	}
	return nil
}

// attach reads what is attached to the visits of a wearer.
func (d *dossier) attach(tx *store.Tx, w care.WearerID) error {
	all, err := register.Shelved[course.Attachment](tx.Chart(), register.Attachments, w)
	if err != nil {
		return err
	}
	for _, a := range all {
		content, err := tx.Chart().Attached(w, a.ID)
		if err != nil {
			return err
		}
		ending := map[string]string{"image/jpeg": ".jpg", "image/png": ".png", "application/pdf": ".pdf"}[a.Type]
		d.attached = append(d.attached, attachedFile{a.ID + ending, content})
	}
	return nil
}

func (d *dossier) buckets() []string {
	var out []string
	for b := range d.records {
		out = append(out, b)
	}
	slices.Sort(out)
	return out
}

func (d *dossier) writeEntries(w io.Writer) error {
	for _, r := range d.records["entries"] {
		if _, err := fmt.Fprintf(w, "%s\n", r.Value); err != nil {
			return err
		}
	}
	return nil
}

// chapters are the parts of the page to read, in order. The other buckets are
// indices and copies of these, and stand in records/ only.
func chapters() []struct{ bucket, title string } {
	return []struct{ bucket, title string }{
		{"families", "Family"}, {"wearers", "Wearers"}, {"people", "People"}, {"devices", "Devices"}, {"consents", "Consents"},
		{"invitations", "Invitations"}, {"plans", "Care plans"}, {"visits", "Visits"}, {"lenses", "Lenses"}, {"endings", "Ends of wear"}, {"events", "Adverse events"}, {"candidates", "Answers before fitting"}, {"attachments", "Pictures and documents, in attachments/"}, {"alerts", "Alerts"}, {"followups", "Follow-ups by the practice"},
		{"entries", "The log"}, {"held", "Entries of a newer app, kept unread"}, {"conflicts", "Entries kept aside because their id was taken"},
		{"subscriptions", "Where messages to devices go"}, {"audit", "Who saw or changed what"},
	}
}

type chapter struct {
	Title string
	Items [][]line
}

// line is one value with the path to it.
type line struct{ Path, Value string }

var exportPage = template.Must(template.New("export").Parse(`<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>Record of {{.Name}}</title>
<h1>Record of {{.Name}}</h1>
<p>Everything the practice's Nightkeep holds about this family, on {{.At}}. The same is in records/ and fhir/ for programs, and the nights in nights.csv.
Instants are UTC; a night has the date of its evening.</p>
<ul>{{range $i, $c := .Chapters}}<li><a href="#c{{$i}}">{{$c.Title}}</a> ({{len $c.Items}})</li>{{end}}</ul>
{{range $i, $c := .Chapters}}<h2 id="c{{$i}}">{{$c.Title}}</h2>
{{range $c.Items}}<dl>{{range .}}<dt>{{.Path}}</dt><dd>{{.Value}}</dd>{{end}}</dl><hr>
{{else}}<p>None.</p>{{end}}{{end}}</html>
`))

func (d *dossier) writePage(w io.Writer) error {
	page := struct {
		Name, At string
		Chapters []chapter
	}{d.Family.Name, d.At.Format("2006-01-02 15:04"), nil}
	for _, c := range chapters() {
		ch := chapter{Title: c.title}
		for _, r := range d.records[c.bucket] {
			ch.Items = append(ch.Items, d.lines("", asWritten(r.Value)))
		}
		page.Chapters = append(page.Chapters, ch)
	}
	return exportPage.Execute(w, page)
}

// asWritten reads a value with its numbers as they are written, since there are
// some that no float64 holds; one that cannot be read is its own text.
func asWritten(raw []byte) (v any) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.UseNumber()
	if dec.Decode(&v) != nil {
		return string(raw)
	}
	return v
}

// lines flattens a JSON value into paths and values, with names for ids.
func (d *dossier) lines(path string, v any) []line {
	switch v := v.(type) {
	case map[string]any:
		var out []line
		for _, k := range sortedKeys(v) {
			out = append(out, d.lines(strings.TrimSpace(path+" "+strings.ReplaceAll(k, "_", " ")), v[k])...)
		}
		return out
	case []any:
		var out []line
		for i, x := range v {
			out = append(out, d.lines(fmt.Sprintf("%s %d", path, i+1), x)...)
		}
		return out
	case nil:
		return nil
	case string:
		if n := d.names[v]; n != "" {
			return []line{{path, n}}
		}
		return []line{{path, v}}
	}
	return []line{{path, fmt.Sprint(v)}}
}

func sortedKeys(m map[string]any) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
