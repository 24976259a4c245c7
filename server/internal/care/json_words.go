package care

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
)

// JSONWords says in plain words what encoding/json did not take, and what it would
// have; of an error that a type of ours returned it is the text of that.
func JSONWords(err error) string {
	var wrong *json.UnmarshalTypeError
	var form *json.SyntaxError
	switch {
	case err == nil:
		return ""
	case errors.As(err, &wrong):
		at := ""
		if wrong.Field != "" {
			at = wrong.Field + ": "
		}
		return fmt.Sprintf("%swrong type: found %s, want %s", at, strings.Replace(wrong.Value, "string", "text", 1), typeWords(wrong.Type))
	case errors.As(err, &form):
		return fmt.Sprintf("not valid JSON, at byte %d", form.Offset)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return "not valid JSON: it ends too early"
	}
	text := err.Error()
	if name, unknown := strings.CutPrefix(text, "json: unknown field "); unknown {
		return "there is no member " + name
	}
	if strings.HasPrefix(text, "json: ") || strings.HasPrefix(text, "jsontext: ") {
		return "not of the form it should have"
	}
	return text
}

// typeWords names a type for who does not write Go.
func typeWords(t reflect.Type) string {
	if t == nil {
		return "something else"
	}
	switch k := t.Kind(); k {
	case reflect.Pointer:
		return typeWords(t.Elem())
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice, reflect.Array:
		return "a list"
	case reflect.Float32, reflect.Float64:
		return "a number"
	case reflect.Struct, reflect.Map:
		return "an object"
	default:
		if k >= reflect.Int && k <= reflect.Uint64 {
			return "a whole number"
		}
		return "something else"
	}
}
