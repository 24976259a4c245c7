package pwa

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// target is the floor: the oldest browsers that scripts and styles are written
// for, here and nowhere else. The first Safari with Web Push for home-screen apps
// (16.4), the Chrome that was current then, and the first Firefox with the
// selector :has. test/floor.test.js looks up all that the sources use. An older
// browser is told so: see index.html.
var target = []api.Engine{{Name: api.EngineSafari, Version: "16.4"}, {Name: api.EngineChrome, Version: "111"}, {Name: api.EngineFirefox, Version: "121"}}

// page is an entry page with the script and style it loads.
type page struct {
	html, script, style string
	kept                bool // by the service worker, for use without a network
}

var pages = [...]page{
	{"index.html", "app/main.js", "styles/app.css", true},
	{"clinic.html", "clinic/start.js", "styles/clinic.css", false},
}

// build bundles every page, the service worker and the plain files.
func build(t *tree) (*Site, error) {
	s := &Site{files: map[string]File{}}
	var precache []string
	for _, p := range pages {
		out, err := bundle(t, p)
		if err != nil {
			return nil, err
		}
		out.skipStub(p.script)
		if p.kept {
			if err := out.classic(p.script); err != nil {
				return nil, err
			}
			s.first = append(s.first, out.entry[p.script], out.entry[p.style])
		}
		for name, body := range out.files {
			s.files[name] = File{CacheControl: immutable, Body: body}
			if p.kept && path.Ext(name) != ".map" {
				precache = append(precache, "/"+name)
			}
		}
		html, err := t.read("pwa/" + p.html)
		if err != nil {
			return nil, err
		}
		html = link(html, func(ref string) string {
			if to, ok := out.entry[ref]; ok {
				return "/" + to
			}
			return "/" + ref
		})
		if p.kept {
			html = bytes.Replace(html, []byte(`<script type="module"`), []byte(`<script defer`), 1)
		}
		s.files[p.html] = File{CacheControl: revalidate, Inline: inline(html), Body: preload(html, out.needs(out.entry[p.script]))}
	}
	plain, err := s.addPlain(t)
	if err != nil {
		return nil, err
	}
	return s, s.finish(t, append(precache, plain...))
}

var inlineScript = regexp.MustCompile(`(?s)<script>(.*?)</script>`)

// inline is the hash of the script that stands in a page (Content Security Policy
// level 3, 8.3): it finds out whether the browser can run the others, so it must
// be readable for every browser and come with the page.
func inline(html []byte) string {
	m := inlineScript.FindSubmatch(html)
	if m == nil {
		return ""
	}
	sum := sha256.Sum256(m[1])
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// bundled is what one page's build made.
type bundled struct {
	files map[string][]byte // by path under the site's root
	entry map[string]string // source path in pwa/ to path under the site's root
	graph graph             // of the script
}

// graph is what the bundler says of its work, of which this is read (esbuild's
// metafile): who imports whom, by path.
type graph struct {
	Inputs, Outputs map[string]struct {
		Imports []struct{ Path, Kind string }
	}
}

// needs returns every script that one needs before it runs, without itself.
func (b bundled) needs(name string) []string {
	var found []string
	for at := []string{name}; len(at) > 0; at = at[1:] {
		for _, m := range b.graph.Outputs[at[0]].Imports {
			if m.Kind == "import-statement" && !slices.Contains(found, m.Path) {
				found, at = append(found, m.Path), append(at, m.Path)
			}
		}
	}
	return found
}

// stub is an entry that does nothing but import one part.
var stub = regexp.MustCompile(`^import"\.\./([^"]+)";\s*(?://# sourceMappingURL=\S+\s*)?$`)

// skipStub lets a page load the one part that its entry only imports.
func (b *bundled) skipStub(src string) {
	name := b.entry[src]
	if m := stub.FindSubmatch(b.files[name]); m != nil {
		delete(b.files, name)
		delete(b.files, name+".map")
		b.entry[src] = "v/" + string(m[1])
	}
}

// preload names scripts in the head of a page, so that a browser fetches them
// all at once: found one in the other, each step would cost a journey to the
// server.
func preload(html []byte, names []string) []byte {
	var links strings.Builder
	for _, name := range names {
		fmt.Fprintf(&links, "<link rel=\"modulepreload\" href=\"/%s\">\n", name)
	}
	return bytes.Replace(html, []byte("</head>"), []byte(links.String()+"</head>"), 1)
}

func bundle(t *tree, p page) (bundled, error) {
	b := bundled{files: map[string][]byte{}, entry: map[string]string{}}
	for _, src := range []string{p.script, p.style} {
		o, err := options(t, src)
		if err != nil {
			return b, err
		}
		res := api.Build(o)
		if err := buildError(src, res.Errors); err != nil {
			return b, err
		}
		if src == p.script {
			if err := json.Unmarshal([]byte(res.Metafile), &b.graph); err != nil {
				return b, fmt.Errorf("bundle %s: %w", src, err)
			}
		}
		for _, f := range res.OutputFiles {
			name := strings.TrimPrefix(f.Path, "/")
			b.files[name] = f.Contents
			if strings.HasSuffix(name, "/entry-"+path.Base(src)) {
				b.entry[src] = name
			}
		}
		if b.entry[src] == "" {
			return b, fmt.Errorf("bundle %s: the build made no entry file", src)
		}
	}
	return b, nil
}

func options(t *tree, src string) (api.BuildOptions, error) {
	o := api.BuildOptions{
		EntryPoints: []string{"pwa/" + src}, Bundle: true, Write: false, Outdir: "/", AbsWorkingDir: "/",
		Splitting: true, Format: api.FormatESModule, Engines: target, Charset: api.CharsetUTF8, Metafile: true,
		LegalComments: api.LegalCommentsNone, EntryNames: "v/[hash]/entry-[name]", ChunkNames: "v/[hash]/part",
		Plugins: []api.Plugin{plugin(t, "", nil)}, LogLevel: api.LogLevelSilent,
	}
	if strings.HasSuffix(src, "/main.js") || strings.HasSuffix(src, "/start.js") {
		root := "pwa/" + src
		later, err := fetchedLater(o)
		if err != nil {
			return o, err
		}
		o.Plugins = []api.Plugin{plugin(t, root, later)}
	}
	o.MinifyWhitespace, o.MinifyIdentifiers, o.MinifySyntax, o.Sourcemap = true, true, true, api.SourceMapLinked
	return o, nil
}

// plugin lets the bundler read the tree instead of a disk. With a root, every
// script that is fetched later says that it needs the root, which is there by
// then: so all that the root needs is one file, and not one for each set of
// later scripts that shares a piece of it. Each file costs a phone some 10 ms.
func plugin(t *tree, root string, later map[string]bool) api.Plugin {
	const space = "tree"
	return api.Plugin{Name: space, Setup: func(b api.PluginBuild) {
		b.OnResolve(api.OnResolveOptions{Filter: "."}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			// The bundler writes "./" before an entry that it finds on the disk, which
			// is so for whoever starts the program in the source tree: without this
			// the root would be two files there, and the app would run twice.
			name := path.Clean(a.Path)
			if a.Kind != api.ResolveEntryPoint && name != root {
				name = path.Join(path.Dir(a.Importer), a.Path)
			}
			r := api.OnResolveResult{Path: name, Namespace: space}
			if name == texts && path.Base(a.Importer) == "cards.js" {
				r.Suffix = cardsOnly
			}
			return r, nil
		})
		b.OnLoad(api.OnLoadOptions{Filter: ".", Namespace: space}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
			body, err := t.script(a.Path)
			if err == nil {
				body, err = trim(a.Path, a.Suffix, body)
			}
			if err != nil {
				return api.OnLoadResult{}, err
			}
			text := string(body)
			if later[a.Path] {
				text += fmt.Sprintf("\nimport %q;\n", root)
			}
			return api.OnLoadResult{Contents: &text, Loader: loader(a.Path)}, nil
		})
	}}
}

// fetchedLater returns the paths of the scripts that a root, or whatever it
// needs, fetches when it is asked for. It is asked for beforehand: the bundler
// works on many files at once, and which of two importers of a script it meets
// first differs from build to build.
func fetchedLater(o api.BuildOptions) (map[string]bool, error) {
	res := api.Build(o)
	if err := buildError(o.EntryPoints[0], res.Errors); err != nil {
		return nil, err
	}
	var g graph
	if err := json.Unmarshal([]byte(res.Metafile), &g); err != nil {
		return nil, fmt.Errorf("bundle %s: %w", o.EntryPoints[0], err)
	}
	later := map[string]bool{}
	for _, in := range g.Inputs {
		for _, m := range in.Imports {
			if m.Kind == "dynamic-import" {
				later[strings.TrimPrefix(m.Path, "tree:")] = true
			}
		}
	}
	return later, nil
}

func loader(name string) api.Loader {
	switch path.Ext(name) {
	case ".css":
		return api.LoaderCSS
	case ".json":
		return api.LoaderJSON
	}
	return api.LoaderJS
}

func buildError(src string, list []api.Message) error {
	if len(list) == 0 {
		return nil
	}
	errs := make([]error, 0, len(list))
	for _, m := range list {
		where := src
		if m.Location != nil {
			where = fmt.Sprintf("%s:%d", m.Location.File, m.Location.Line)
		}
		errs = append(errs, fmt.Errorf("bundle %s: %s", where, m.Text))
	}
	return errors.Join(errs...)
}

// worker bundles the service worker as a plain script, which every browser with
// service workers takes, with the version and the list of files it keeps.
func worker(t *tree, version string, precache []string) ([]byte, error) {
	o, err := options(t, "sw.js")
	if err != nil {
		return nil, err
	}
	o.Splitting, o.Format, o.Sourcemap = false, api.FormatIIFE, api.SourceMapNone
	res := api.Build(o)
	if err := buildError("sw.js", res.Errors); err != nil {
		return nil, err
	}
	head := fmt.Sprintf("self.NIGHTKEEP_VERSION=%q;self.NIGHTKEEP_PRECACHE=[\"%s\"];\n", version, strings.Join(precache, `","`))
	return append([]byte(head), res.OutputFiles[0].Contents...), nil
}

var localRef = regexp.MustCompile(`((?:src|href)=")([a-z][^":]*)(")`)

// link rewrites the relative references of a page.
func link(html []byte, to func(ref string) string) []byte {
	return localRef.ReplaceAllFunc(html, func(m []byte) []byte {
		part := localRef.FindSubmatch(m)
		return []byte(string(part[1]) + to(string(part[2])) + string(part[3]))
	})
}

// addPlain adds the files that are served as they are and returns the paths of
// those the service worker keeps.
func (s *Site) addPlain(t *tree) ([]string, error) {
	names := []string{"manifest.webmanifest"}
	icons, err := fs.ReadDir(t.mounts["pwa"], "icons")
	if err != nil {
		return nil, err
	}
	for _, e := range icons {
		names = append(names, "icons/"+e.Name())
	}
	body, err := t.read("pwa/plain.html")
	if err != nil {
		return nil, err
	}
	s.files["plain.html"] = File{CacheControl: revalidate, Body: body} // a browser that needs it keeps nothing
	keep := []string{"/"}
	for _, name := range names {
		body, err := t.read("pwa/" + name)
		if err != nil {
			return nil, err
		}
		s.files[name] = File{CacheControl: revalidate, Body: body}
		keep = append(keep, "/"+name)
	}
	return keep, nil
}
