package push_test

import (
	"net/http"
	"testing"

	"nightkeep/server/internal/push"
	"nightkeep/server/internal/push/pushtest"
)

func TestCheckEndpoint(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, endpoint string
		ok             bool
	}{
		{"a push service", "https://push.example.com/send/abc?x=1", true},
		{"port said", "https://push.example.com:443/send/abc", true},
		{"plain http", "http://push.example.com/send/abc", false},
		{"other port", "https://push.example.com:6379/", false},
		{"no host", "https:///send", false},
		{"opaque", "https:push.example.com", false},
		{"empty", "", false},
		{"file", "file:///etc/passwd", false},
		{"user name hides the host", "https://push.example.com@10.0.0.1/", false},
		{"fragment", "https://push.example.com/#x", false},
		{"loopback", "https://127.0.0.1/", false},
		{"loopback in short", "https://127.1/", false},
		{"loopback as one number", "https://2130706433/", false},
		{"loopback in hex", "https://0x7f.0.0.1/", false},
		{"IPv6 loopback", "https://[::1]/", false},
		{"IPv4 in IPv6", "https://[::ffff:127.0.0.1]/", false},
		{"public address, still not a name", "https://93.184.215.14/", false},
		{"localhost", "https://localhost/", false},
		{"localhost with dot", "https://localhost./", false},
		{"below localhost", "https://a.localhost/", false},
		{"cloud metadata", "https://169.254.169.254/latest", false},
		{"cloud metadata by name", "https://metadata.google.internal/", false},
		{"mDNS", "https://printer.local/", false},
		{"home network", "https://router.home.arpa/", false},
		{"single label", "https://intranet/", false},
		{"backslash", `https://push.example.com\@10.0.0.1/`, false},
		{"line break", "https://push.example.com/a\r\nX: y", false},
		{"letters of another script", "https://pusһ.example.com/", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if err := push.CheckEndpoint(c.endpoint); (err == nil) != c.ok {
				t.Errorf("CheckEndpoint(%q) = %v, want ok %v", c.endpoint, err, c.ok)
			}
		})
	}
}

// The addresses are from the IANA special-purpose address registries.
func TestDialOnlyPublicAddresses(t *testing.T) {
	t.Parallel()
	s := newSender(t)
	s.AllowPrivate = false
	for _, c := range []struct {
		name, addr string
		ok         bool
	}{
		{"public IPv4", "93.184.215.14:443", true},
		{"public IPv6", "[2606:4700:4700::1111]:443", true},
		{"other port", "93.184.215.14:80", false},
		{"this network", "0.0.0.0:443", false},
		{"loopback", "127.0.0.1:443", false},
		{"loopback, other number", "127.8.9.10:443", false},
		{"private 10", "10.1.2.3:443", false},
		{"private 172.16", "172.31.255.255:443", false},
		{"beside private 172.16", "172.32.0.1:443", true},
		{"private 192.168", "192.168.1.1:443", false},
		{"link-local, cloud metadata", "169.254.169.254:443", false},
		{"carrier NAT", "100.64.0.1:443", false},
		{"protocol assignments", "192.0.0.8:443", false},
		{"documentation", "192.0.2.1:443", false},
		{"benchmarking", "198.19.0.1:443", false},
		{"multicast", "224.0.0.1:443", false},
		{"reserved", "240.0.0.1:443", false},
		{"broadcast", "255.255.255.255:443", false},
		{"IPv6 unspecified", "[::]:443", false},
		{"IPv6 loopback", "[::1]:443", false},
		{"IPv4-mapped private", "[::ffff:10.0.0.1]:443", false},
		{"IPv4-mapped public", "[::ffff:93.184.215.14]:443", true},
		{"NAT64 of a private address", "[64:ff9b::a00:1]:443", false},
		{"6to4 of a private address", "[2002:a00:1::]:443", false},
		{"Teredo", "[2001::1]:443", false},
		{"IPv6 documentation", "[2001:db8::1]:443", false},
		{"unique local", "[fd00::1]:443", false},
		{"IPv6 link-local", "[fe80::1%eth0]:443", false},
		{"IPv6 multicast", "[ff02::1]:443", false},
		{"no address", "push.example.com:443", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if err := s.CheckDial(c.addr); (err == nil) != c.ok {
				t.Errorf("dial %s: %v, want ok %v", c.addr, err, c.ok)
			}
		})
	}
}

func TestClientDoesNotConnectInwards(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	for _, c := range []struct {
		name  string
		allow bool
	}{{"guarded", false}, {"for tests", true}} {
		t.Run(c.name, func(t *testing.T) {
			s := newSender(t)
			s.AllowPrivate = c.allow
			reply, err := s.Client.Get(svc.URL)
			if err == nil {
				reply.Body.Close()
			}
			if (err == nil) != c.allow {
				t.Errorf("connect to this machine: %v, want it possible: %v", err, c.allow)
			}
		})
	}
}

func TestClientFollowsNoRedirect(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	s := newSender(t)
	sub := subscribe(svc, "a")
	other := subscribe(svc, "b")
	svc.Script("a", pushtest.Answer{Status: http.StatusTemporaryRedirect, Location: other.Endpoint})
	if got := s.Send(t.Context(), sub, push.Message{Payload: []byte("x")}); got.Result != push.Refused {
		t.Errorf("redirect: %v, want refused", got.Result)
	}
	if got := len(svc.Received()); got != 0 {
		t.Errorf("the redirect was followed: %d messages taken", got)
	}
}
