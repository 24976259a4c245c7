// Package demo holds the invented scenario that the demo plays: a practice, its
// staff and a dozen families. Nobody in it exists.
package demo

import "embed"

// Files holds practice.json and one file per wearer in wearers/.
//
//go:embed practice.json wearers/*.json
var Files embed.FS
