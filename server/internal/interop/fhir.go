package interop

import (
	"bytes"
	"crypto/sha1"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
)

// Record is everything a bundle is made from: one wearer's file. Slices may
// come in any order and are only read.
type Record struct {
	// Base is the absolute address of this server without a final slash; every
	// identifier and form is named under it.
	Base     string
	Now      time.Time // of writing
	By       care.Person
	Practice string
	Wearer   care.Wearer
	People   map[care.PersonID]care.Person
	Entries  []*care.Entry // with those superseded and retracted
	Plans    []PlanVersion // every version
	Visits   []course.Visit
	Alerts   []review.AlertFact
	Nights   []review.NightRow  // for the hours in lenses, and the nights without as the wear state asked
	Wear     care.Wear          // where the eyes stand at the time of writing
	Acuity   []review.AcuityRow // runs at home, scored
}

// PlanVersion is one version of a care plan with what it prescribes.
type PlanVersion struct {
	review.PlanFacts
	Right, Left *Lens
	Remark      string
	By          string    // name of the practitioner
	At          time.Time // stored
}

// Lens is one eye's lens, free of any brand; nil means not recorded.
type Lens struct {
	BaseCurveMM, DiameterMM *float64 // mm
	Power                   *float64 // dioptres
	Design                  string   // the practice's own words
}

// FHIR writes the file as an HL7 FHIR R4 bundle of type collection: the
// patient, prescriptions, measurements, the log as answers to its forms, the
// care plan, alerts, and where all of it comes from. The same record gives the
// same bytes.
//
// What a wearer or a family says about sight is an answer, never an acuity: it
// has no code of a measurement. Only codes of the checked table are used.
// References stay inside the bundle; a person who is not in it is named by
// role or, for staff, by name.
func FHIR(r Record) ([]byte, error) {
	b := &bundler{Record: r, answers: map[nightKind][]reference{}}
	b.patient()
	b.forms()
	b.log()
	b.sight()
	b.findings()
	b.plans()
	b.alerts()
	b.wear()
	b.assembled()
	out := fhirBundle{"Bundle", b.uuid("bundle"), "collection", instant(r.Now), b.entries}
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(out); err != nil {
		return nil, fmt.Errorf("interop: write bundle: %w", err)
	}
	return buf.Bytes(), nil
}

// bundler collects the entries of one bundle.
type bundler struct {
	Record
	entries []fhirEntry
	answers map[nightKind][]reference // live responses of a night, by kind
}

type nightKind struct {
	night civil.Date
	kind  care.EntryKind
}

// add puts a resource under its id into the bundle.
func (b *bundler) add(id string, resource any) {
	b.entries = append(b.entries, fhirEntry{"urn:uuid:" + id, resource})
}

// urlNamespace is the name space of addresses (RFC 9562, section 6.6).
const urlNamespace = "\x6b\xa7\xb8\x11\x9d\xad\x11\xd1\x80\xb4\x00\xc0\x4f\xd4\x30\xc8"

// nameUUID returns the name-based UUID, version 5, of RFC 9562 section 5.5:
// the same name always has the same one. SHA-1 is what the form prescribes; it
// guards nothing here.
func nameUUID(namespace, name string) string {
	sum := sha1.Sum([]byte(namespace + name))
	u := sum[:16]
	u[6] = u[6]&0x0f | 0x50
	u[8] = u[8]&0x3f | 0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", u[0:4], u[4:6], u[6:8], u[8:10], u[10:16])
}

// uuid names a resource of this wearer.
func (b *bundler) uuid(parts ...string) string {
	return nameUUID(urlNamespace, b.Base+"/wearer/"+string(b.Wearer.ID)+"/"+strings.Join(parts, "/"))
}

func to(id string) reference { return reference{Reference: "urn:uuid:" + id} }

// wearer refers to the patient of the bundle.
func (b *bundler) wearer() reference { return to(b.uuid("patient")) }

func (b *bundler) patient() {
	p := patient{ResourceType: "Patient", ID: b.uuid("patient"), BirthDate: b.Wearer.Birth}
	if code := words(b.Wearer.Code); code != "" {
		p.Identifier = []identifier{{b.Base + "/id/wearer-code", code}}
	}
	if name := words(b.Wearer.Name); name != "" {
		p.Name = []humanName{{name}}
	}
	if name := words(b.Practice); name != "" {
		p.Managing = &reference{Type: "Organization", Display: name}
	}
	b.add(p.ID, p)
}

// person refers to who wrote something: the wearer, a relative by role only,
// or staff by name.
func (b *bundler) person(id care.PersonID) reference {
	p := b.People[id]
	who := &identifier{b.Base + "/id/person", string(id)}
	switch {
	case p.Wearer == b.Wearer.ID && p.Wearer != "":
		return b.wearer()
	case p.Role.Staff():
		return reference{Type: "Practitioner", Identifier: who, Display: words(p.Name)}
	}
	return reference{Type: "RelatedPerson", Identifier: who, Display: string(p.Role)}
}

// staff refers to a practitioner known by name only.
func (b *bundler) staff(name string) reference {
	if name = words(name); name == "" {
		name = "not recorded"
	}
	return reference{Type: "Practitioner", Display: name}
}

// assembled says who put the bundle together, and for whom.
func (b *bundler) assembled() {
	p := provenance{
		ResourceType: "Provenance", ID: b.uuid("assembled"), Recorded: instant(b.Now),
		Activity: concept{Text: "Assembled from the home log and the practice's file"},
	}
	for _, e := range b.entries {
		p.Target = append(p.Target, reference{Reference: e.FullURL})
	}
	agent := provenanceAgent{Type: participant("assembler"), Who: reference{Type: "Device", Display: "Nightkeep"}}
	if name := words(b.By.Name); name != "" {
		agent.OnBehalfOf = &reference{Type: "Practitioner", Display: name}
	}
	p.Agent = []provenanceAgent{agent}
	b.add(p.ID, p)
}

func participant(code string) concept {
	return concept{Coding: []coding{{System: hl7 + "provenance-participant-type", Code: code}}}
}

func instant(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05Z") }

// hundredths rounds to two decimals and never gives a negative zero.
func hundredths(v float64) float64 { return math.Round(v*100)/100 + 0 }

// words makes text fit the string type: not empty but for "", no control
// characters, no spaces but the plain one, none at the ends.
func words(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || r == '\uFEFF':
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.TrimSpace(s)
}

// note returns an annotation for each text that is not empty.
func note(texts ...string) []annotation {
	var out []annotation
	for _, t := range texts {
		if t = words(t); t != "" {
			out = append(out, annotation{t})
		}
	}
	return out
}
