package web_test

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/valyala/fasthttp/fasthttputil"

	"nightkeep/server/internal/store"
)

// hardened complains of a reply without the headers OWASP ASVS 4.0 asks for in
// 14.4 and, for data, in 8.2.1.
func hardened(t *testing.T, what string, h http.Header, api bool) {
	t.Helper()
	for name, part := range map[string]string{
		"Content-Security-Policy": "default-src 'none'", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
		"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Permissions-Policy": "camera=()",
	} {
		if !strings.Contains(h.Get(name), part) {
			t.Errorf("%s: %s is %q, want %q in it", what, name, h.Get(name), part)
		}
	}
	for _, part := range []string{"require-trusted-types-for 'script'", "frame-ancestors 'none'", "base-uri 'none'"} {
		if !strings.Contains(h.Get("Content-Security-Policy"), part) {
			t.Errorf("%s: the policy lacks %q", what, part)
		}
	}
	if api && h.Get("Cache-Control") != "no-store" {
		t.Errorf("%s: Cache-Control %q, want no-store", what, h.Get("Cache-Control"))
	}
}

// Every answer of every route carries the headers, whoever asks and however it
// ends, and no cache keeps what the interface says.
func TestEveryAnswerIsHardened(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	answers := 0
	for _, r := range s.srv.App().GetRoutes(true) {
		path := strings.NewReplacer(":id", "w1", ":secret", "x", ":who", "parent", "*", "x").Replace(r.Path)
		for _, token := range []string{"", "family", "clinician", "admin"} {
			req := httptest.NewRequest(r.Method, path, strings.NewReader(`{}`))
			req.Header.Set("Content-Type", "application/json")
			req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: token})
			req.AddCookie(&http.Cookie{Name: "nightkeep_staff", Value: token})
			res := s.do(req)
			res.Body.Close()
			answers++
			hardened(t, r.Method+" "+path+" as "+token, res.Header, strings.HasPrefix(path, "/api/"))
		}
	}
	if answers < 300 {
		t.Errorf("only %d answers looked at", answers)
	}
	res := s.do(httptest.NewRequest("GET", "/nothing", nil))
	res.Body.Close()
	hardened(t, "a page there is none of", res.Header, true)
}

// A family's log is sent compressed to who takes it (RFC 9110, 8.4 and 12.5.3),
// and is the same to who does not; what is small is sent as it is.
func TestLargeRepliesArePacked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	entries := make([]string, 50) // as many as a request takes
	for i := range entries {
		entries[i] = entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d}`, i+1, i+1))
	}
	if status, body := s.call("POST", "/api/sync", "family", syncBody(entries...)); status != http.StatusOK {
		t.Fatalf("sync: %d %s", status, body)
	}
	ask := func(path, body, accept string) (http.Header, []byte) {
		req := httptest.NewRequest("POST", path, strings.NewReader(body))
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Accept-Encoding", accept)
		req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: "family"})
		res := s.do(req)
		defer res.Body.Close()
		raw, err := io.ReadAll(res.Body)
		if err != nil || res.StatusCode != http.StatusOK {
			t.Fatalf("%s: %d %v %s", path, res.StatusCode, err, raw)
		}
		return res.Header, raw
	}
	h, plain := ask("/api/sync", syncBody(), "identity")
	if h.Get("Content-Encoding") != "" || !json.Valid(plain) || strings.Count(string(plain), `"insertion"`) != len(entries) {
		t.Fatalf("who takes no gzip received %q, %.100s", h.Get("Content-Encoding"), plain)
	}
	if h.Get("Vary") != "Accept-Encoding" {
		t.Errorf("Vary is %q", h.Get("Vary"))
	}
	h, packed := ask("/api/sync", syncBody(), "gzip, br")
	if h.Get("Content-Encoding") != "gzip" || h.Get("Vary") != "Accept-Encoding" || h.Get("Cache-Control") != "no-store" {
		t.Fatalf("who takes gzip received %v", h)
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := io.ReadAll(z); err != nil || string(got) != string(plain) {
		t.Errorf("unpacked it is not the same: %v", err)
	}
	var at struct {
		Epoch  string `json:"epoch"`
		Cursor uint64 `json:"cursor"`
	}
	if err := json.Unmarshal(plain, &at); err != nil {
		t.Fatal(err)
	}
	upToDate := fmt.Sprintf(`{"epoch":%q,"cursor":%d,"entries":[]}`, at.Epoch, at.Cursor)
	if h, small := ask("/api/sync", upToDate, "gzip"); h.Get("Content-Encoding") != "" || !json.Valid(small) {
		t.Errorf("a small reply came as %q", h.Get("Content-Encoding"))
	}
}

// What is no request is answered with the headers too, and with nothing of
// what was sent, which may have been somebody's cookie.
func TestUnreadableRequests(t *testing.T) {
	t.Parallel()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return simNow })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	ln := fasthttputil.NewInmemoryListener()
	t.Cleanup(func() { ln.Close() })
	go func() { _ = testServer(db).App().Listener(ln) }()
	for what, tc := range map[string]struct {
		raw    string
		status int
	}{
		"an unheard method":  {"SECRETLY /api/family HTTP/1.1\r\nHost: x\r\n\r\n", 400},
		"no request line":    {"secret-cookie\r\n\r\n", 400},
		"a head of 20 KiB":   {"GET / HTTP/1.1\r\nHost: x\r\nCookie: " + strings.Repeat("secret-cookie", 1600) + "\r\n\r\n", 431},
		"a body of 9 MiB":    {"POST /api/join HTTP/1.1\r\nHost: x\r\nContent-Length: 9437184\r\n\r\nsecret-cookie", 413},
		"a length of no use": {"POST /api/join HTTP/1.1\r\nHost: x\r\nContent-Length: secret-cookie\r\n\r\n", 400},
	} {
		conn, err := ln.Dial()
		if err != nil {
			t.Fatal(err)
		}
		go func() { _, _ = io.WriteString(conn, tc.raw) }()
		res, body := answerOf(t, conn)
		conn.Close()
		if res.StatusCode != tc.status || strings.Contains(body, "secret") {
			t.Errorf("%s: %s %s; want %d and nothing of what was sent", what, res.Status, body, tc.status)
		}
		hardened(t, what, res.Header, true)
	}
}

// A compressed body is refused unread: 200 KB of it can unpack to 200 MB.
func TestPackedBodyIsRefused(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(`{"code":"CODE","device_name":"Phone","consent":"2"}`)); err != nil {
		t.Fatal(err)
	}
	z.Close()
	req := httptest.NewRequest("POST", "/api/join", &b)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Content-Encoding", "gzip")
	res := s.do(req)
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != 422 || !bytes.Contains(raw, []byte("bad-encoding")) {
		t.Errorf("answered %d %s, %v; want 422 bad-encoding", res.StatusCode, raw, err)
	}
	s.says("POST", "/api/join", "", `{"code":"CODE","device_name":"Phone","consent":"2"}`, 200, "") // it is not used up
}

// Behind TLS a cookie is bound to this host (RFC 6265bis, 4.1.3.2): the prefix,
// Secure, the path / and no domain, also when it is taken away; one without the
// prefix, which a neighbouring site could have planted, opens nothing.
func TestCookiesBehindTLS(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.srv.Secure = true
	send := func(method, path, cookie, body string) *http.Response {
		req := httptest.NewRequest(method, path, strings.NewReader(body))
		req.Header.Set("Content-Type", "application/json")
		if cookie != "" {
			req.Header.Set("Cookie", cookie)
		}
		res := s.do(req)
		res.Body.Close()
		return res
	}
	bound := func(res *http.Response, name string, kept bool) string {
		t.Helper()
		if len(res.Cookies()) != 1 {
			t.Fatalf("%s with %d cookies, want one", res.Status, len(res.Cookies()))
		}
		c := res.Cookies()[0]
		lasts := c.MaxAge > 0 || c.Expires.After(time.Now())
		if c.Name != name || !c.Secure || !c.HttpOnly || c.Path != "/" || c.Domain != "" || c.SameSite != http.SameSiteLaxMode || lasts != kept {
			t.Errorf("the cookie is %s, want %s bound to this host, kept %v", c.Raw, name, kept)
		}
		return c.Name + "=" + c.Value
	}
	res := send("POST", "/api/join", "", `{"code":"CODE","device_name":"Phone","consent":"2"}`)
	held := bound(res, "__Host-nightkeep_device", true)
	if hsts := res.Header.Get("Strict-Transport-Security"); !strings.HasPrefix(hsts, "max-age=31536000") {
		t.Errorf("HSTS %q, want a year", hsts)
	}
	for cookie, want := range map[string]int{held: 200, strings.TrimPrefix(held, "__Host-"): 401} {
		if res := send("GET", "/api/family", cookie, ""); res.StatusCode != want {
			t.Errorf("with %.25s…: %d, want %d", cookie, res.StatusCode, want)
		}
	}
	bound(send("POST", "/api/clinic/sign-out", "__Host-nightkeep_staff=clinician", "{}"), "__Host-nightkeep_staff", false)
}

// The addresses of one household count together: its 64 bits (RFC 4291,
// 2.5.4) hold more addresses than anybody could count.
func TestNeighbouringAddressesCountTogether(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		from func(i int) string
		want int
	}{
		"one household": {func(i int) string { return fmt.Sprintf("2001:db8:0:1::%x", i) }, 429},
		"several":       {func(i int) string { return fmt.Sprintf("2001:db8:0:%x::1", i) }, 422},
	} {
		s := newSite(t)
		s.srv.TrustedProxies = all
		last := 0
		for i := range 11 {
			req := httptest.NewRequest("POST", "/api/join", strings.NewReader(`{"code":"guess","device_name":"x","consent":"2"}`))
			req.Header.Set("Content-Type", "application/json")
			req.Header.Set("X-Forwarded-For", tc.from(i+1))
			res := s.do(req)
			res.Body.Close()
			last = res.StatusCode
		}
		if last != tc.want {
			t.Errorf("%s: the 11th try got %d, want %d", name, last, tc.want)
		}
	}
}

func answerOf(t *testing.T, conn io.Reader) (*http.Response, string) {
	t.Helper()
	res, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res, string(raw)
}
