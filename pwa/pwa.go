// Package pwa holds the browser's half of Nightkeep and serves it from memory.
// It owns the sources (family app, clinic console, service worker, styles,
// icons), bundles them when the server starts, and names each result by its
// content. It refuses to know anything of routes or of the domain.
//
// Invariant: a path under v/ never changes its content, so a browser may keep
// it for ever; every other path is checked with the server by its ETag.
package pwa

import (
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strings"
)

//go:embed index.html clinic.html plain.html sw.js manifest.webmanifest app clinic ui styles icons vendor
var source embed.FS

// Quantities is the table of every clinical number the console takes: unit,
// step, the range that is possible and the one that is usual, each with its
// source, and which field of a visit or a plan holds which. The console's form
// and the server's check read this one file.
//
//go:embed clinic/quantities.json
var Quantities []byte

// How long a browser may keep a file: for a year when its name holds its
// content, else until the next request, which asks by ETag.
const (
	immutable  = "public, max-age=31536000, immutable"
	revalidate = "no-cache"
)

// File is one file as it is sent. Brotli and Gzip are nil where compression
// does not pay. Nobody may write to the slices.
type File struct {
	ContentType, CacheControl, ETag string
	// Inline names the one script that a page holds itself, as a content security
	// policy allows it; empty for none.
	Inline             string
	Body, Brotli, Gzip []byte
}

// Site is everything a browser can fetch apart from the API.
type Site struct {
	files   map[string]File
	encoded map[string]func() File // the same with type, tag and compressed forms
	first   []string               // what a first visit waits for
	version string
	raw     *tree // set in dev: modules are served as they are written
}

// File returns the file at a path without leading slash, e.g. "index.html" or
// "v/ABC/main.js", and false when there is none.
func (s *Site) File(name string) (File, bool) {
	if f, ok := s.encoded[name]; ok {
		return f(), true
	}
	if s.raw != nil {
		return s.rawFile(name)
	}
	return File{}, false
}

// Version names the content of the whole site: it changes when any file does.
func (s *Site) Version() string { return s.version }

// New bundles the site. alerts and schedule are the browser's part of those two
// packages, mounted beside pwa/ as in the source tree, so that an import means
// the same to the browser, to Node and to the type checker.
//
// With dev set nothing is bundled: the sources are read from the working
// directory, which must be the root of the source tree, at each request. With
// drafts set the languages that are drafts are offered too, as they are in dev.
func New(dev, drafts bool, alerts, schedule fs.FS) (*Site, error) {
	if dev {
		return newDev(), nil
	}
	t := &tree{mounts: map[string]fs.FS{"pwa": source, "alerts": alerts, "schedule": schedule}, drafts: drafts}
	return build(t)
}

// tree is the source tree as the bundler sees it: "pwa/app/main.js",
// "alerts/rules.json".
type tree struct {
	mounts map[string]fs.FS
	drafts bool // languages that are drafts are offered too
}

func (t *tree) read(name string) ([]byte, error) {
	mount, rest, _ := strings.Cut(path.Clean(name), "/")
	fsys := t.mounts[mount]
	if fsys == nil {
		return nil, fmt.Errorf("%s: %w", name, fs.ErrNotExist)
	}
	return fs.ReadFile(fsys, rest)
}

func newDev() *Site {
	t := &tree{mounts: map[string]fs.FS{}}
	for _, dir := range []string{"pwa", "alerts", "schedule"} {
		t.mounts[dir] = os.DirFS(dir)
	}
	return &Site{raw: t, version: "dev"}
}

// rawFile answers from the source tree. v/dev/ mirrors the tree; the pages name
// their script and style relative to pwa/.
func (s *Site) rawFile(name string) (File, bool) {
	src := "pwa/" + name
	if rest, ok := strings.CutPrefix(name, "v/dev/"); ok {
		src = rest
	}
	body, err := s.raw.read(src)
	if err != nil {
		return File{}, false
	}
	switch path.Ext(name) {
	case ".html":
		body = link(body, func(ref string) string { return "/v/dev/pwa/" + ref })
	case ".js":
		if name == "sw.js" { // no cache of its own while developing
			body = []byte("self.addEventListener('install', () => self.skipWaiting());\n")
		}
	}
	return File{ContentType: contentType(name), CacheControl: "no-store", Inline: inline(body), ETag: `"` + digest(body) + `"`, Body: body}, true
}
