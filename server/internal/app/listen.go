package app

import (
	"context"
	"crypto/tls"
	"errors"
	"log/slog"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/app/machine"
	"nightkeep/server/internal/web/transport"
)

// stopGrace is how long a request on its way may take once the server stops.
const stopGrace = 2 * time.Second

// How long the listener waits after an error before it takes the next
// connection: a little at first, and never so long that anybody would notice.
const acceptWait, acceptWaitMost = 5 * time.Millisecond, time.Second

// listener hands out connections and knows those that are open, so that
// stopping ends them: a browser connects ahead of need, and the HTTP server
// waits for the request on such a connection as if it were one on its way.
type listener struct {
	net.Listener
	mu   sync.Mutex
	open map[*conn]bool
	shut bool
	most int // connections at once; 0: no limit

	told  time.Time // when it last said that all places are taken
	log   *slog.Logger
	pause func(time.Duration) // between errors, and for room
}

// conn is an open connection; heard is whether anything has come over it.
type conn struct {
	net.Conn
	from  *listener
	addr  string // whose it is, as limits count it
	heard atomic.Bool
	since atomic.Pointer[time.Time] // when it began, or was last answered
}

// open opens the address, with TLS when the server speaks it itself.
func (a *App) open(addr string, secrets *tls.Config) (*listener, error) {
	ln, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, err
	}
	if secrets != nil {
		ln = tls.NewListener(ln, secrets)
	}
	return &listener{Listener: ln, most: machine.MostConnections(), open: map[*conn]bool{}, log: a.opt.Log, pause: time.Sleep}, nil
}

// Accept waits for the next connection. The HTTP server gives up for good on the
// first error, so what may pass, above all "too many open files", is waited for;
// only a listener that was closed ends it.
func (l *listener) Accept() (net.Conn, error) {
	raw, err := l.Listener.Accept()
	for wait := acceptWait; err != nil; wait = min(2*wait, acceptWaitMost) {
		if errors.Is(err, net.ErrClosed) {
			return nil, err
		}
		l.log.Error("cannot take a connection, will go on", "err", err, "again_in", wait.String())
		l.pause(wait)
		raw, err = l.Listener.Accept()
	}
	c := &conn{Conn: raw, from: l, addr: addressOf(raw)}
	c.answered()
	l.makeRoom()
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.shut {
		raw.Close()
		return nil, net.ErrClosed
	}
	l.open[c] = true
	return c, nil
}

// addressOf is the address that connections are counted by.
func addressOf(c net.Conn) string {
	host, _, err := net.SplitHostPort(c.RemoteAddr().String())
	if err != nil {
		return ""
	}
	return transport.Counted(host)
}

// When as many are connected as may be, whoever has been without an answer for
// longer than roomAfter gives up its place to who comes new: so long no request takes,
// and whoever sends slowly, or only holds the line, shuts nobody out. Both our choice.
const roomAfter, roomWait = 2 * time.Second, 50 * time.Millisecond

// saidEvery is how often at most the log says so; our choice.
const saidEvery = time.Minute

// makeRoom waits until one more may be connected.
func (l *listener) makeRoom() {
	for !l.hasRoom() {
		l.pause(roomWait)
	}
}

// hasRoom reports whether one more may be connected, and cuts one for it when it can:
// of the address that has the most, the one that has been without an answer longest.
func (l *listener) hasRoom() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.shut || l.most == 0 || len(l.open) < l.most {
		return true
	}
	of := map[string]int{}
	for c := range l.open {
		of[c.addr]++
	}
	var last *conn
	longest := roomAfter
	for c := range l.open {
		silent := time.Since(*c.since.Load())
		if silent < roomAfter {
			continue
		}
		if last == nil || of[c.addr] > of[last.addr] || of[c.addr] == of[last.addr] && silent > longest {
			last, longest = c, silent
		}
	}
	if last == nil {
		return false
	}
	delete(l.open, last)
	if time.Since(l.told) >= saidEvery {
		l.told = time.Now()
		l.log.Warn("as many are connected as may be: whoever has had no answer for a while gives up its place to who comes new", "connections", l.most)
	}
	raw := last.Conn
	if secret, ok := raw.(*tls.Conn); ok {
		raw = secret.NetConn() // which says no farewell that nobody takes
	}
	raw.Close()
	return true
}

// full reports whether as many are connected as may be.
func (l *listener) full() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.most > 0 && len(l.open) >= l.most
}

// Read reads and notes that something came.
func (c *conn) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if n > 0 {
		c.heard.Store(true)
	}
	return n, err
}

// Write writes and notes when.
func (c *conn) Write(b []byte) (int, error) {
	n, err := c.Conn.Write(b)
	c.answered()
	return n, err
}

func (c *conn) answered() {
	now := time.Now() // of the machine's steady clock, not of a rule
	c.since.Store(&now)
}

// The HTTP server sets deadlines between reading and writing and panics when it
// cannot. A connection that was cut meanwhile fails at the next write instead,
// which it knows how to take.

// SetDeadline sets both deadlines; on a closed connection it does nothing.
func (c *conn) SetDeadline(t time.Time) error { return unlessClosed(c.Conn.SetDeadline(t)) }

// SetReadDeadline is the same for reading.
func (c *conn) SetReadDeadline(t time.Time) error { return unlessClosed(c.Conn.SetReadDeadline(t)) }

// SetWriteDeadline is the same for writing.
func (c *conn) SetWriteDeadline(t time.Time) error { return unlessClosed(c.Conn.SetWriteDeadline(t)) }

func unlessClosed(err error) error {
	if errors.Is(err, net.ErrClosed) {
		return nil
	}
	return err
}

// Close closes the connection and forgets it.
func (c *conn) Close() error {
	c.from.mu.Lock()
	delete(c.from.open, c)
	c.from.mu.Unlock()
	return c.Conn.Close()
}

// Close stops taking connections; a second time it does nothing, since the HTTP
// server gives up its own stopping on an error here.
func (l *listener) Close() error {
	if err := l.Listener.Close(); !errors.Is(err, net.ErrClosed) {
		return err
	}
	return nil
}

// cut closes the connections over which nothing ever came, or all.
func (l *listener) cut(all bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.shut = true
	for c := range l.open {
		if all || !c.heard.Load() {
			c.Conn.Close()
			delete(l.open, c)
		}
	}
}

// shutDown stops taking connections, lets requests on their way be answered,
// and cuts what is left, so that nobody is connected when it returns.
func (l *listener) shutDown(srv *fiber.App) error {
	if err := l.Close(); err != nil {
		return err
	}
	l.cut(false)
	err := srv.ShutdownWithTimeout(stopGrace)
	l.cut(true)
	if errors.Is(err, context.DeadlineExceeded) {
		return nil // a slow client was cut off, which is what stopping means
	}
	return err
}
