//go:build !unix

package app

// mostConnections is how many connections are taken at once; 0 is no limit.
func mostConnections() int { return 0 }
