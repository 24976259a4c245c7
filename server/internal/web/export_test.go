package web

import "time"

// NewLimit returns the count of tries of a new limiter of one minute.
func NewLimit(most int) func(key string, now time.Time) bool {
	return newLimiter(most, time.Minute).allow
}
