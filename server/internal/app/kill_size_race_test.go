//go:build race

package app_test

// kills is how often [TestKillUnderLoad] kills the server: fewer with the race
// detector, under which a server starts slowly.
const kills = 40
