//go:build !race

package app_test

// kills is how often [TestKillUnderLoad] kills the server.
const kills = 200
