package machine

import "testing"

// A few hundred files stay free of connections, whatever the limit is.
func TestConnectionsLeaveFilesForTheStore(t *testing.T) {
	t.Parallel()
	for files, want := range map[uint64]int{1: 1, 64: 32, 256: 128, 1024: 768, 20_256: 20_000, 1 << 40: 20_000} {
		if got := connectionsOf(files); got != want {
			t.Errorf("%d files allow %d connections, want %d", files, got, want)
		}
	}
}
