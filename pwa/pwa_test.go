package pwa_test

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"io"
	"os"
	"path"
	"regexp"
	"strings"
	"sync"
	"testing"

	brotli "github.com/molecule-man/go-brrr"

	"nightkeep/pwa"
)

// built is the site as shipped, made once for all tests.
var built = sync.OnceValues(func() (*pwa.Site, error) {
	return pwa.New(false, false, os.DirFS("../alerts"), os.DirFS("../schedule"))
})

func site(t *testing.T) *pwa.Site {
	t.Helper()
	s, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func file(t *testing.T, s *pwa.Site, name string) pwa.File {
	t.Helper()
	f, ok := s.File(name)
	if !ok {
		t.Fatalf("the site has no file %q", name)
	}
	return f
}

var (
	ref    = regexp.MustCompile(`(?:src|href)="/([^"]*)"`)
	imp    = regexp.MustCompile(`(?:from|import)\s*\(?"(\.\.?/[^"]+)"`)
	hashed = regexp.MustCompile(`^v/[A-Z0-9]{8}/[a-z-]+\.(js|css)$`)
)

// reach returns every file that a page loads or may load later, by path.
func reach(t *testing.T, s *pwa.Site, page string) map[string]pwa.File {
	t.Helper()
	found := map[string]pwa.File{}
	var walk func(name string)
	walk = func(name string) {
		if _, seen := found[name]; seen {
			return
		}
		found[name] = file(t, s, name)
		if path.Ext(name) != ".js" {
			return
		}
		for _, m := range imp.FindAllSubmatch(found[name].Body, -1) {
			walk(path.Join(path.Dir(name), string(m[1])))
		}
	}
	for _, m := range ref.FindAllSubmatch(file(t, s, page).Body, -1) {
		walk(string(m[1]))
	}
	return found
}

func TestEveryReferenceOfAPageIsServed(t *testing.T) {
	t.Parallel()
	for _, page := range []string{"index.html", "clinic.html"} {
		scripts := 0
		for name, f := range reach(t, site(t), page) {
			if hashed.MatchString(name) {
				scripts++
				if f.CacheControl != "public, max-age=31536000, immutable" {
					t.Errorf("%s: Cache-Control %q, want immutable for a name made from the content", name, f.CacheControl)
				}
			} else if !strings.HasPrefix(name, "icons/") && name != "manifest.webmanifest" {
				t.Errorf("%s loads %s, whose name is not made from its content", page, name)
			}
		}
		if scripts < 2 {
			t.Errorf("%s loads %d hashed files, want a script and a style at least", page, scripts)
		}
	}
}

func TestPagesHoldNothingThePolicyBlocks(t *testing.T) {
	t.Parallel()
	inline := regexp.MustCompile(`<script>|<style|\sstyle=|\son[a-z]+=|https?://`)
	own := regexp.MustCompile(`(?s)<script>(.*?)</script>`)
	for _, page := range []string{"index.html", "clinic.html", "plain.html"} {
		f := file(t, site(t), page)
		if m := own.FindSubmatch(f.Body); m != nil {
			sum := sha256.Sum256(m[1])
			if want := "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; f.Inline != want {
				t.Errorf("%s: the policy would name %s, want %s", page, f.Inline, want)
			}
			f.Body = bytes.Replace(f.Body, m[0], nil, 1)
		}
		if m := inline.Find(f.Body); m != nil {
			t.Errorf("%s contains %q, which the content security policy blocks", page, m)
		}
	}
}

func TestTypesAndValidators(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, contentType string }{
		{"index.html", "text/html; charset=utf-8"},
		{"sw.js", "text/javascript; charset=utf-8"},
		{"manifest.webmanifest", "application/manifest+json"}, // W3C Web Application Manifest, media type registration
		{"icons/icon.svg", "image/svg+xml"},
		{"icons/icon-192.png", "image/png"},
	}
	for _, tt := range tests {
		f := file(t, site(t), tt.name)
		if f.ContentType != tt.contentType || f.CacheControl != "no-cache" || f.ETag == "" {
			t.Errorf("%s: type %q cache %q etag %q, want %q, no-cache and an etag", tt.name, f.ContentType, f.CacheControl, f.ETag, tt.contentType)
		}
	}
	if _, ok := site(t).File("../go.mod"); ok {
		t.Error("a path outside the site was served")
	}
}

func TestCompressedFormsHoldTheSameContent(t *testing.T) {
	t.Parallel()
	for name, f := range reach(t, site(t), "index.html") {
		if f.Brotli == nil {
			continue
		}
		plain, err := io.ReadAll(brotli.NewReader(bytes.NewReader(f.Brotli)))
		if err != nil || !bytes.Equal(plain, f.Body) {
			t.Errorf("%s: brotli form differs (%v)", name, err)
		}
		z, err := gzip.NewReader(bytes.NewReader(f.Gzip))
		if err != nil {
			t.Fatal(err)
		}
		if plain, err = io.ReadAll(z); err != nil || !bytes.Equal(plain, f.Body) {
			t.Errorf("%s: gzip form differs (%v)", name, err)
		}
	}
}

// static finds what a script imports before it runs.
var static = regexp.MustCompile(`(?:^|;|\})(?:import|export)(?:[^"'()]*\bfrom)?"(\.\./[^"]+)"`)

// The family app must start on a slow phone connection: 60 KB of script and
// style, compressed, is the project's own limit. Parts loaded on demand do not
// count.
func TestFirstVisitStaysSmall(t *testing.T) {
	t.Parallel()
	s, total, seen := site(t), 0, map[string]bool{}
	var add func(name string)
	add = func(name string) {
		if seen[name] {
			return
		}
		seen[name] = true
		f := file(t, s, name)
		total += len(f.Brotli)
		for _, m := range static.FindAllSubmatch(f.Body, -1) {
			add(path.Join(path.Dir(name), string(m[1])))
		}
	}
	for _, m := range ref.FindAllSubmatch(file(t, s, "index.html").Body, -1) {
		if hashed.Match(m[1]) {
			add(string(m[1]))
		}
	}
	t.Logf("script and style of the first visit: %d bytes in %d files", total, len(seen))
	if total == 0 || total > 60_000 {
		t.Errorf("script and style of the first visit are %d bytes in brotli, want 1 to 60,000", total)
	}
}

// What a script imports before it runs must not be found only once that script
// has come: a journey to the server takes 150 ms on a slow phone network.
func TestPagesNameEveryScriptTheyStartWith(t *testing.T) {
	t.Parallel()
	s := site(t)
	for _, page := range []string{"index.html", "clinic.html"} {
		html := string(file(t, s, page).Body)
		named := ref.FindAllStringSubmatch(html, -1)
		for _, m := range named {
			if path.Ext(m[1]) != ".js" {
				continue
			}
			for _, i := range static.FindAllSubmatch(file(t, s, m[1]).Body, -1) {
				if to := path.Join(path.Dir(m[1]), string(i[1])); !strings.Contains(html, `<link rel="modulepreload" href="/`+to+`">`) {
					t.Errorf("%s does not name %s, which %s needs", page, to, m[1])
				}
			}
		}
	}
}

// A part that only hands on what the page has already is a source that is both
// in the page and fetched later: the bundler puts such a source after the start
// that uses it, and the page stays blank (https://github.com/evanw/esbuild/issues/399).
func TestNothingOfAPageIsFetchedLaterToo(t *testing.T) {
	handsOn := regexp.MustCompile(`^import\{[^}]*\}from"[^"]*";export\{[^}]*\};\s*(//#.*\s*)?$`)
	s := site(t)
	for _, page := range []string{"index.html", "clinic.html"} {
		for name, f := range reach(t, s, page) {
			if path.Base(name) != "shared.js" && handsOn.Match(f.Body) {
				t.Errorf("%s: %s is part of the page and fetched later too: %s", page, name, f.Body)
			}
		}
	}
}

func TestServiceWorkerKeepsTheWholeFamilyApp(t *testing.T) {
	t.Parallel()
	s := site(t)
	head, _, _ := strings.Cut(string(file(t, s, "sw.js").Body), "\n")
	if !strings.Contains(head, s.Version()) {
		t.Errorf("sw.js does not carry the version %s", s.Version())
	}
	list := regexp.MustCompile(`PRECACHE=(\[.*\]);`).FindStringSubmatch(head)
	if list == nil {
		t.Fatal("sw.js names no files to keep")
	}
	var keep []string
	if err := json.Unmarshal([]byte(list[1]), &keep); err != nil {
		t.Fatal(err)
	}
	have := map[string]bool{}
	for _, p := range keep {
		have[p] = true
		name := strings.TrimPrefix(p, "/")
		if name == "" {
			name = "index.html"
		}
		file(t, s, name)
	}
	for name := range reach(t, s, "index.html") {
		if !have["/"+name] {
			t.Errorf("the service worker does not keep %s", name)
		}
	}
	if !have["/"] {
		t.Error("the service worker does not keep the page itself")
	}
}

// Whoever starts the server in the root of the source tree gets the same site:
// there the bundler finds on the disk what it shall only read from the program.
func TestTheFolderItIsStartedInDoesNotMatter(t *testing.T) {
	want := site(t).Version()
	t.Chdir("..")
	s, err := pwa.New(false, false, os.DirFS("alerts"), os.DirFS("schedule"))
	if err != nil {
		t.Fatal(err)
	}
	if s.Version() != want {
		t.Errorf("built in the root of the source tree the version is %s, want %s", s.Version(), want)
	}
}

func TestSameSourcesGiveTheSameVersion(t *testing.T) {
	t.Parallel()
	again, err := pwa.New(false, false, os.DirFS("../alerts"), os.DirFS("../schedule"))
	if err != nil {
		t.Fatal(err)
	}
	if again.Version() != site(t).Version() {
		t.Errorf("two builds of one source differ: %s and %s", again.Version(), site(t).Version())
	}
}

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		if _, err := pwa.New(false, false, os.DirFS("../alerts"), os.DirFS("../schedule")); err != nil {
			b.Fatal(err)
		}
	}
}
