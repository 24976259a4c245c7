package bench

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// The table of figures stands between these two lines of a page.
const (
	pageBegins = "<!-- figures: go run ./server/bench -page server/FIGURES.md RUN.json ... -->\n"
	pageEnds   = "<!-- end of figures -->\n"
)

// Page puts the table of some runs into a page, in the place of the one that is
// there: for each figure the median of the runs, and the least and the most of them.
// A figure with a baseline is a ratio to it. A page without a place for the table, or
// no run, is an error.
func Page(page string, runs []Report) (string, error) {
	before, rest, ok := strings.Cut(page, pageBegins)
	_, after, ended := strings.Cut(rest, pageEnds)
	if !ok || !ended {
		return "", errors.New("the page has no place for figures")
	}
	if len(runs) == 0 {
		return "", errors.New("want the JSON of one run or more")
	}
	var b strings.Builder
	b.WriteString("| figure | median of the runs (least to most) | target | |\n|---|---|---|---|\n")
	for _, r := range runs[0].Rows {
		same := sameFigure(runs, r)
		met := 0
		for _, x := range same {
			if x.Met {
				met++
			}
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", titleOf(r), figureOf(same), r.Target, verdictOf(r.Target, met, len(same)))
	}
	return before + pageBegins + b.String() + pageEnds + after, nil
}

// sameFigure returns a figure as each run has it.
func sameFigure(runs []Report, r Row) (out []Row) {
	for _, run := range runs {
		i := slices.IndexFunc(run.Rows, func(x Row) bool { return x.Group == r.Group && x.Name == r.Name && x.BaseName == r.BaseName })
		if i >= 0 {
			out = append(out, run.Rows[i])
		}
	}
	return out
}

func titleOf(r Row) string {
	if r.Ratio == 0 {
		return r.Name
	}
	return r.Name + ", beside: " + r.BaseName
}

// figureOf is a ratio, or a value with its unit, as [Row] prints it.
func figureOf(same []Row) string {
	var list []float64
	for _, r := range same {
		list = append(list, cmp.Or(r.Ratio, r.Ours.Median))
	}
	s := statOf(list)
	unit, values := "", ""
	if same[0].Ratio == 0 {
		unit = " " + same[0].Unit
	} else {
		ours := statOf(mediansOf(same))
		values = "; " + short(ours.Median) + " " + same[0].Unit
	}
	if short(s.Min) == short(s.Max) {
		return short(s.Median) + unit + values
	}
	return fmt.Sprintf("%s%s (%s to %s)%s", short(s.Median), unit, short(s.Min), short(s.Max), values)
}

func mediansOf(same []Row) (out []float64) {
	for _, r := range same {
		out = append(out, r.Ours.Median)
	}
	return out
}

func verdictOf(target string, met, of int) string {
	switch {
	case target == "none":
		return ""
	case met == of:
		return "met"
	case met == 0:
		return "**missed**"
	}
	return fmt.Sprintf("met in %d of %d", met, of)
}
