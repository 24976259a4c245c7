package alerts

import (
	_ "embed"
	"encoding/json"
	"sync"
)

//go:embed languages.json
var languagesJSON []byte

// Language is a row of the languages that families read, in the order in which
// they are offered. Its words stand in the folder of its tag in pwa/app/text.
type Language struct {
	Tag    string `json:"tag"`    // BCP 47, as phones and families keep it
	Name   string `json:"name"`   // in itself
	Locale string `json:"locale"` // BCP 47, by which dates, numbers and plurals are formed
	Dir    string `json:"dir"`    // ltr or rtl; "spaced" false, read by the app alone: no spaces between words
	// Draft says that nobody but the demo offers it yet.
	Draft bool `json:"draft"`
}

// Languages returns every language, drafts too. Nobody may write to it.
var Languages = sync.OnceValue(func() (list []Language) {
	if err := json.Unmarshal(languagesJSON, &list); err != nil {
		panic("languages.json: " + err.Error()) // embedded, and read by a test
	}
	return list
})
