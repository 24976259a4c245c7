package care

import (
	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"slices"
)

// Practice is what the practice says about itself.
type Practice struct {
	Name    string `json:"name"`
	Zone    string `json:"zone"`              // IANA
	Country string `json:"country,omitempty"` // ISO 3166-1, two letters; whose telephone numbers need no prefix
	// Languages are those its families speak (BCP 47), the most spoken first.
	Languages []string `json:"languages"`
	OwnerMail string   `json:"owner_mail,omitempty"`
	// Unwatched says, in the practice's own name, that nobody is on duty outside its
	// hours; families read so.
	Unwatched bool `json:"unwatched,omitempty"`
	// Monthly lets the program start a drill by itself, four weeks after the last.
	Monthly  bool     `json:"monthly_drill,omitempty"`
	Contacts Contacts `json:"contacts"`
	// PrivateFrom is the age in years from which a teen may write to the clinicians
	// alone; 0: nobody may. Local law decides what the practice may set.
	PrivateFrom int `json:"private_from,omitempty"`
	// ParentsInvite says that a parent may invite another one from the app.
	ParentsInvite bool `json:"parents_invite,omitempty"`
	// VisitMinutes is how long an appointment takes, 5 to 240 minutes; 0: not set, and
	// two appointments meet only at the same minute.
	VisitMinutes int `json:"visit_minutes,omitempty"`
	// PerSession is how many appointments a stretch of the practice's hours holds; 0:
	// as many as anybody books.
	PerSession int `json:"per_session,omitempty"`
}

// IsLanguage reports whether the family's app can be in a language: a draft too,
// which the demo offers.
func IsLanguage(tag string) bool {
	return slices.ContainsFunc(alerts.Languages(), func(l alerts.Language) bool { return l.Tag == tag })
}

// Languages are those the family's app speaks, as BCP 47 tags: a draft is none.
func Languages() (tags []string) {
	for _, l := range alerts.Languages() {
		if !l.Draft {
			tags = append(tags, l.Tag)
		}
	}
	return tags
}

// Placed reports whether the practice has said where it is and which languages
// it speaks, on which dates, telephone numbers and words depend.
func (p Practice) Placed() bool { return p.Zone != "" && p.Country != "" && len(p.Languages) > 0 }

// Contacts is who a family calls, kept on the phone for use without a network.
type Contacts struct {
	Clinic     string       `json:"clinic"`
	Phone      string       `json:"phone"`
	Zone       string       `json:"zone"`  // IANA zone of the hours
	Hours      []Hours      `json:"hours"` // when the clinic answers the phone
	Closed     []civil.Date `json:"closed"`
	AfterHours string       `json:"after_hours_phone"` // eye casualty or on-call number; may be empty
	Emergency  string       `json:"emergency_number"`  // local emergency number, set by the practice
	Place      Place        `json:"emergency_place"`   // where a family goes when nobody answers
}

// Place is the emergency eye department that the practice names; all may be
// empty.
type Place struct {
	Name    string `json:"name"`
	Address string `json:"address"`
	Hours   string `json:"hours"` // in words, such as "day and night"
}

// Hours is one stretch of a weekday in which the clinic answers the phone.
type Hours struct {
	Weekday int         `json:"weekday"` // 0 Sunday to 6 Saturday
	From    civil.Clock `json:"from"`
	To      civil.Clock `json:"to"`
}
