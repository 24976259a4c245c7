package pwa

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
)

// languages is the list of languages, a row each.
const languages = "alerts/languages.json"

// rows returns the languages that the site offers: drafts only with drafts set.
func (t *tree) rows() (list []map[string]any, err error) {
	body, err := t.read(languages)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(body, &list); err != nil {
		return nil, fmt.Errorf("%s: %w", languages, err)
	}
	return slices.DeleteFunc(list, func(r map[string]any) bool { return r["draft"] == true && !t.drafts }), nil
}

// byLanguage is an import of a file from the folder of a language, which the
// browser can follow as it stands, and a bundler cannot.
var byLanguage = regexp.MustCompile("\\bimport\\(`([^`$]*)\\$\\{(\\w+)\\}(/[\\w.-]+)`\\)")

// script reads a source. An import by language becomes a list of the files that
// there are, so that a language is its folder and its row and nothing else; the
// list of languages leaves out drafts that nobody asked for.
func (t *tree) script(name string) ([]byte, error) {
	body, err := t.read(name)
	if err != nil || name != languages && !byLanguage.Match(body) {
		return body, err
	}
	list, err := t.rows()
	if err != nil {
		return nil, err
	}
	if name == languages {
		return json.Marshal(list)
	}
	return byLanguage.ReplaceAllFunc(body, func(m []byte) []byte {
		part := byLanguage.FindSubmatch(m)
		var found strings.Builder
		for _, r := range list {
			file := fmt.Sprintf("%s%s%s", part[1], r["tag"], part[3])
			if bytes.Contains(body, []byte("from '"+file+"'")) {
				continue // it is there from the start: fetched as well, it would be a script of its own
			}
			if _, err := t.read(path.Join(path.Dir(name), file)); err == nil {
				fmt.Fprintf(&found, "%q: () => import('%s'), ", r["tag"], file)
			}
		}
		return fmt.Appendf(nil, "({%s}[%s] ?? (() => Promise.reject(new Error('no such language'))))()", found.String(), part[2])
	}), nil
}
