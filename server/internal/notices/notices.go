// Package notices holds the licences of what the program is made of beside our own
// source: the modules built into it, Go's own library, and what is sent to
// browsers. The text is made by this package's test (go test ./server/internal/notices
// -update), which fails when it does not fit what is built.
package notices

import _ "embed"

//go:embed notices.txt
var text string

// Text returns every notice, as plain text in UTF-8.
func Text() string { return text }
