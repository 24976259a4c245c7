package log

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// ShownReceived turns what was received of a family into words: the ids of a
// block, or how far each device has been heard.
func ShownReceived(n uint64, v []byte) json.RawMessage {
	var out any
	if head, err := readReceived(v); n == headKey && err == nil {
		tops := map[care.DeviceID]uint64{}
		for _, h := range head.watermarks {
			tops[h.device] = h.top
		}
		out = tops
	} else if n != headKey {
		ids := []string{}
		for id := range slices.Chunk(v, len(rawID{})) {
			if len(id) == len(rawID{}) && rawID(id) != (rawID{}) {
				ids = append(ids, rawID(id).String())
			}
		}
		out = ids
	}
	raw, err := json.Marshal(out)
	if err != nil {
		panic(err) // texts and numbers always marshal
	}
	return raw
}

// Readable turns a stored value into JSON: an entry loses the checksum before
// it, a number of 8 bytes becomes a number, an index value becomes null.
func Readable(v []byte) json.RawMessage {
	switch {
	case json.Valid(v):
		return slices.Clone(v)
	case len(v) > checksumBytes && json.Valid(v[checksumBytes:]):
		return slices.Clone(v[checksumBytes:])
	case len(v) == 8:
		return json.RawMessage(fmt.Sprint(binary.BigEndian.Uint64(v)))
	case bytes.IndexByte(v, pairs.Sep) >= 0 || len(v) == 0:
		return json.RawMessage("null")
	}
	return pairs.Quote(string(v))
}

// ShownNight turns the record of a night into the numbers of its entries.
func ShownNight(v []byte) json.RawMessage {
	if night, err := readNight(v); err == nil {
		if raw, err := json.Marshal(night.seqs); err == nil {
			return raw
		}
	}
	return json.RawMessage("null")
}
