package interop

// The parts of HL7 FHIR R4 (4.0.1) that a bundle uses, field by field in the
// order of the specification. Only what is written is declared.

type fhirBundle struct {
	ResourceType string      `json:"resourceType"`
	ID           string      `json:"id"`
	Type         string      `json:"type"`
	Timestamp    string      `json:"timestamp"`
	Entry        []fhirEntry `json:"entry"`
}

type fhirEntry struct {
	FullURL  string `json:"fullUrl"`
	Resource any    `json:"resource"`
}

type identifier struct {
	System string `json:"system"`
	Value  string `json:"value"`
}

type coding struct {
	System  string `json:"system"`
	Code    string `json:"code"`
	Display string `json:"display,omitempty"`
}

type concept struct {
	Coding []coding `json:"coding,omitempty"`
	Text   string   `json:"text,omitempty"`
}

type reference struct {
	Reference  string      `json:"reference,omitempty"`
	Type       string      `json:"type,omitempty"`
	Identifier *identifier `json:"identifier,omitempty"`
	Display    string      `json:"display,omitempty"`
}

type quantity struct {
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	System string  `json:"system"`
	Code   string  `json:"code"`
}

type period struct {
	Start string `json:"start,omitempty"`
	End   string `json:"end,omitempty"`
}

type annotation struct {
	Text string `json:"text"`
}

type patient struct {
	ResourceType string       `json:"resourceType"`
	ID           string       `json:"id"`
	Identifier   []identifier `json:"identifier,omitempty"`
	Name         []humanName  `json:"name,omitempty"`
	BirthDate    string       `json:"birthDate,omitempty"`
	Managing     *reference   `json:"managingOrganization,omitempty"`
}

type humanName struct {
	Text string `json:"text"`
}

type observation struct {
	ResourceType string       `json:"resourceType"`
	ID           string       `json:"id"`
	Status       string       `json:"status"`
	Category     []concept    `json:"category"`
	Code         concept      `json:"code"`
	Subject      reference    `json:"subject"`
	Effective    string       `json:"effectiveDateTime,omitempty"`
	Period       *period      `json:"effectivePeriod,omitempty"`
	Performer    []reference  `json:"performer,omitempty"`
	Quantity     *quantity    `json:"valueQuantity,omitempty"`
	String       string       `json:"valueString,omitempty"`
	Integer      *int         `json:"valueInteger,omitempty"`
	Note         []annotation `json:"note,omitempty"`
	BodySite     *concept     `json:"bodySite,omitempty"`
	Method       *concept     `json:"method,omitempty"`
	Device       *reference   `json:"device,omitempty"`
	DerivedFrom  []reference  `json:"derivedFrom,omitempty"`
	Component    []component  `json:"component,omitempty"`
}

type component struct {
	Code     concept   `json:"code"`
	Quantity *quantity `json:"valueQuantity,omitempty"`
	Integer  *int      `json:"valueInteger,omitempty"`
}

type questionnaire struct {
	ResourceType string     `json:"resourceType"`
	ID           string     `json:"id"`
	URL          string     `json:"url"`
	Version      string     `json:"version"`
	Name         string     `json:"name"`
	Title        string     `json:"title"`
	Status       string     `json:"status"`
	SubjectType  []string   `json:"subjectType"`
	Item         []formItem `json:"item"`
}

type formItem struct {
	LinkID  string       `json:"linkId"`
	Text    string       `json:"text"`
	Type    string       `json:"type"`
	Repeats bool         `json:"repeats,omitempty"`
	Options []formOption `json:"answerOption,omitempty"`
	Item    []formItem   `json:"item,omitempty"`
}

type formOption struct {
	Coding coding `json:"valueCoding"`
}

type response struct {
	ResourceType  string         `json:"resourceType"`
	ID            string         `json:"id"`
	Identifier    identifier     `json:"identifier"`
	Questionnaire string         `json:"questionnaire"`
	Status        string         `json:"status"`
	Subject       reference      `json:"subject"`
	Authored      string         `json:"authored"`
	Author        reference      `json:"author"`
	Source        reference      `json:"source"`
	Item          []responseItem `json:"item"`
}

type responseItem struct {
	LinkID string         `json:"linkId"`
	Text   string         `json:"text"`
	Answer []answer       `json:"answer,omitempty"`
	Item   []responseItem `json:"item,omitempty"`
}

type answer struct {
	Boolean  *bool    `json:"valueBoolean,omitempty"`
	Decimal  *float64 `json:"valueDecimal,omitempty"`
	Integer  *int     `json:"valueInteger,omitempty"`
	Date     string   `json:"valueDate,omitempty"`
	DateTime string   `json:"valueDateTime,omitempty"`
	Time     string   `json:"valueTime,omitempty"`
	String   string   `json:"valueString,omitempty"`
	Coding   *coding  `json:"valueCoding,omitempty"`
}

type prescription struct {
	ResourceType string     `json:"resourceType"`
	ID           string     `json:"id"`
	Status       string     `json:"status"`
	Created      string     `json:"created"`
	Patient      reference  `json:"patient"`
	DateWritten  string     `json:"dateWritten"`
	Prescriber   reference  `json:"prescriber"`
	Lens         []lensSpec `json:"lensSpecification"`
}

type lensSpec struct {
	Product   concept      `json:"product"`
	Eye       string       `json:"eye"`
	Sphere    *float64     `json:"sphere,omitempty"`
	Cylinder  *float64     `json:"cylinder,omitempty"`
	Axis      *int         `json:"axis,omitempty"`
	Power     *float64     `json:"power,omitempty"`
	BackCurve *float64     `json:"backCurve,omitempty"`
	Diameter  *float64     `json:"diameter,omitempty"`
	Note      []annotation `json:"note,omitempty"`
}

type carePlan struct {
	ResourceType string       `json:"resourceType"`
	ID           string       `json:"id"`
	Replaces     []reference  `json:"replaces,omitempty"`
	Status       string       `json:"status"`
	Intent       string       `json:"intent"`
	Title        string       `json:"title"`
	Subject      reference    `json:"subject"`
	Period       *period      `json:"period,omitempty"`
	Created      string       `json:"created,omitempty"`
	Author       *reference   `json:"author,omitempty"`
	Activity     []activity   `json:"activity"`
	Note         []annotation `json:"note,omitempty"`
}

type activity struct {
	Detail activityDetail `json:"detail"`
}

type activityDetail struct {
	Status      string `json:"status"`
	Scheduled   string `json:"scheduledString,omitempty"`
	Description string `json:"description"`
}

type communication struct {
	ResourceType string    `json:"resourceType"`
	ID           string    `json:"id"`
	Status       string    `json:"status"`
	Subject      reference `json:"subject"`
	Sent         string    `json:"sent"`
	Sender       reference `json:"sender"`
	Payload      []payload `json:"payload"`
}

type payload struct {
	Content string `json:"contentString"`
}

type flag struct {
	ResourceType string       `json:"resourceType"`
	ID           string       `json:"id"`
	Identifier   []identifier `json:"identifier"`
	Status       string       `json:"status"`
	Category     []concept    `json:"category"`
	Code         concept      `json:"code"`
	Subject      reference    `json:"subject"`
	Period       period       `json:"period"`
}

type task struct {
	ResourceType   string    `json:"resourceType"`
	ID             string    `json:"id"`
	Status         string    `json:"status"`
	BusinessStatus *concept  `json:"businessStatus,omitempty"`
	Intent         string    `json:"intent"`
	Priority       string    `json:"priority"`
	Description    string    `json:"description"`
	Focus          reference `json:"focus"`
	For            reference `json:"for"`
	Execution      *period   `json:"executionPeriod,omitempty"`
	AuthoredOn     string    `json:"authoredOn"`
	LastModified   string    `json:"lastModified"`
}

type provenance struct {
	ResourceType string             `json:"resourceType"`
	ID           string             `json:"id"`
	Target       []reference        `json:"target"`
	Recorded     string             `json:"recorded"`
	Reason       []concept          `json:"reason,omitempty"`
	Activity     concept            `json:"activity"`
	Agent        []provenanceAgent  `json:"agent"`
	Entity       []provenanceEntity `json:"entity,omitempty"`
}

type provenanceAgent struct {
	Type       concept    `json:"type"`
	Who        reference  `json:"who"`
	OnBehalfOf *reference `json:"onBehalfOf,omitempty"`
}

type provenanceEntity struct {
	Role string    `json:"role"`
	What reference `json:"what"`
}
