package interop

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// Column is one column of the nights table with its meaning: the data
// dictionary.
type Column struct{ Name, Meaning string }

// NightColumns is the data dictionary of [NightsCSV]. An empty cell means "not
// answered", never "no"; where two entries differ the newest is given (of tap water: any that says it touched) and
// "differ" names the item.
var NightColumns = []Column{
	{"code", "the practice's code of the wearer"},
	{"night", "date of the evening, YYYY-MM-DD; a night runs 12:00 to 11:59"},
	{"insertion_right", "wall-clock time HH:MM"},
	{"insertion_left", "wall-clock time HH:MM"},
	{"removal_right", "wall-clock time HH:MM"},
	{"removal_left", "wall-clock time HH:MM"},
	{"not_worn", "reason, when said not to be worn"},
	{"hand_wash", "true or false"},
	{"rub", "true or false"},
	{"rinse", "solution, saline, tap-water or none"},
	{"tap_water", "lens or case touched tap water, also by rinsing with it: true or false"},
	{"topping_off", "old solution topped up: true or false"},
	{"case_emptied", "true or false"},
	{"case_wiped", "true or false"},
	{"case_dried", "true or false"},
	{"deposit_removal", "true or false"},
	{"moved", "lens on waking: freely, stuck-came-off or stuck"},
	{"redness", "of the morning as reported, 0 white to 3; where entries differ the worse"},
	{"comfort", "of the morning as reported, 4 best to 0; where entries differ the worse"},
	{"eye_reports", "how many times an eye check was reported in the night"},
	{"eye_signs", "what those reports said that is not known to be harmless, in words, with the eye; \"no sign reported as present\" of one without any"},
	{"evening_rating", "self-reported evening sight, 1 to 5; not an acuity"},
	{"hours_since_removal", "hours at that rating"},
	{"halos", "none, some or troublesome"},
	{"spectacles", "needed spectacles: true or false"},
	{"differ", "items about which two entries differ, separated by spaces"},
	{"held_right", "stop or rest: what the wear state asked of the right eye that night; empty when nothing held"},
	{"held_left", "the same of the left eye"},
	{"unread", "what could not be read: such a line stands for nights that are missing here; every other line has it empty"},
}

// NightsCSV writes nights as RFC 4180 CSV with a header line.
type NightsCSV struct {
	w      *csv.Writer
	headed bool
}

// NewNightsCSV returns a writer of nights to w.
func NewNightsCSV(w io.Writer) *NightsCSV {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return &NightsCSV{w: out}
}

// Write adds one line for each night of a wearer. Wear is what the wear state
// reads, of all times.
func (c *NightsCSV) Write(code string, nights []care.Night, wear []care.WearFact) error {
	if err := c.head(); err != nil {
		return err
	}
	for i := range nights {
		row := nightRow(code, &nights[i])
		state := care.WearOf(wear, nights[i].Date, true, nil)
		row = append(row, heldCell(state.Right.State), heldCell(state.Left.State), "")
		if err := c.w.Write(row); err != nil {
			return err
		}
	}
	return nil
}

// Unread adds a line that says what could not be read; of a wearer nobody knows the
// code is empty.
func (c *NightsCSV) Unread(code, what string) error {
	if err := c.head(); err != nil {
		return err
	}
	row := make([]string, len(NightColumns))
	row[0], row[len(row)-1] = cellText(code), cellText(what)
	return c.w.Write(row)
}

// Flush writes what is buffered; a table without nights still has its header.
func (c *NightsCSV) Flush() error {
	if err := c.head(); err != nil {
		return err
	}
	c.w.Flush()
	return c.w.Error()
}

func (c *NightsCSV) head() error {
	if c.headed {
		return nil
	}
	c.headed = true
	row := make([]string, 0, len(NightColumns))
	for _, col := range NightColumns {
		row = append(row, col.Name)
	}
	return c.w.Write(row)
}

func nightRow(code string, n *care.Night) []string {
	field := func(key, name string) string { return cell(n.Item(key), name) }
	reason := field("not-worn/right", "reason")
	if reason == "" {
		reason = field("not-worn/left", "reason")
	}
	reports, signs := eyeReports(n)
	differ := ""
	for _, it := range n.Items {
		if it.Differ {
			if differ != "" {
				differ += " "
			}
			differ += it.Key
		}
	}
	return []string{
		cellText(code), n.Date.String(),
		field("insertion/right", "at"), field("insertion/left", "at"), field("removal/right", "at"), field("removal/left", "at"), reason,
		field("care/hand_wash", ""), field("care/rub", ""), field("care/rinse", ""), tapWater(n), field("care/topping_off", ""),
		field("care/case_emptied", ""), field("care/case_wiped", ""), field("care/case_dried", ""), field("care/deposit_removal", ""),
		field("morning/moved", ""),
		worst(n.Item("morning/redness"), 1), worst(n.Item("morning/comfort"), -1), reports, signs,
		field("evening-sight", "rating"), field("evening-sight", "hours_since_removal"), field("evening-sight", "halos"), field("evening-sight", "spectacles"),
		differ,
	}
}

// worst is the worst number that anybody gave of an item: the greatest, or with a
// negative sign the least.
func worst(it *care.Item, sign float64) string {
	if it == nil {
		return ""
	}
	out, found := 0.0, false
	for _, f := range it.Facts {
		var v float64
		if json.Unmarshal(f.Value, &v) == nil && (!found || sign*v > sign*out) {
			out, found = v, true
		}
	}
	if !found {
		return ""
	}
	return strconv.FormatFloat(out, 'f', -1, 64)
}

// eyeReports counts the reports of an eye check in a night and says what they said.
func eyeReports(n *care.Night) (count, signs string) {
	words := review.ReportWords(n)
	if len(words) == 0 {
		return "", ""
	}
	return strconv.Itoa(len(words)), cellText(strings.Join(words, " | "))
}

// tapWater is true also when the newest answer says otherwise, or only the rinse tells.
func tapWater(n *care.Night) string {
	touched, said := n.TapWater()
	if !said {
		return ""
	}
	return strconv.FormatBool(touched)
}

func heldCell(m care.Mark) string {
	if m < care.Rest {
		return ""
	}
	return m.String()
}

// cell returns the newest fact of an item, or one field of it, as text.
func cell(it *care.Item, name string) string {
	if it == nil {
		return ""
	}
	raw := it.Facts[0].Value
	if name != "" {
		var m map[string]json.RawMessage
		if json.Unmarshal(raw, &m) != nil {
			return ""
		}
		raw = m[name]
	}
	var s string
	if json.Unmarshal(raw, &s) == nil {
		return s
	}
	return string(raw)
}
