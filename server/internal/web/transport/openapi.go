package transport

import (
	"encoding/json"
	"reflect"
	"strings"
	"time"
)

// OpenAPI returns the OpenAPI 3.1 description of routes.
func OpenAPI(routes []Route) map[string]any {
	paths := map[string]map[string]any{}
	for _, r := range routes {
		path, params := openPath(r.path)
		if paths[path] == nil {
			paths[path] = map[string]any{}
		}
		op := map[string]any{
			"summary": r.doc, "x-who": r.who, "parameters": params,
			"responses": map[string]any{"200": response(r.out), "default": response(ErrorBody{})},
		}
		if r.in != nil {
			op["requestBody"] = map[string]any{"required": true, "content": content(r.in)}
		}
		paths[path][strings.ToLower(r.method)] = op
	}
	return map[string]any{
		"openapi": "3.1.0",
		"info":    map[string]any{"title": "Nightkeep", "version": "1", "description": "Home monitoring for overnight orthokeratology. x-who names the class of callers a route is for."},
		"paths":   paths,
	}
}

// openPath turns :name and * of the router into {name} and {path}.
func openPath(path string) (string, []any) {
	params := []any{}
	parts := strings.Split(path, "/")
	for i, p := range parts {
		name := strings.TrimPrefix(p, ":")
		if p == "*" {
			name = "path"
		}
		if p == "*" || name != p {
			parts[i] = "{" + name + "}"
			params = append(params, map[string]any{"name": name, "in": "path", "required": true, "schema": map[string]any{"type": "string"}})
		}
	}
	return strings.Join(parts, "/"), params
}

func response(v any) map[string]any {
	if v == nil {
		return map[string]any{"description": "a file"}
	}
	return map[string]any{"description": "JSON", "content": content(v)}
}

func content(v any) map[string]any {
	return map[string]any{"application/json": map[string]any{"schema": schemaOf(reflect.TypeOf(v), 0)}}
}

// schemaOf describes the JSON form of a Go type, as far as 6 levels deep.
func schemaOf(t reflect.Type, depth int) map[string]any {
	switch {
	case t == reflect.TypeFor[time.Time]():
		return map[string]any{"type": "string", "format": "date-time"}
	case t == reflect.TypeFor[json.RawMessage]() || depth > 6:
		return map[string]any{}
	case t.Implements(reflect.TypeFor[interface{ MarshalText() ([]byte, error) }]()):
		return map[string]any{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return schemaOf(t.Elem(), depth)
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Float32, reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Slice, reflect.Array:
		return map[string]any{"type": "array", "items": schemaOf(t.Elem(), depth+1)}
	case reflect.Struct:
		return map[string]any{"type": "object", "properties": properties(t, depth)}
	case reflect.Map, reflect.Interface:
		return map[string]any{"type": "object"}
	}
	return map[string]any{"type": "integer"}
}

func properties(t reflect.Type, depth int) map[string]any {
	props := map[string]any{}
	for f := range t.Fields() {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && name == "":
			for k, v := range properties(f.Type, depth) {
				props[k] = v
			}
		case f.IsExported() && name != "-":
			if name == "" {
				name = f.Name
			}
			props[name] = schemaOf(f.Type, depth+1)
		}
	}
	return props
}
