package transport

import (
	"strings"
)

// OpenAPI returns the OpenAPI 3.1 description of routes.
func OpenAPI(routes []Route) map[string]any {
	paths, d := map[string]map[string]any{}, newDescription(routes)
	for _, r := range routes {
		path, params := openPath(r.path)
		if paths[path] == nil {
			paths[path] = map[string]any{}
		}
		op := map[string]any{
			"summary": r.doc, "x-who": r.who, "parameters": params,
			"responses": map[string]any{"200": d.response(r.out), "default": d.response(ErrorBody{})},
		}
		if r.in != nil {
			op["requestBody"] = map[string]any{"required": true, "content": d.content(r.in)}
		}
		paths[path][strings.ToLower(r.method)] = op
	}
	return map[string]any{
		"openapi":    "3.1.0",
		"info":       map[string]any{"title": "Nightkeep", "version": "1", "description": "Home monitoring for overnight orthokeratology. x-who names the class of callers a route is for."},
		"paths":      paths,
		"components": map[string]any{"schemas": d.schemas},
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
