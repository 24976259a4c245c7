package pwa

import (
	"bytes"
	"fmt"
	"path"
	"regexp"
	"strings"
)

// lastExport is how the bundler ends a script that others import from.
var lastExport = regexp.MustCompile(`export\{([^{}]*)\};\s*(//# sourceMappingURL=\S+)?\s*$`)

// classic turns the entry of a page, a module that its later parts import from,
// into a plain script, and gives the parts a module that hands on what the
// script left for them. Chromium compiles a plain script completely when a
// service worker keeps it, and then never again; a module it compiles at each
// of the first starts, piece by piece, which is a seventh of a start.
//
// Names stay true to their content: everything here follows from what the
// bundler has hashed, and the names differ from those of the module form.
func (b *bundled) classic(src string) error {
	name := b.entry[src]
	body := b.files[name]
	m := lastExport.FindSubmatchIndex(body)
	if m == nil || len(b.needs(name)) > 0 {
		return fmt.Errorf("bundle %s: want one script that imports nothing and ends with its exports", src)
	}
	var left, take []string
	for pair := range strings.SplitSeq(string(body[m[2]:m[3]]), ",") {
		from, to, ok := strings.Cut(pair, " as ")
		if !ok {
			to = from
		}
		left, take = append(left, to+":"+from), append(take, to)
	}
	dir := path.Dir(name)
	script, parts := dir+"/app.js", dir+"/shared.js"
	var out bytes.Buffer
	out.WriteString("\"use strict\";(()=>{\n")
	out.Write(body[:m[0]])
	fmt.Fprintf(&out, "globalThis.nightkeep={%s}})();\n//# sourceMappingURL=app.js.map\n", strings.Join(left, ","))
	all := strings.Join(take, ",")
	delete(b.files, name)
	for at, part := range b.files {
		b.files[at] = bytes.ReplaceAll(part, []byte(`"../`+path.Base(dir)+`/`+path.Base(name)+`"`), []byte(`"../`+path.Base(dir)+`/shared.js"`))
	}
	b.files[script] = out.Bytes()
	b.files[parts] = fmt.Appendf(nil, "const{%s}=globalThis.nightkeep;export{%s};\n", all, all)
	// One line more stands before what the map describes.
	b.files[script+".map"] = bytes.Replace(b.files[name+".map"], []byte(`"mappings": "`), []byte(`"mappings": ";`), 1)
	delete(b.files, name+".map")
	b.entry[src] = script
	return nil
}
