package transport

import (
	"encoding"
	"encoding/json"
	"path"
	"reflect"
	"strings"
	"time"
)

// description gathers the schemas of the types that routes take and give. A named
// struct has one under its own name, with that of its package before it where two
// packages have one of the name.
type description struct {
	names   map[reflect.Type]string
	schemas map[string]any
}

func newDescription(routes []Route) *description {
	d := &description{map[reflect.Type]string{}, map[string]any{}}
	types := map[string][]reflect.Type{}
	for _, v := range append(examples(routes), ErrorBody{}) {
		gather(reflect.TypeOf(v), map[reflect.Type]bool{}, types)
	}
	for name, of := range types {
		for _, t := range of {
			if d.names[t] = name; len(of) > 1 {
				d.names[t] = capital(path.Base(t.PkgPath())) + name
			}
		}
	}
	for t, name := range d.names {
		d.schemas[name] = d.object(t)
	}
	return d
}

func examples(routes []Route) (out []any) {
	for _, r := range routes {
		for _, v := range []any{r.in, r.out} {
			if v != nil {
				out = append(out, v)
			}
		}
	}
	return out
}

// gather finds the named structs within a type, by name.
func gather(t reflect.Type, seen map[reflect.Type]bool, types map[string][]reflect.Type) {
	if seen[t] || plain(t) != nil {
		return
	}
	seen[t] = true
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		gather(t.Elem(), seen, types)
	case reflect.Struct:
		name := capital(t.Name())
		known := false
		for _, have := range types[name] {
			known = known || have == t
		}
		if name != "" && !known {
			types[name] = append(types[name], t)
		}
		for f := range t.Fields() {
			gather(f.Type, seen, types)
		}
	}
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func (d *description) response(v any) map[string]any {
	if v == nil {
		return map[string]any{"description": "a file"}
	}
	return map[string]any{"description": "JSON", "content": d.content(v)}
}

func (d *description) content(v any) map[string]any {
	return map[string]any{"application/json": map[string]any{"schema": d.schema(reflect.TypeOf(v))}}
}

// plain returns the schema of a type that is written as one value, or nil.
func plain(t reflect.Type) map[string]any {
	switch {
	case t == reflect.TypeFor[time.Time]():
		return map[string]any{"type": "string", "format": "date-time"}
	case t == reflect.TypeFor[json.RawMessage]():
		return map[string]any{}
	case t.Kind() != reflect.Pointer && t.Implements(reflect.TypeFor[encoding.TextMarshaler]()):
		return map[string]any{"type": "string"}
	case t.Kind() != reflect.Pointer && t.Kind() != reflect.Struct && t.Implements(reflect.TypeFor[json.Marshaler]()):
		return map[string]any{}
	}
	return nil
}

// schema describes the JSON form of a Go type.
func (d *description) schema(t reflect.Type) map[string]any {
	if s := plain(t); s != nil {
		return s
	}
	switch t.Kind() {
	case reflect.Pointer:
		return d.schema(t.Elem())
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Float32, reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Slice, reflect.Array:
		return map[string]any{"type": "array", "items": d.schema(t.Elem())}
	case reflect.Struct:
		if name, ok := d.names[t]; ok {
			return map[string]any{"$ref": "#/components/schemas/" + name}
		}
		return d.object(t)
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": d.schema(t.Elem())}
	case reflect.Interface:
		return map[string]any{}
	}
	return map[string]any{"type": "integer"}
}

func (d *description) object(t reflect.Type) map[string]any {
	props, required := map[string]any{}, []string{}
	d.members(t, props, &required)
	return map[string]any{"type": "object", "properties": props, "required": required}
}

// members describes the members of a struct. One that may be left out is not
// required; a pointer that may not is null instead.
func (d *description) members(t reflect.Type, props map[string]any, required *[]string) {
	for f := range t.Fields() {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && name == "":
			d.members(f.Type, props, required)
		case f.IsExported() && name != "-":
			if name == "" {
				name = f.Name
			}
			schema := d.schema(f.Type)
			if words := f.Tag.Get("enum"); words != "" { // all the words that a text can be
				schema = map[string]any{"type": "string", "enum": strings.Split(words, ",")}
			}
			props[name] = schema
			if strings.Contains(options, "omit") {
				continue
			}
			*required = append(*required, name)
			if f.Type.Kind() == reflect.Pointer {
				props[name] = map[string]any{"anyOf": []any{props[name], map[string]any{"type": "null"}}}
			}
		}
	}
}
