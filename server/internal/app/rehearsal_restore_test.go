package app_test

import (
	"path/filepath"
	"testing"

	"nightkeep/server/internal/store/scene"
)

// What was restored for a rehearsal is put into no practice's folder: serve would
// refuse it, and the practice would be down.
func TestNoRehearsalIsRestoredToAPractice(t *testing.T) {
	t.Parallel()
	tried, real := t.TempDir(), t.TempDir()
	file := scene.TwoFamilies(t)
	command(t, "restore", "-rehearsal", "-from", file, "-data", tried)
	command(t, "restore", "-from", file, "-data", real)
	restoredToNoPractice(t, filepath.Join(tried, "nightkeep.db"), real, "rehearsal")
}
