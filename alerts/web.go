package alerts

import "embed"

// Web holds the files that the browser's half is bundled from.
//
//go:embed rules.json texts.json languages.json evaluate.js contribute.js
var Web embed.FS

//go:embed rules.json
var rulesJSON []byte

//go:embed texts.json
var textsJSON []byte
