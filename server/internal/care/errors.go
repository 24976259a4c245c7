package care

import (
	"errors"
	"fmt"
	"time"
)

// Kind classes an error by what the caller can do about it. The list crosses
// the wire through HTTP status codes: append only, never reorder.
type Kind int

// The kinds of error.
const (
	Internal        Kind = iota // a fault of ours; details go to the log only
	Invalid                     // the request was wrong; the text says what is accepted
	NotFound                    // no such thing, or not for this caller
	Conflict                    // somebody else was first, or the state forbids it
	Forbidden                   // known caller, not allowed
	Unauthenticated             // no valid credential
	Unavailable                 // cannot be done now, may work later
	TooLarge                    // over a stated limit
	TooMany                     // rate limit
)

// Error is the one error type whose text may reach a person.
type Error struct {
	Kind  Kind
	Code  string        // stable word for programs, e.g. "unknown-kind"
	Text  string        // says what was wrong and what is accepted
	Field string        // the field at fault, empty when none
	Err   error         // cause, for the log only; may be nil
	Wait  time.Duration // after which it may be asked again; zero when not known
	Asks  *Reading      // what whoever asked has to read first; nil for nothing
}

// Error returns the text, with the cause for the log.
func (e *Error) Error() string {
	if e.Err != nil {
		return e.Code + ": " + e.Text + ": " + e.Err.Error()
	}
	return e.Code + ": " + e.Text
}

// TextOf returns an error's text for people, without its code and cause.
func TextOf(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Text
	}
	return err.Error()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// Errorf makes an [Error] without a field.
func Errorf(k Kind, code, format string, args ...any) *Error {
	return &Error{Kind: k, Code: code, Text: fmt.Sprintf(format, args...)}
}

// Refuse makes an [Invalid] error about one field.
func Refuse(code, field, format string, args ...any) *Error {
	return &Error{Kind: Invalid, Code: code, Field: field, Text: fmt.Sprintf(format, args...)}
}

// Later makes a [TooMany] error that says after how long to ask again.
func Later(code string, wait time.Duration, format string, args ...any) *Error {
	e := Errorf(TooMany, code, format, args...)
	e.Wait = wait
	return e
}

// KindOf returns the kind of err; an error that is not an [Error] is [Internal].
func KindOf(err error) Kind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return Internal
}
