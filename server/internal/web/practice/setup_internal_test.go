package practice

import (
	"os"
	"regexp"
	"slices"
	"testing"

	"nightkeep/server/internal/watch"
)

// Whatever can be missing belongs to exactly one step of setting up, so that
// none is forgotten there: every word the list of what is not set can say.
func TestEveryWordHasAStep(t *testing.T) {
	t.Parallel()
	source, err := os.ReadFile("../ready/ready.go")
	if err != nil {
		t.Fatal(err)
	}
	words := watch.Words()
	for _, m := range regexp.MustCompile(`say\(.*?, "([a-z]+)", "`).FindAllSubmatch(source, -1) {
		words = append(words, string(m[1]))
	}
	if len(words) < 20 {
		t.Errorf("only %v were found", words)
	}
	for _, w := range words {
		if w == "duty" { // the rota's gaps say more
			continue
		}
		n := 0
		for _, step := range steps {
			if slices.Contains(step.words, w) {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%q belongs to %d steps", w, n)
		}
	}
}
