package bench

import (
	"errors"
	"fmt"
	"nightkeep/server/internal/web/transport"
	"os"
	"os/exec"
	"path"
	"regexp"
	"slices"
)

// phone is row group 9: what a phone has to fetch, and how long it waits.
func (r *run) phone() error {
	if err := r.bytesToFetch(); err != nil {
		return err
	}
	err := errors.New("there is no Chromium on this machine")
	if browser := findBrowser(); browser != "" {
		err = r.browse(browser)
	}
	if err == nil || r.ctx.Err() != nil {
		return err
	}
	if os.Getenv("CI") != "" { // there a missing figure is a failure
		return err
	}
	r.skip("9 phone: timings in a browser: %v", err)
	return nil
}

// pages are the two pages and what each is for.
var pages = []struct{ file, name string }{{"index.html", "the family's app"}, {"clinic.html", "the clinic's console"}}

// fileName finds content-hashed files in a page, a script or the list of the
// service worker.
var fileName = regexp.MustCompile(`v/[A-Za-z0-9_-]+/[A-Za-z0-9_./-]+\.[a-z0-9]+`)

// firstVisitLimit is the project's own limit for what the family's app fetches
// before it is usable: 60,000 bytes of script and style in brotli.
const firstVisitLimit = 60_000.0 / 1024 // KiB

// bytesToFetch adds up the files of each page as they are sent.
func (r *run) bytesToFetch() error {
	dir, err := r.folder("site")
	if err != nil {
		return err
	}
	prog, err := r.opt.Open(dir, clock)
	if err != nil {
		return err
	}
	defer prog.Close()
	for _, p := range pages {
		all := linked(prog.Server.Asset, p.file, reached)
		small, raw := weigh(prog.Server.Asset, all)
		r.inform(Row{Group: 9, Name: fmt.Sprintf("%s, all %d files, brotli", p.name, len(all)), Unit: "KiB", Ours: statOf([]float64{small}), Base: statOf([]float64{raw}), BaseName: "uncompressed"})
	}
	first := linked(prog.Server.Asset, "index.html", needed)[1:] // without the page itself
	small, _ := weigh(prog.Server.Asset, first)
	r.atMost(firstVisitLimit, Row{Group: 9, Name: fmt.Sprintf("the family's app, script and style of the first visit, %d files, brotli", len(first)), Unit: "KiB", Ours: statOf([]float64{small})})
	return nil
}

// weigh adds up files as they are sent and as they are, in KiB.
func weigh(asset func(string) (transport.Asset, bool), names []string) (sent, raw float64) {
	for _, name := range names {
		f, _ := asset(name)
		raw += float64(len(f.Body)) / 1024
		if f.Brotli != nil {
			sent += float64(len(f.Brotli)) / 1024
		} else {
			sent += float64(len(f.Body)) / 1024
		}
	}
	return sent, raw
}

// linked returns a file and every one that it or one of those names, as names
// finds them in a file.
func linked(asset func(string) (transport.Asset, bool), start string, names func(file, body string) []string) []string {
	found := []string{start}
	for i := 0; i < len(found); i++ {
		f, _ := asset(found[i])
		for _, name := range names(found[i], string(f.Body)) {
			if _, ok := asset(name); ok && !slices.Contains(found, name) {
				found = append(found, name)
			}
		}
	}
	return found
}

// relative finds files that a script names beside its own folder, and staticImport
// those of them that must be there before the script runs.
var (
	relative     = regexp.MustCompile(`"(\.\./[A-Z0-9]+/[a-z.-]+)"`)
	staticImport = regexp.MustCompile(`(?:^|;|\})(?:import|export)(?:[^"'()]*\bfrom)?"(\.\./[^"]+)"`)
)

// reached names all that a page or script can fetch.
func reached(file, body string) []string {
	return append(fileName.FindAllString(body, -1), beside(file, body, relative)...)
}

// needed names what a page or script cannot start without.
func needed(file, body string) []string {
	if path.Ext(file) == ".html" {
		return fileName.FindAllString(body, -1)
	}
	return beside(file, body, staticImport)
}

func beside(file, body string, pattern *regexp.Regexp) []string {
	var names []string
	for _, m := range pattern.FindAllStringSubmatch(body, -1) {
		names = append(names, path.Join(path.Dir(file), m[1]))
	}
	return names
}

func findBrowser() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	return ""
}
