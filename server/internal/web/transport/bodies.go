package transport

import (
	"errors"
	"io"
	"net"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
)

// What bodies may hold of the memory while they come in and are worked on, our
// choice: a phone sends 64 KiB at most, which takes a second on a slow line, so
// that an address may have 64 phones at it and everybody together 500.
const (
	bodiesOfOne = 4 << 20  // bytes, of one address
	bodiesInAll = 32 << 20 // bytes
	droppedMost = 4 << 20  // of a body that is too long; beyond it the line is cut after the answer
	piece       = 8 << 10  // a body is given room as it comes: so much at first
)

// bodies are the bodies that are being read or worked on. What comes in slowly
// shares one bound: when it is reached the body that has been coming for longest is
// cut off, so that whoever sends slowly, and from however many connections, holds
// up nobody who does not.
type bodies struct {
	mu           sync.Mutex
	inAll, ofOne int // the bounds
	held         int
	of           map[string]int // by address
	coming       []*body        // being read, oldest first
}

// body is one of them.
type body struct {
	addr string
	conn net.Conn
	held int
	cut  bool
}

func newBodies(inAll, ofOne int) *bodies {
	return &bodies{inAll: inAll, ofOne: ofOne, of: map[string]int{}}
}

var errCrowded = &care.Error{Kind: care.Unavailable, Code: "crowded", Wait: time.Second,
	Text: "more comes in at once than there is room for; send it again in a moment"}

// begin notes a body that begins to come.
func (b *bodies) begin(addr string, conn net.Conn) *body {
	x := &body{addr: addr, conn: conn}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.coming = append(b.coming, x)
	return x
}

// grow gives a body room for n bytes more, and cuts off others, or this one, when
// that is more than there is.
func (b *bodies) grow(x *body, n int) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !x.cut {
		b.hold(x, n)
	}
	for b.of[x.addr] > b.ofOne && !x.cut {
		b.cutOldest(func(o *body) bool { return o.addr == x.addr })
	}
	for b.held > b.inAll && !x.cut {
		b.cutOldest(func(*body) bool { return true })
	}
	if x.cut {
		return errCrowded
	}
	return nil
}

func (b *bodies) hold(x *body, n int) {
	x.held, b.held = x.held+n, b.held+n
	if b.of[x.addr] += n; b.of[x.addr] == 0 {
		delete(b.of, x.addr)
	}
}

// cutOldest cuts off the body that has been coming for longest. There is always
// one: whoever grows is.
func (b *bodies) cutOldest(which func(*body) bool) {
	i := slices.IndexFunc(b.coming, which)
	x := b.coming[i]
	b.coming = slices.Delete(b.coming, i, i+1)
	b.hold(x, -x.held)
	x.cut = true
	_ = x.conn.SetReadDeadline(time.Unix(1, 0)) // ends the read it waits in; on a closed one that has ended
}

// whole notes that all of a body has come: it is no slow one any more, and keeps its
// room until it is worked on.
func (b *bodies) whole(x *body) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if i := slices.Index(b.coming, x); i >= 0 {
		b.coming = slices.Delete(b.coming, i, i+1)
	}
}

// end gives back the room of a body.
func (b *bodies) end(x *body) {
	b.whole(x)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.hold(x, -x.held)
}

// readBody reads the body of a request into the memory, as far as it may be that
// long and there is room, and returns what gives the room back.
func (s *Server) readBody(c *fiber.Ctx) (done func(), err error) {
	stream := c.Context().RequestBodyStream()
	if stream == nil {
		return func() {}, nil
	}
	n, limit := c.Request().Header.ContentLength(), bodyLimit(c.Path())
	if n > limit {
		if n <= droppedMost { // so that the sender comes to read the answer
			_, _ = io.CopyN(io.Discard, stream, int64(n)) // a line that breaks is nobody's to answer
		}
		return nil, care.Errorf(care.TooLarge, "body-too-large", "a request body takes at most %d bytes, this one has %d", limit, n)
	}
	x := s.bodies.begin(Counted(s.clientAddr(c)), c.Context().Conn())
	raw, err := s.bodies.read(x, stream, n, limit)
	if err != nil {
		s.bodies.end(x)
		return nil, err
	}
	s.bodies.whole(x)
	c.Request().SetBodyRaw(raw)
	return func() { s.bodies.end(x) }, nil
}

// bodyLimit is how long a body of a path may be, in bytes: an attachment of 2 MiB in
// base64 with its words, or what everything else needs.
func bodyLimit(path string) int {
	if strings.HasPrefix(path, "/api/clinic/wearers/") && strings.HasSuffix(path, "/attachments") {
		return 3 << 20
	}
	return maxBody
}

// read reads a body that has said how long it is, or not (a negative n), and is at
// most limit bytes long.
func (b *bodies) read(x *body, from io.Reader, n, limit int) (raw []byte, err error) {
	most := limit + 1
	if n >= 0 {
		most = max(n, 1)
	}
	for {
		if len(raw) == cap(raw) {
			room := min(max(piece, 2*cap(raw)), most)
			if len(raw) == most {
				room = most + 1 // for the end to be read
			}
			if err := b.grow(x, room-cap(raw)); err != nil {
				return nil, err
			}
			raw = append(make([]byte, 0, room), raw...)
		}
		got, err := from.Read(raw[len(raw):cap(raw)])
		if raw = raw[:len(raw)+got]; len(raw) > limit {
			return nil, care.Errorf(care.TooLarge, "body-too-large", "a request body takes at most %d bytes, this one is longer", limit)
		}
		switch {
		case errors.Is(err, io.EOF):
			return raw, nil
		case err != nil && b.isCut(x):
			return nil, errCrowded
		case err != nil:
			return nil, fiber.ErrRequestTimeout
		}
	}
}

func (b *bodies) isCut(x *body) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return x.cut
}
