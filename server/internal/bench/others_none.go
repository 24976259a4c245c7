//go:build !compare

package bench

import "context"

// carriesOthers reports whether this build carries other databases.
const carriesOthers = false

func openOthers(context.Context, Options, string) ([]*other, error) { return nil, errNoOthers }
