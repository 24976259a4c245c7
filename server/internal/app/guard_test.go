package app

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"os"
	"slices"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

// faultyListener fails a few times before it hands out a connection.
type faultyListener struct {
	net.Listener
	errs []error
}

func (l *faultyListener) Accept() (net.Conn, error) {
	if len(l.errs) > 0 {
		err := l.errs[0]
		l.errs = l.errs[1:]
		return nil, &net.OpError{Op: "accept", Net: "tcp", Err: os.NewSyscallError("accept4", err)}
	}
	a, _ := net.Pipe()
	return a, nil
}

// One "too many open files" does not end the server: the listener waits, longer
// from time to time, and hands out the next connection. The HTTP server would give
// up for good on the first error it is told.
func TestAcceptGoesOnAfterErrors(t *testing.T) {
	t.Parallel()
	var waited []time.Duration
	l := &listener{Listener: &faultyListener{errs: []error{syscall.EMFILE, syscall.ENFILE, syscall.ECONNABORTED, syscall.ENOBUFS}},
		open: map[*conn]bool{}, log: slog.New(slog.DiscardHandler), pause: func(d time.Duration) { waited = append(waited, d) }}
	c, err := l.Accept()
	if err != nil {
		t.Fatalf("the listener gave up: %v", err)
	}
	c.Close()
	if want := []time.Duration{5e6, 10e6, 20e6, 40e6}; !slices.Equal(waited, want) {
		t.Errorf("waited %v, want %v", waited, want)
	}
	l.Listener = &faultyListener{errs: []error{net.ErrClosed}}
	if _, err := l.Accept(); !errors.Is(err, net.ErrClosed) {
		t.Errorf("a closed listener says %v, want that it is closed", err)
	}
}

// caller is the server's end of a connection from an address.
type caller struct {
	net.Conn
	from string
}

func (c caller) RemoteAddr() net.Addr { return &net.TCPAddr{IP: net.ParseIP(c.from), Port: 1} }

// calls hands out connections as they come.
type calls struct {
	net.Listener
	coming chan net.Conn
}

func (l calls) Accept() (net.Conn, error) { return <-l.coming, nil }

// When as many are connected as may be, whoever has been without an answer for some
// time gives up its place to who comes new, of the address that has the most: senders
// that hold all lines shut nobody out, and cost nobody else a line.
func TestSilentConnectionsGiveUpTheirPlace(t *testing.T) {
	t.Parallel()
	// Inside, the clock is that of testing/synctest: to sleep sets it and takes no time.
	synctest.Test(t, func(t *testing.T) {
		in := calls{coming: make(chan net.Conn)}
		var said bytes.Buffer
		l := &listener{Listener: in, most: 4, open: map[*conn]bool{}, log: slog.New(slog.NewTextHandler(&said, nil)), pause: time.Sleep}
		call := func(from string) (here, there net.Conn) {
			t.Helper()
			a, b := net.Pipe()
			go func() { in.coming <- caller{a, from} }()
			here, err := l.Accept()
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { here.Close(); b.Close() })
			return here, b
		}
		cut := func(there net.Conn) bool {
			_ = there.SetReadDeadline(time.Now().Add(time.Millisecond))
			_, err := there.Read(make([]byte, 1))
			return errors.Is(err, io.EOF)
		}
		_, other := call("2001:db8::1")
		var slow []net.Conn
		for range 3 {
			_, there := call("192.0.2.1")
			slow = append(slow, there)
			time.Sleep(100 * time.Millisecond)
		}
		began := time.Now()
		here, family := call("192.0.2.7")
		if waited := time.Since(began); waited > roomAfter || !cut(slow[0]) || cut(slow[1]) || cut(other) {
			t.Errorf("after %v the new one is in; cut off: %t, %t, other address %t; want the first slow one alone", waited, cut(slow[0]), cut(slow[1]), cut(other))
		}
		time.Sleep(3 * time.Second)
		go here.Write([]byte("an answer"))
		if _, err := io.ReadFull(family, make([]byte, 9)); err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		_, _ = call("192.0.2.8")
		_, _ = call("192.0.2.9")
		if !cut(slow[1]) || cut(family) {
			t.Errorf("slow one cut %t, the one just answered cut %t; want the slow one alone", cut(slow[1]), cut(family))
		}
		if n := strings.Count(said.String(), "gives up its place"); n != 1 || strings.Contains(said.String(), "192.0.2") {
			t.Errorf("the log says so %d times, want one line that names no address:\n%s", n, said.String())
		}
	})
}

// A server that does not answer itself three times running ends; one answer in
// between starts the count anew, and only answers are told to the service manager.
func TestWatchdogEndsASilentProcess(t *testing.T) {
	t.Parallel()
	silent := errors.New("no answer")
	answers := []error{nil, silent, silent, nil, silent, silent, silent}
	tick := make(chan time.Time, len(answers))
	for range answers {
		tick <- time.Time{}
	}
	var alive, at int
	var ended error
	w := watchdog{tick: tick, alive: func() { alive++ }, end: func(err error) { ended = err },
		probe: func() error { at++; return answers[at-1] }}
	w.run(context.Background())
	if !errors.Is(ended, silent) || alive != 2 || at != len(answers) {
		t.Errorf("ended with %v after %d probes and %d answers, want the silence after 7 and 2", ended, at, alive)
	}
}

// Somebody who takes the connection and says nothing is no answer; a server that
// is there is one.
func TestAskTellsSilenceFromAnAnswer(t *testing.T) {
	t.Parallel()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	if err := ask("http", ln.Addr().String(), "", 50*time.Millisecond); err == nil {
		t.Error("a listener that never answers counts as an answer")
	}
	a, err := New(Options{Addr: "127.0.0.1:0", DataDir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	if err := a.answers(); err != nil {
		t.Errorf("a server at work: %v", err)
	}
	if err := a.Stop(); err != nil {
		t.Fatal(err)
	}
	if err := ask("http", a.Addr(), "", time.Second); err == nil {
		t.Error("nobody at the address counts as an answer")
	}
}
