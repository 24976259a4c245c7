package interop_test

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"nightkeep/server/internal/interop"
)

// No text of ours makes a spreadsheet calculate: whatever begins, after what a
// program may trim, with a sign that starts a formula (OWASP, CSV injection), in
// any width, is marked as text; anything else stands as it was written.
func TestNoCellIsAFormula(t *testing.T) {
	t.Parallel()
	for text, marked := range map[string]bool{
		"=1+1": true, "+1": true, "-1": true, "@SUM(A1)": true, "\t=1": true, "\v=1": true, "  =1+1": true, "\u00a0=1": true, "\u200b=1": true, "\ufeff=1": true,
		"＝1+1": true, "＋1": true, "－1": true, "＠SUM": true, "\u3000＝1": true, "|cmd": true, "%1": true,
		"W-0007": false, "Ann = Ben": false, "": false, " W": false, "王小明": false,
	} {
		var out bytes.Buffer
		if err := interop.RecallsCSV(&out, []interop.RecallRow{{Code: text}}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(out.String(), "\ufeff"))).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%q: %d rows, %v", text, len(rows), err)
		}
		want := text
		if marked {
			want = "'" + text
		}
		if got := rows[1][0]; got != want {
			t.Errorf("%q is written as %q, want %q", text, got, want)
		}
	}
}
