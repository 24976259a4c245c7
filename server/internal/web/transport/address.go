package transport

import (
	"net/netip"
	"strings"

	"github.com/gofiber/fiber/v2"
)

// ClientAddr returns the address a request came from. A forwarded address is
// believed only from a proxy the practice has named, and then the last one in
// the list that is not itself such a proxy: what stands before it anybody could
// have written.
func (c *Call) ClientAddr() string { return c.Srv.clientAddr(c.Ctx) }

func (s *Server) clientAddr(c *fiber.Ctx) string {
	peer, err := netip.ParseAddr(c.IP())
	if err != nil || !s.trusted(peer) {
		return c.IP()
	}
	var list []string // several lines are one list (RFC 9110, 5.3)
	for _, line := range c.Request().Header.PeekAll(fiber.HeaderXForwardedFor) {
		list = append(list, strings.Split(string(line), ",")...)
	}
	for i := len(list) - 1; i >= 0; i-- {
		a, err := forwarded(strings.TrimSpace(list[i]))
		if err != nil {
			break
		}
		if !s.trusted(a) {
			return a.Unmap().String()
		}
	}
	return c.IP()
}

// forwarded reads an address that a proxy has written, with a port or without.
func forwarded(text string) (netip.Addr, error) {
	if at, err := netip.ParseAddrPort(text); err == nil {
		return at.Addr(), nil
	}
	return netip.ParseAddr(strings.Trim(text, "[]"))
}

func (s *Server) trusted(a netip.Addr) bool {
	for _, p := range s.TrustedProxies {
		if p.Contains(a.Unmap()) {
			return true
		}
	}
	return false
}

// Counted is what an address is Counted by: all of an IPv4 address, and the
// first 64 bits of an IPv6 address, because one household or one rented machine
// has at least that many (RFC 6177, RFC 4291 section 2.5.4).
func Counted(addr string) string {
	a, err := netip.ParseAddr(addr)
	if err != nil || a.Unmap().Is4() {
		return addr
	}
	p, err := a.WithZone("").Prefix(64)
	if err != nil {
		return addr
	}
	return p.String()
}
