// Package calc offers every computation of the product by name, as one JSON
// object in and one JSON object out, so that anyone can audit the arithmetic.
//
// It owns names, fields and accepted ranges; the numbers come from vision and
// review. It refuses unknown fields, missing fields and values out of range
// with an [InputError] that says what is accepted, and writes nothing then.
//
// Invariant: numbers go out in full precision, and the same input gives the
// same bytes.
package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"nightkeep/server/internal/review/stats"
	"nightkeep/server/internal/vision"
)

// InputError reports an unknown name or a wrong input; the caller's program
// exits with 2. Its text says what is accepted.
type InputError struct{ Text string }

// Error returns the text.
func (e *InputError) Error() string { return e.Text }

// MaxInput is the size of the largest input read, in bytes.
const MaxInput = 4 << 20

// computation is one name: what it accepts, an example, and how to run it.
type computation struct {
	name    string
	does    string
	accepts string
	example string
	run     func(o *object) any
}

// table lists every computation in the order they are shown.
func table() []computation {
	var all []computation
	all = append(all, refractionTable()...)
	all = append(all, sightTable()...)
	all = append(all, statsTable()...)
	all = append(all, courseTable()...)
	return all
}

// Run reads one JSON object from in, computes name, and writes one JSON object
// and a newline to out. A wrong name or input is an [InputError]; any other
// error is one of reading or writing.
func Run(name string, in io.Reader, out io.Writer) error {
	for _, c := range table() {
		if c.name != name {
			continue
		}
		raw, err := io.ReadAll(io.LimitReader(in, MaxInput+1))
		if err != nil {
			return fmt.Errorf("read the input: %w", err)
		}
		if len(raw) > MaxInput {
			return &InputError{fmt.Sprintf("calc %s: the input is larger than the accepted %d bytes", name, MaxInput)}
		}
		text, err := c.compute(plainMinus(raw))
		if err != nil {
			return err
		}
		_, err = out.Write(text)
		return err
	}
	return &InputError{fmt.Sprintf("calc: %q is not known; accepted is one of %s", name, strings.Join(Names(), ", "))}
}

// Names returns the name of every computation.
func Names() []string {
	var names []string
	for _, c := range table() {
		names = append(names, c.name)
	}
	return names
}

// List writes every name with what it does and accepts, and an example input
// with its output.
func List(out io.Writer) error {
	for _, c := range table() {
		text, err := c.compute([]byte(c.example))
		if err != nil {
			return fmt.Errorf("example of %s: %w", c.name, err)
		}
		if _, err := fmt.Fprintf(out, "%s: %s\n  accepts %s\n  in  %s\n  out %s\n", c.name, c.does, c.accepts, c.example, text); err != nil {
			return err
		}
	}
	return nil
}

// compute runs c on raw and returns the line to write.
func (c computation) compute(raw []byte) ([]byte, error) {
	o, err := parseObject(raw, c.name)
	var answer any
	if err == nil {
		answer = c.run(o)
		err = o.finish()
	}
	if err != nil {
		return nil, &InputError{fmt.Sprintf("calc %s: %s; accepted is an object with %s", c.name, err, c.accepts)}
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	err = enc.Encode(answer)
	if big := (*json.UnsupportedValueError)(nil); errors.As(err, &big) {
		return nil, &InputError{fmt.Sprintf("calc %s: the result is too large to be a number; accepted is an object with %s", c.name, c.accepts)}
	}
	if err != nil {
		return nil, fmt.Errorf("write the answer of %s: %w", c.name, err)
	}
	return text.Bytes(), nil
}

// take hands on value and keeps a refusal of the arithmetic as the object's.
func take[T any](o *object, value T, err error) T {
	var rangeErr *vision.RangeError
	var statsErr *stats.Error
	switch {
	case err == nil:
	case errors.As(err, &rangeErr):
		o.refuse(rangeErr.Field, "%s", rangeErr.Text)
	case errors.As(err, &statsErr):
		o.refuse(statsErr.Field, "%s", statsErr.Text)
	default:
		o.refuse("", "%s", err)
	}
	return value
}

// plainMinus reads the minus sign of typesetting (U+2212), outside of texts, as
// the minus of JSON: people copy refractions from reports.
func plainMinus(raw []byte) []byte {
	const sign = "\u2212"
	if !bytes.Contains(raw, []byte(sign)) {
		return raw
	}
	out, inText := make([]byte, 0, len(raw)), false
	for i := 0; i < len(raw); i++ {
		switch {
		case !inText && bytes.HasPrefix(raw[i:], []byte(sign)):
			out = append(out, '-')
			i += len(sign) - 1
			continue
		case inText && raw[i] == '\\' && i+1 < len(raw):
			out = append(out, raw[i])
			i++
		case raw[i] == '"':
			inText = !inText
		}
		out = append(out, raw[i])
	}
	return out
}

// number makes an output number. One that is too large, or is none because what
// it was made from was too large, is refused when the answer is written.
func number(v float64) *float64 {
	v += 0 // never "-0"
	return &v
}

// maybe is number for what may have no value: then it is null.
func maybe(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return number(v)
}
