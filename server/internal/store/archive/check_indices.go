package archive

import (
	"slices"

	"nightkeep/server/internal/store/pairs"
)

// checkIndices holds every index against what it lists, both ways: a live alert
// that no list holds is one that nobody sees, and a list that holds one there is
// none of cannot be read.
func (tx *Tx) checkIndices() []error {
	pairs.ReadAll(tx.p, pairs.Meta)
	pairs.ReadAll(tx.p, tombstones)
	pairs.ReadAll(tx.p, leaving)
	pairs.ReadAll(tx.p, leavingPairs)
	return slices.Concat(tx.register.Check(), tx.access.Check(), tx.chart.Check(), tx.duty.Check(), tx.log.CheckReceived())
}
