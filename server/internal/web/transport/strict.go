package transport

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// strict refuses a body that two readers may read differently: one that holds
// anything after its value, or an object that names a member twice, in whatever
// letter case, because encoding/json takes the last of them (RFC 8259, 4).
func strict(body []byte) error {
	dec := json.NewDecoder(strings.NewReader(string(body)))
	if err := strictValue(dec); err != nil {
		return err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return errors.New("something stands after the value")
	}
	return nil
}

func strictValue(dec *json.Decoder) error {
	t, err := dec.Token()
	if err != nil {
		return err
	}
	open, ok := t.(json.Delim)
	if !ok {
		return nil
	}
	seen := map[string]bool{}
	for dec.More() {
		if open == '{' {
			name, err := dec.Token()
			if err != nil {
				return err
			}
			key := strings.ToLower(fmt.Sprint(name))
			if seen[key] {
				return fmt.Errorf("%q stands twice", name)
			}
			seen[key] = true
		}
		if err := strictValue(dec); err != nil {
			return err
		}
	}
	_, err = dec.Token()
	return err
}
