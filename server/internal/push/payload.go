package push

import "encoding/json"

// Payload is what travels to a device. It carries no name, no condition and no
// reading: the push service sees only cipher text, but a lock screen and a
// stolen phone see the rest. Due names what there is to do, by the ids of the
// reminders, only when the family has chosen plain words.
type Payload struct {
	V     int      `json:"v"`               // version of this format, 1
	Tag   string   `json:"tag"`             // notifications with one tag replace each other; also names the receipt
	Kind  string   `json:"kind"`            // one of the kinds below
	Level string   `json:"level,omitempty"` // "emergency" or absent
	URL   string   `json:"url"`             // page to open, a path on our own origin
	Due   []string `json:"due,omitempty"`   // see above
	Drill bool     `json:"drill,omitempty"` // nobody is ill
}

// The kinds of payload.
const (
	KindAlert    = "alert"
	KindReminder = "reminder"
	KindCanary   = "canary"
	KindTest     = "test"
	KindWord     = "word"    // to a family: the practice has written
	KindStop     = "stop"    // to a family: another phone of theirs has written what stops a lens
	KindTaken    = "taken"   // to a family: somebody of the practice has read their report
	KindSilence  = "silence" // to a family: nobody has answered, they are to phone
	KindClosed   = "closed"  // to a family: the practice has decided
	KindDevice   = "device"  // to a family: one more device reads their log
)

// ClinicAlerts is the page a clinic device opens.
const ClinicAlerts = "/clinic#alerts"

// NewPayload returns a payload of the present version. Only an emergency is
// told apart from the rest; any other level is left out.
func NewPayload(kind, tag, level, url string) Payload {
	if level != "emergency" {
		level = ""
	}
	return Payload{V: 1, Tag: tag, Kind: kind, Level: level, URL: url}
}

// Bytes returns the payload as JSON.
func (p Payload) Bytes() []byte {
	b, err := json.Marshal(p)
	if err != nil {
		panic(err) // strings and an int always encode
	}
	return b
}
