package app

import "context"

// runBench is the place of the benchmark command.
func runBench(context.Context, []string, IO) error {
	return UsageError{"bench is not built yet; the hot parts have Go benchmarks: go test -bench . ./schedule ./alerts ./server/internal/..."}
}
