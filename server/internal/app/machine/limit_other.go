//go:build !unix

package machine

// MostConnections is how many connections are taken at once; 0 is no limit.
func MostConnections() int { return 0 }
