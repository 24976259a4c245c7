package log

import "testing"

// What a damaged record of a night holds is an error, however short it is or whatever
// length its head claims, and never the end of the program.
func TestACutRecordOfANightIsAnError(t *testing.T) {
	t.Parallel()
	whole := nightRecord{family: "f1", seqs: []uint64{1, 300, 70_000}}
	raw := whole.bytes()
	if got, err := readNight(raw); err != nil || got.family != whole.family || len(got.seqs) != 3 {
		t.Fatalf("the whole record: %+v, %v", got, err)
	}
	for n := range len(raw) {
		if got, err := readNight(raw[:n]); err == nil {
			t.Errorf("%d of %d bytes are read as %+v", n, len(raw), got)
		}
	}
	for _, bad := range [][]byte{{raw[0], 255, 0}, {raw[0], 1, 'f'}, {raw[0], 0, 200}} {
		if got, err := readNight(bad); err == nil {
			t.Errorf("%v is read as %+v", bad, got)
		}
		if rest, n, err := recordEntries(bad); err == nil {
			t.Errorf("%v holds %d entries, in %v", bad, n, rest)
		}
	}
}
