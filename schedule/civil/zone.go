package civil

import (
	"sync"
	"time"
)

// zones keeps what LoadLocation read: it opens a file at every call.
var zones sync.Map // name to *time.Location

// LoadZone is [time.LoadLocation], remembered. The few hundred zones there are
// bound what it keeps; a name that does not exist is not kept.
func LoadZone(name string) (*time.Location, error) {
	if loc, ok := zones.Load(name); ok {
		return loc.(*time.Location), nil
	}
	loc, err := time.LoadLocation(name)
	if err == nil {
		zones.Store(name, loc)
	}
	return loc, err
}
