package app_test

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"nightkeep/server/internal/app"
)

// A request that is on its way when the program is told to stop is still
// answered; nothing new is taken, and the data file is free for the next
// program.
func TestStopAnswersWhatIsOnItsWay(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	opt := app.Options{Addr: "127.0.0.1:0", DataDir: dir, Dev: true, Log: slog.New(slog.DiscardHandler)}
	a, err := app.New(opt)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	a.StartWorkers()
	addr := strings.TrimPrefix(a.URL(), "http://")
	conn, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	read := bufio.NewReader(conn)
	const body = `{"code":"nobody","device_name":"x","consent":"2"}`
	fmt.Fprintf(conn, "POST /api/join HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\nConnection: close\r\nExpect: 100-continue\r\n\r\n", addr, len(body))
	for range 2 { // "100 Continue" and an empty line: the request is being read
		if _, err := read.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	stopped := make(chan error, 1)
	go func() { stopped <- a.Stop() }()
	for { // until the port is shut
		probe, err := net.Dial("tcp", addr)
		if err != nil {
			break
		}
		probe.Close()
	}
	fmt.Fprint(conn, body)
	res, err := http.ReadResponse(read, nil)
	if err != nil {
		t.Fatalf("the request on its way was not answered: %v", err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("answered %s, want 422 for a code that nobody has", res.Status)
	}
	if err := <-stopped; err != nil {
		t.Fatal(err)
	}
	again, err := app.New(opt)
	if err != nil {
		t.Fatalf("the data file is not free: %v", err)
	}
	if err := again.DB.Close(); err != nil {
		t.Error(err)
	}
}

// Connections that a browser opens ahead of need end with the listening, and at
// once: nothing has come over them, so there is nothing to answer. So does one
// that was answered and kept open, and one that never ends its request.
func TestStopListeningCutsEveryConnection(t *testing.T) {
	t.Parallel()
	a, err := app.New(app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Dev: true, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := a.Stop(); err != nil {
			t.Error(err)
		}
	})
	for round := range 2 { // the same port again
		if err := a.Listen(); err != nil {
			t.Fatal(err)
		}
		addr := strings.TrimPrefix(a.URL(), "http://")
		dial := func(send string) net.Conn {
			conn, err := net.Dial("tcp", addr)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { conn.Close() })
			fmt.Fprint(conn, send)
			return conn
		}
		open := map[string]net.Conn{"opened ahead": dial(""), "opened ahead, too": dial("")}
		answered := dial("GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n")
		if res, err := http.ReadResponse(bufio.NewReader(answered), nil); err != nil {
			t.Fatal(err)
		} else if _, err := io.Copy(io.Discard, res.Body); err != nil {
			t.Fatal(err)
		}
		open["answered and kept"] = answered
		if round == 1 { // takes the whole grace
			open["never ending"] = dial("POST /api/join HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\n{")
		}
		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		for name, conn := range open {
			// What was closed before StopListening returned ends a read at once.
			if err := conn.SetReadDeadline(time.Now().Add(time.Minute)); err != nil {
				t.Fatal(err)
			}
			if _, err := io.Copy(io.Discard, conn); errors.Is(err, os.ErrDeadlineExceeded) {
				t.Errorf("round %d: %s: still open", round, name)
			}
		}
		if conn, err := net.Dial("tcp", addr); err == nil {
			conn.Close()
			t.Errorf("round %d: the port still answers", round)
		}
	}
}

// The HTTP server panics when it cannot set a deadline, which took the whole
// program down when a connection was cut between reading and answering.
func TestCutConnectionFailsAtTheWrite(t *testing.T) {
	t.Parallel()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	client, err := net.Dial("tcp", ln.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer client.Close()
	c, err := app.AcceptAndCut(ln)
	if err != nil {
		t.Fatal(err)
	}
	later := time.Now().Add(time.Minute)
	if err := errors.Join(c.SetDeadline(later), c.SetReadDeadline(later), c.SetWriteDeadline(later)); err != nil {
		t.Errorf("deadlines of a cut connection: %v", err)
	}
	if _, err := c.Write([]byte("answer")); !errors.Is(err, net.ErrClosed) {
		t.Errorf("writing to a cut connection: %v, want %v", err, net.ErrClosed)
	}
}

// A data file that does not close any more, as one that was cut short under the server,
// holds up the end of the process for 15 s at most, in words; one that closes holds up
// nothing.
func TestServingEndsThoughTheFileDoesNotClose(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		began, closed := time.Now(), make(chan bool)
		err := app.WithinStop(func() error { <-closed; return nil })
		if err == nil || !strings.Contains(err.Error(), "does not close") || time.Since(began) > 15*time.Second {
			t.Errorf("after %s: %v", time.Since(began), err)
		}
		close(closed)
		began = time.Now()
		want := errors.New("the close's own")
		if err := app.WithinStop(func() error { return want }); !errors.Is(err, want) || time.Since(began) > 0 {
			t.Errorf("after %s: %v", time.Since(began), err)
		}
	})
}
