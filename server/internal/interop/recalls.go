package interop

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"unicode"

	"nightkeep/schedule/civil"
)

// RecallRow is one visit the desk has to see to, by the wearer's code.
type RecallRow struct {
	Code    string
	Kind    string
	Due     civil.Date
	State   string // due, overdue, missed or booked
	Overdue int    // days
	Date    civil.Date
	Time    string // HH:MM or empty
	// LastContact is the last visit kept or the last call noted; LastHeard the
	// last day on which an entry arrived. Zero means none.
	LastContact, LastHeard civil.Date
}

// RecallColumns is the data dictionary of [RecallsCSV]. An empty cell means
// that there is none.
var RecallColumns = []Column{
	{"code", "the practice's code of the wearer"},
	{"visit", "kind of visit the care plan asks for"},
	{"due", "date the plan asks for, YYYY-MM-DD"},
	{"state", "due, overdue, missed or booked"},
	{"days_overdue", "whole days past the due date, 0 when none"},
	{"appointment_date", "YYYY-MM-DD, of the appointment booked or missed"},
	{"appointment_time", "wall-clock time HH:MM at the practice"},
	{"last_contact", "date of the last visit kept or the last call noted"},
	{"last_heard", "date on which the last entry of the family arrived"},
}

// RecallsCSV writes the list as RFC 4180 CSV with a header line.
func RecallsCSV(w io.Writer, rows []RecallRow) error {
	records := make([][]string, 0, len(rows))
	for _, r := range rows {
		records = append(records, []string{
			cellText(r.Code), r.Kind, day(r.Due), r.State, strconv.Itoa(r.Overdue), day(r.Date), r.Time, day(r.LastContact), day(r.LastHeard),
		})
	}
	return writeCSV(w, RecallColumns, records)
}

// DictionaryCSV writes a data dictionary as RFC 4180 CSV.
func DictionaryCSV(w io.Writer, columns []Column) error {
	records := make([][]string, 0, len(columns))
	for _, c := range columns {
		records = append(records, []string{c.Name, c.Meaning})
	}
	return writeCSV(w, []Column{{Name: "column"}, {Name: "meaning"}}, records)
}

// writeCSV writes a header and records. No cell of it is a formula: whatever is not
// a number goes through [cellText], so that no writer can forget to.
func writeCSV(w io.Writer, columns []Column, records [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	head := make([]string, 0, len(columns))
	for _, c := range columns {
		head = append(head, c.Name)
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, row := range records {
		for i, cell := range row {
			if _, err := strconv.ParseFloat(cell, 64); err != nil {
				row[i] = cellText(cell)
			}
		}
	}
	return out.WriteAll(records)
}

// day writes a date, and nothing for none.
func day(d civil.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// cellText keeps a spreadsheet from reading somebody's text as a formula: whatever
// begins, after what a program may trim, with one of the signs that start one, in
// any width (OWASP, CSV injection).
func cellText(s string) string {
	first := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || unicode.Is(unicode.Cf, r) })
	if strings.IndexAny(first, "=+-@＝＋－＠﹢﹣﹦﹫−|%") == 0 || strings.IndexAny(s, "\t\r\n") == 0 {
		return "'" + s
	}
	return s
}
