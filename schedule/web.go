package schedule

import "embed"

// Web holds what the browser needs of this package, under the paths of the
// source tree.
//
//go:embed rules.json due.js civil/civil.js
var Web embed.FS
