// Package interop writes the log in forms that other programs read: CSV,
// iCalendar and FHIR. It is pure; it refuses to put a clinical word where a
// form is meant for a calendar, and a self-reported rating where a measured
// acuity belongs.
package interop
