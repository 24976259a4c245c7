package pairs

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"time"
)

// Sep parts the pieces of a key; ids never hold it.
const Sep = 0

// Key joins texts, numbers (8 bytes, big-endian) and instants (as numbers, Unix
// milliseconds) with [Sep].
func Key(parts ...any) []byte {
	k := make([]byte, 0, 64)
	for i, p := range parts {
		if i > 0 {
			k = append(k, Sep)
		}
		switch v := p.(type) {
		case string:
			k = append(k, v...)
		case uint64:
			k = binary.BigEndian.AppendUint64(k, v)
		case time.Time:
			k = binary.BigEndian.AppendUint64(k, uint64(v.UnixMilli()))
		default:
			panic("store: a key is made of texts, numbers and times")
		}
	}
	return k
}

// NumberOf reads the number at the end of a key of the log.
func NumberOf(k []byte) uint64 {
	if len(k) < 8 {
		return 0
	}
	return binary.BigEndian.Uint64(k[len(k)-8:])
}

// Quote is a text as JSON.
func Quote(s string) []byte {
	raw, err := json.Marshal(s)
	if err != nil {
		panic(err) // a string always marshals
	}
	return raw
}

// KeyParts takes a key apart by its form. Numbers come back as decimals. A key
// that does not fit gives nil.
func KeyParts(form string, k []byte) []string {
	var out []string
	for i, c := range form {
		if i > 0 {
			if len(k) == 0 || k[0] != Sep {
				return nil
			}
			k = k[1:]
		}
		n := len(k)
		switch {
		case c == 'n' && len(k) < 8:
			return nil
		case c == 'n':
			n = 8
			out = append(out, fmt.Sprint(binary.BigEndian.Uint64(k)))
		default:
			if at := bytes.IndexByte(k, Sep); at >= 0 && i < len(form)-1 {
				n = at
			}
			out = append(out, string(k[:n]))
		}
		k = k[n:]
	}
	if len(k) > 0 {
		return nil
	}
	return out
}
