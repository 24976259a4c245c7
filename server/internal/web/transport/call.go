package transport

import (
	"encoding/json"
	"mime"
	"reflect"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Call is one request with its caller.
type Call struct {
	*fiber.Ctx
	Srv    *Server
	Caller register.Caller // zero for routes open to anyone
	Token  string          // by which the caller was known
	Over   time.Duration   // how long the device must wait that has made too many requests
}

// View reads from the store.
func (c *Call) View(f func(*store.Tx) error) error { return c.Srv.db.View(f) }

// Update writes on behalf of the caller. Whether they may still is asked inside
// the transaction: what was true when the request came may have changed since.
func (c *Call) Update(f func(*store.Tx) error) error { return c.Srv.db.Update(c.asCaller(f)) }

// UpdateShared is Update for what may share a commit with others; f may run again.
func (c *Call) UpdateShared(f func(*store.Tx) error) error {
	return c.Srv.db.WriteFor(string(c.Caller.Person.Family), false, c.asCaller(f))
}

func (c *Call) asCaller(f func(*store.Tx) error) func(*store.Tx) error {
	return func(tx *store.Tx) error {
		if c.Caller.Device.ID != "" {
			if err := tx.Access().Reauthorise(c.Caller); err != nil {
				return err
			}
		}
		return f(tx)
	}
}

// Audit writes down what the caller did, in a short write of its own: what was
// read for it was read before, since whoever writes keeps a sore eye waiting.
func (c *Call) Audit(did, what string) error {
	return c.UpdateShared(func(tx *store.Tx) error { return tx.Audit().Append(c.Caller.Person.ID, did, what) })
}

// AuditSeen writes down that the caller opened something of a family's. A full
// disk does not hide it: somebody may need a telephone number now.
func (c *Call) AuditSeen(did, what string) {
	if err := c.Audit(did, what); err != nil {
		c.Srv.Log.Error("who looked could not be written down", "did", did, "err", err)
	}
}

// WantJSON refuses a body of another type.
func (c *Call) WantJSON() error {
	if kind, _, err := mime.ParseMediaType(c.Get(fiber.HeaderContentType)); err != nil || kind != fiber.MIMEApplicationJSON {
		return care.Refuse("bad-content-type", "", "want a body of type application/json")
	}
	return nil
}

// Read decodes the JSON body strictly.
func (c *Call) Read(v any) error {
	if err := c.WantJSON(); err != nil {
		return err
	}
	dec := json.NewDecoder(strings.NewReader(string(c.Body())))
	dec.DisallowUnknownFields()
	err := dec.Decode(v)
	if err == nil {
		err = strict(c.Body(), reflect.TypeOf(v))
	}
	if err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-body", Text: "the body is not what this route takes: " + care.JSONWords(err)}
	}
	return nil
}

// QueryDate reads an optional date of the query; zero when it is absent.
func (c *Call) QueryDate(name string) (civil.Date, error) {
	s := c.Query(name)
	if s == "" {
		return civil.Date{}, nil
	}
	d, err := civil.ParseDate(s)
	if err != nil {
		return d, care.Refuse("bad-date", name, "want a date as YYYY-MM-DD")
	}
	return d, nil
}

// Done is the reply of a route that has nothing to say but that it is done.
type Done struct {
	OK bool `json:"ok"`
}

// Done answers that it is done.
func (c *Call) Done() error { return c.Reply(Done{true}) }

// Reply sends JSON that no cache keeps.
func (c *Call) Reply(v any) error {
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.JSON(v)
}

// CSVType is the content type of CSV.
const CSVType = "text/csv; charset=utf-8"

// Attach sends a file that no cache keeps.
func (c *Call) Attach(contentType, filename string, body []byte) error {
	c.Set(fiber.HeaderContentType, contentType)
	c.Set(fiber.HeaderContentDisposition, `attachment; filename="`+filename+`"`)
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.Send(body)
}

// packAbove is the size in bytes from which a reply of JSON is compressed: a
// phone on slow 4G (1.6 Mbit/s) receives this much in about 40 ms. Smaller
// replies, those of a phone that is up to date, cost no time of the server.
const packAbove = 8 << 10

var gzipped = fasthttp.CompressHandlerLevel(func(*fasthttp.RequestCtx) {}, fasthttp.CompressBestSpeed)

// pack compresses a large reply of JSON for a caller that takes gzip. Its length
// is no help in guessing what is in it (the attack called BREACH): that needs a
// reply that repeats what another site put into the request, and requests with
// a body are refused when they come from other sites.
func (c *Call) pack() {
	res := c.Response()
	if res.IsBodyStream() || len(res.Body()) < packAbove || !strings.HasPrefix(string(res.Header.ContentType()), fiber.MIMEApplicationJSON) {
		return
	}
	c.Vary(fiber.HeaderAcceptEncoding)
	gzipped(c.Context())
}
