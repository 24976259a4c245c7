package bench

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"
)

// connections is how many clients push at the same time.
const connections = 64

// host is a Fiber application on a loopback address.
type host struct {
	app  *fiber.App
	addr string
	done chan error
}

func serve(app *fiber.App) (*host, error) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	h := &host{app, ln.Addr().String(), make(chan error, 1)}
	go func() { h.done <- app.Listener(ln) }()
	return h, nil
}

func (h *host) close() error {
	if err := h.app.ShutdownWithTimeout(2 * time.Second); err != nil {
		return err
	}
	return <-h.done
}

// post returns the bytes of a request. Requests are made before the clock
// starts: the client's part is the same for the server and for its baseline.
func post(path, cookie string, body []byte) []byte {
	return fmt.Appendf(nil, "POST %s HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nCookie: %s\r\nContent-Length: %d\r\n\r\n%s",
		path, cookie, len(body), body)
}

func get(path, cookie string) []byte {
	return fmt.Appendf(nil, "GET %s HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: %s\r\n\r\n", path, cookie)
}

// client is one connection. It does as little as a client can, so that the
// server's work is not hidden behind the client's.
type client struct {
	conn net.Conn
	in   *bufio.Reader
}

func dial(addr string) (*client, error) {
	conn, err := net.Dial("tcp", addr)
	if err != nil {
		return nil, err
	}
	return &client{conn, bufio.NewReaderSize(conn, 32<<10)}, nil
}

// do sends a request and returns the length of the reply's body. A status
// other than 200 is an error.
func (c *client) do(request []byte) (int, error) {
	if _, err := c.conn.Write(request); err != nil {
		return 0, err
	}
	line, err := c.in.ReadSlice('\n')
	if err != nil {
		return 0, err
	}
	ok := bytes.HasPrefix(line, []byte("HTTP/1.1 200"))
	length := 0
	for {
		h, err := c.in.ReadSlice('\n')
		if err != nil {
			return 0, err
		}
		if len(h) <= 2 {
			break
		}
		if v, is := bytes.CutPrefix(h, []byte("Content-Length: ")); is {
			for _, d := range bytes.TrimSpace(v) {
				length = length*10 + int(d-'0')
			}
		}
	}
	if !ok {
		text := make([]byte, min(length, 400))
		_, _ = io.ReadFull(c.in, text)
		return 0, fmt.Errorf("reply is not %d: %s", http.StatusOK, text)
	}
	_, err = c.in.Discard(length)
	return length, err
}

// result is one round of load.
type result struct {
	rate float64 // requests a second
	lat  []time.Duration
	last int // bytes of some reply's body
}

// at returns the latency that a share of the requests did not exceed, in
// milliseconds.
func (r result) at(share float64) float64 {
	return quantile(r.lat, share)
}

func quantile(list []time.Duration, share float64) float64 {
	if len(list) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(list))
	return float64(s[min(len(s)-1, int(share*float64(len(s))))].Microseconds()) / 1000
}

// drive sends each request once, over n connections.
func drive(ctx context.Context, addr string, n int, requests [][]byte) (result, error) {
	clients := make([]*client, n)
	for i := range clients {
		c, err := dial(addr)
		if err != nil {
			return result{}, err
		}
		defer c.conn.Close()
		clients[i] = c
	}
	out := result{lat: make([]time.Duration, len(requests))}
	var next, size atomic.Int64
	var failed atomic.Pointer[error]
	var wg sync.WaitGroup
	start := time.Now()
	for _, c := range clients {
		wg.Go(func() {
			for failed.Load() == nil && ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= len(requests) {
					return
				}
				t := time.Now()
				length, err := c.do(requests[i])
				if err != nil {
					failed.Store(&err)
					return
				}
				out.lat[i] = time.Since(t)
				size.Store(int64(length))
			}
		})
	}
	wg.Wait()
	if err := failed.Load(); err != nil {
		return out, *err
	}
	out.rate = float64(len(requests)) / time.Since(start).Seconds()
	out.last = int(size.Load())
	return out, ctx.Err()
}
