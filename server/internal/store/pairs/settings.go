package pairs

import (
	"encoding/json"
	"fmt"
)

// Meta holds the settings of the practice and of the file by name.
var Meta = Table[json.RawMessage]{Name: "meta"}

// Setting reads a named JSON value of the practice into v. A missing name
// leaves v as it is.
func (tx *Tx) Setting(name string, v any) error {
	raw := tx.Get("meta", []byte(name))
	if raw == nil {
		return nil
	}
	if err := json.Unmarshal(raw, v); err != nil {
		tx.Quarantine("meta", []byte(name), err)
		return fmt.Errorf("%w: the setting %s: %w", ErrUnreadable, name, err)
	}
	return nil
}

// SetSetting stores a named JSON value.
func (tx *Tx) SetSetting(name string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return Meta.Put(tx, []byte(name), raw)
}
