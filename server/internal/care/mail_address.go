package care

import (
	"net/mail"
	"strings"
)

// MailAddress reports whether s is a mail address alone, of a domain that others can
// reach: one with a dot in it, each part of it with something (RFC 5321, 2.3.5 and
// 4.5.3.1: 254 characters at most with its brackets off).
func MailAddress(s string) bool {
	a, err := mail.ParseAddress(s)
	return err == nil && a.Address == s && len(s) <= 254 && ReachableDomain(s)
}

// ReachableDomain reports whether what stands after the last @ is a domain of two
// parts or more.
func ReachableDomain(address string) bool {
	parts := strings.Split(address[strings.LastIndexByte(address, '@')+1:], ".")
	for _, p := range parts {
		if p == "" || strings.HasPrefix(p, "-") || strings.HasSuffix(p, "-") {
			return false
		}
	}
	return len(parts) >= 2
}
