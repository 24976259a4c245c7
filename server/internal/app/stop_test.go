package app_test

import (
	"bufio"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"

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
	const body = `{"code":"nobody","device_name":"x"}`
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
