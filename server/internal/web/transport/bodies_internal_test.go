package transport

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/netip"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/store"
)

// line is a connection of which only the deadline is asked.
type line struct {
	net.Conn
	ended bool
}

func (l *line) SetReadDeadline(time.Time) error { l.ended = true; return nil }

// Room goes by address and in all. When it is short the body that has been coming
// for longest is cut off: of the same address first, else whoever it is; one that is
// whole is not.
func TestRoomForBodies(t *testing.T) {
	t.Parallel()
	b := newBodies(100, 40)
	begin := func(addr string) (*body, *line) { l := &line{}; return b.begin(addr, l), l }
	grow := func(what string, x *body, n int, want error) {
		t.Helper()
		if err := b.grow(x, n); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", what, err, want)
		}
	}
	one, oneLine := begin("a")
	two, twoLine := begin("a")
	grow("within the address's", one, 30, nil)
	grow("at the address's bound", two, 10, nil)
	grow("beyond the address's", two, 1, nil)
	if !oneLine.ended || twoLine.ended {
		t.Error("beyond the address's bound the older of its bodies goes, and no other")
	}
	grow("cut off", one, 1, errCrowded)
	alone, _ := begin("a")
	grow("at the bound, with an older one", alone, 40, nil) // which goes
	if !twoLine.ended {
		t.Error("the older one was kept")
	}
	grow("more than an address may have", alone, 1, errCrowded)
	for _, x := range []*body{one, two, alone} {
		b.end(x)
	}
	if b.held != 0 || len(b.of) != 0 || len(b.coming) != 0 {
		t.Fatalf("after all have ended %d bytes, %v, %d coming", b.held, b.of, len(b.coming))
	}
	done, doneLine := begin("1")
	grow("", done, 40, nil)
	b.whole(done)
	slow, slowLine := begin("2")
	grow("", slow, 30, nil)
	last, lastLine := begin("3")
	grow("at the bound of all", last, 30, nil)
	grow("beyond it", last, 1, nil)
	if doneLine.ended || !slowLine.ended || lastLine.ended {
		t.Error("the oldest that is still coming goes, not one that is whole, nor who has just begun")
	}
}

// 300 lines from thirty addresses that say 256 KiB each, send most of it and then
// nothing, hold no more than the bound together, whatever they have sent, and hold up
// nobody: a small body beside them is taken.
func TestSlowSendersShareOneBound(t *testing.T) {
	// Not parallel: it reads what the whole process keeps.
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	srv := New(db, &Site{Now: time.Now, Log: slog.New(slog.DiscardHandler), BaseURL: "http://x", TrustedProxies: []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}})
	app := srv.App(nil)
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = app.Listener(ln) }()
	t.Cleanup(func() { ln.Close() })
	send := func(from string, says int, body string) net.Conn {
		t.Helper()
		conn, err := net.Dial("tcp", ln.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { conn.Close() })
		_ = conn.SetDeadline(time.Now().Add(time.Minute))
		_, _ = fmt.Fprintf(conn, "POST /api/nowhere HTTP/1.1\r\nHost: x\r\nConnection: close\r\nX-Forwarded-For: %s\r\nContent-Length: %d\r\n\r\n%s", from, says, body)
		return conn // one that is cut off takes no more
	}
	const lines, says, sends = 300, maxBody, maxBody - 1000
	before := kept()
	text := strings.Repeat("x", sends)
	for n := range lines {
		send(fmt.Sprintf("192.0.2.%d", n%30), says, text)
	}
	srv.bodies.mu.Lock()
	held, coming := srv.bodies.held, len(srv.bodies.coming)
	srv.bodies.mu.Unlock()
	if held > bodiesInAll || coming == 0 {
		t.Errorf("%d bodies hold %d bytes, want some, and at most %d", coming, held, bodiesInAll)
	}
	// Beside the bodies each line has its buffers and its goroutine: 32 KiB are ample.
	if grown := kept() - before; grown > bodiesInAll+lines*32<<10 {
		t.Errorf("%d lines that sent %d MiB hold %d MiB, want at most %d", lines, lines*sends>>20, grown>>20, (bodiesInAll+lines*32<<10)>>20)
	}
	conn := send("198.51.100.7", 2, "{}")
	if raw, err := io.ReadAll(conn); err != nil || !strings.HasPrefix(string(raw), "HTTP/1.1 404 ") {
		t.Errorf("a small body beside them is answered %.60q, %v; want 404, as without them", raw, err)
	}
}

// kept is what of the memory is in use once nobody holds what could be freed.
func kept() int {
	runtime.GC()
	runtime.GC() // pools let go in the second
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int(m.HeapAlloc)
}
