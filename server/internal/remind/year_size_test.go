//go:build !race

package remind_test

// families is how many are simulated; fewer under the race detector, where a
// year takes ten times as long and each shard is one goroutine anyway.
const families = 1000
