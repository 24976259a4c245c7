package transport

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
)

// strict refuses a body that two readers may read differently: one that holds
// anything after its value, an object that names a member twice, because
// encoding/json takes the last of them (RFC 8259, 4), and a member that is not written
// as the members of t are, because encoding/json takes it in any letter case.
func strict(body []byte, t reflect.Type) error {
	dec := json.NewDecoder(strings.NewReader(string(body)))
	if err := strictValue(dec, t); err != nil {
		return err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return errors.New("something stands after the value")
	}
	return nil
}

// strictValue reads one value that is decoded into t; nil where anything may stand.
func strictValue(dec *json.Decoder, t reflect.Type) error {
	token, err := dec.Token()
	if err != nil {
		return err
	}
	open, ok := token.(json.Delim)
	if !ok {
		return nil
	}
	in := innerOf(t)
	seen := map[string]bool{}
	for dec.More() {
		name := ""
		if open == '{' {
			token, err := dec.Token()
			if err != nil {
				return err
			}
			name = fmt.Sprint(token)
			key := strings.ToLower(name)
			if seen[key] {
				return fmt.Errorf("%q stands twice", name)
			}
			seen[key] = true
		}
		at, known := in(name)
		if !known {
			return fmt.Errorf("%q is no member here: names are read as they are written, in this letter case", name)
		}
		if err := strictValue(dec, at); err != nil {
			return err
		}
	}
	_, err = dec.Token()
	return err
}

var ownReader = reflect.TypeFor[json.Unmarshaler]()

// innerOf returns the type of each member of t, or of its elements, and whether there is
// such a member. What reads itself, and what may be anything, is not looked into.
func innerOf(t reflect.Type) func(name string) (reflect.Type, bool) {
	for t != nil && t.Kind() == reflect.Pointer && !t.Implements(ownReader) {
		t = t.Elem()
	}
	anything := func(string) (reflect.Type, bool) { return nil, true }
	if t == nil || t.Implements(ownReader) || reflect.PointerTo(t).Implements(ownReader) {
		return anything
	}
	switch t.Kind() {
	case reflect.Slice, reflect.Array, reflect.Map:
		return func(string) (reflect.Type, bool) { return t.Elem(), true }
	case reflect.Struct:
		members := map[string]reflect.Type{}
		for _, f := range reflect.VisibleFields(t) {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "" && f.Anonymous || name == "-" {
				continue
			}
			if name == "" {
				name = f.Name
			}
			members[name] = f.Type
		}
		return func(name string) (reflect.Type, bool) { at, known := members[name]; return at, known }
	}
	return anything
}
