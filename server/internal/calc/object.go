package calc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
)

// object reads a JSON object field by field and remembers the first fault.
// Names are matched exactly.
type object struct {
	fields map[string]json.RawMessage
	used   map[string]bool
	path   string
	fault  *error // shared with nested objects
	bare   json.RawMessage
}

// parseObject reads one JSON object, and for a computation whose input is one
// list also the bare list. Two fields of one name and anything after the
// object are refused.
func parseObject(raw []byte, name string) (*object, error) {
	o := &object{used: map[string]bool{}, fault: new(error)}
	trimmed := bytes.TrimSpace(raw)
	if len(trimmed) > 0 && trimmed[0] == '[' && (name == "mean-refraction" || name == "bedtime") {
		if !json.Valid(trimmed) {
			return nil, fmt.Errorf("the input is not JSON")
		}
		o.bare, o.fields = trimmed, map[string]json.RawMessage{}
		return o, nil
	}
	var err error
	o.fields, err = readFields(trimmed)
	return o, err
}

func readFields(raw []byte) (map[string]json.RawMessage, error) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return nil, fmt.Errorf("the input is not a JSON object")
	}
	fields := map[string]json.RawMessage{}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return nil, fmt.Errorf("the input is not JSON: %s", err)
		}
		name, _ := key.(string)
		if _, twice := fields[name]; twice {
			return nil, fmt.Errorf("field %q stands twice", name)
		}
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return nil, fmt.Errorf("the input is not JSON: %s", err)
		}
		fields[name] = value
	}
	if _, err := dec.Token(); err != nil {
		return nil, fmt.Errorf("the input is not JSON: it ends early")
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, fmt.Errorf("there is something after the object")
	}
	return fields, nil
}

func (o *object) refuse(field, format string, args ...any) {
	if *o.fault != nil {
		return
	}
	text := fmt.Sprintf(format, args...)
	if field != "" || o.path != "" {
		text = strings.TrimSuffix(o.path+field, ".") + ": " + text
	}
	*o.fault = fmt.Errorf("%s", text)
}

// finish returns the first fault, or that of a field nobody asked for.
func (o *object) finish() error {
	var unknown []string
	for name := range o.fields {
		if !o.used[name] {
			unknown = append(unknown, name)
		}
	}
	if len(unknown) > 0 {
		slices.Sort(unknown)
		o.refuse(unknown[0], "unknown field")
	}
	return *o.fault
}

func (o *object) bad() bool { return *o.fault != nil }

// has reports whether field is there and not null.
func (o *object) has(field string) bool {
	raw, ok := o.fields[field]
	if ok && string(raw) == "null" {
		o.used[field] = true
		return false
	}
	return ok
}

func (o *object) raw(field string) json.RawMessage {
	o.used[field] = true
	raw, ok := o.fields[field]
	if !ok {
		o.refuse(field, "missing field")
	}
	return raw
}

// into decodes a field; what says in words what the field must be.
func into[T any](o *object, field, what string) T {
	var v *T
	raw := o.raw(field)
	if raw != nil && (json.Unmarshal(raw, &v) != nil || v == nil) {
		o.refuse(field, "must be %s", what)
	}
	if v == nil {
		v = new(T)
	}
	return *v
}

// num reads a number from low to high.
func (o *object) num(field string, low, high float64) float64 {
	v := into[float64](o, field, fmt.Sprintf("a number from %v to %v", low, high))
	if !o.bad() && !(v >= low && v <= high) {
		o.refuse(field, "%v is outside the accepted %v to %v", v, low, high)
	}
	return v
}

// numOr reads an optional number.
func (o *object) numOr(field string, low, high, otherwise float64) float64 {
	if !o.has(field) {
		return otherwise
	}
	return o.num(field, low, high)
}

// whole reads a whole number from low to high.
func (o *object) whole(field string, low, high float64) int {
	v := o.num(field, low, high)
	if !o.bad() && v != math.Trunc(v) {
		o.refuse(field, "%v is not a whole number", v)
	}
	return int(v)
}

// nums reads a list of numbers.
func (o *object) nums(field string) []float64 {
	list := into[[]*float64](o, field, "a list of numbers")
	out := make([]float64, len(list))
	for i, v := range list {
		if v == nil {
			o.refuse(field, "must be a list of numbers")
			return nil
		}
		out[i] = *v
	}
	return out
}

// one reads a word out of a list.
func (o *object) one(field string, words ...string) string {
	what := "one of " + strings.Join(words, ", ")
	v := into[string](o, field, what)
	if !o.bad() && !slices.Contains(words, v) {
		o.refuse(field, "%q is not accepted; it must be %s", v, what)
	}
	return v
}

// date reads "YYYY-MM-DD".
func (o *object) date(field string) civil.Date {
	text := into[string](o, field, "a date as YYYY-MM-DD")
	d, err := civil.ParseDate(text)
	if err != nil {
		o.refuse(field, "%q is not a date; accepted is YYYY-MM-DD", text)
	}
	return d
}

// child reads a nested object; each runs f on every object of a list. Both
// refuse fields that f did not read.
func (o *object) child(field string, f func(*object)) {
	raw := o.raw(field)
	if raw == nil {
		return
	}
	o.nested(raw, o.path+field+".", f)
}

func (o *object) nested(raw json.RawMessage, path string, f func(*object)) {
	fields, err := readFields(raw)
	if err != nil {
		o.refuse(strings.TrimPrefix(strings.TrimSuffix(path, "."), o.path), "must be an object")
		return
	}
	c := &object{fields: fields, used: map[string]bool{}, path: path, fault: o.fault}
	f(c)
	_ = c.finish() // the fault is shared
}

// each runs f on every object of the list in field, or of the bare list.
func (o *object) each(field string, f func(*object)) int {
	var list []json.RawMessage
	if o.bare != nil {
		_ = json.Unmarshal(o.bare, &list) // known to be a valid list
	} else {
		list = into[[]json.RawMessage](o, field, "a list of objects")
	}
	for i, raw := range list {
		o.nested(raw, fmt.Sprintf("%s%s[%d].", o.path, field, i), f)
	}
	return len(list)
}
