//go:build race

package remind_test

// families is how many are simulated; 160 hold every zone with every clock.
const families = 160
