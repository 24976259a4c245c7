package transport

import (
	"errors"
	"math"
	"net/http"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
)

// statusOf is the one place where a kind of error becomes an HTTP status.
var statusOf = map[care.Kind]int{
	care.Internal:        http.StatusInternalServerError,
	care.Invalid:         http.StatusUnprocessableEntity,
	care.NotFound:        http.StatusNotFound,
	care.Conflict:        http.StatusConflict,
	care.Forbidden:       http.StatusForbidden,
	care.Unauthenticated: http.StatusUnauthorized,
	care.Unavailable:     http.StatusServiceUnavailable,
	care.TooLarge:        http.StatusRequestEntityTooLarge,
	care.TooMany:         http.StatusTooManyRequests,
}

// ErrorBody is the one shape of every error.
type ErrorBody struct {
	Error ErrorDetail `json:"error"`
}

// ErrorDetail says what was wrong: a stable word, a sentence and where.
type ErrorDetail struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Field   string `json:"field"`
	// Reading is of the code "own-words": what the family would read.
	Reading *care.Reading `json:"reading,omitempty"`
}

// ErrorOf returns an error in its one shape.
func ErrorOf(code, message, field string) ErrorBody {
	return ErrorBody{ErrorDetail{Code: code, Message: message, Field: field}}
}

func notFound(path string) error {
	if strings.HasPrefix(path, "/api/") {
		return care.Errorf(care.NotFound, "no-such-route", "there is no such route; GET /api/openapi.json lists them all")
	}
	return care.Errorf(care.NotFound, "no-such-page", "there is no such page")
}

// fail answers an error. What is not ours is logged and answered without
// detail.
func (s *Server) fail(c *fiber.Ctx, err error) error {
	status, body := shape(err)
	if errors.Is(err, fiber.ErrBadGateway) { // the framework's word for a connection that ended before its request had come: no fault of ours
		status, body = http.StatusBadRequest, ErrorOf("cut-off", "the connection ended before the whole request had come", "")
	}
	if status >= http.StatusInternalServerError && (!errors.Is(err, errCrowded) || s.crowds.Allow("crowded", s.Now())) { // of a crowd one line a minute
		s.Log.Error("request failed", "method", c.Method(), "route", c.Route().Path, "err", err)
	}
	s.headers(c) // a request that could not be read has passed nothing else
	c.Set(fiber.HeaderCacheControl, "no-store")
	var ours *care.Error
	if errors.As(err, &ours) && ours.Wait > 0 {
		c.Set(fiber.HeaderRetryAfter, strconv.Itoa(int(math.Ceil(ours.Wait.Seconds()))))
	}
	return c.Status(status).JSON(body)
}

func shape(err error) (int, ErrorBody) {
	var ours *care.Error
	var theirs *fiber.Error
	switch {
	case errors.As(err, &ours):
		body := ErrorOf(ours.Code, ours.Text, ours.Field)
		body.Error.Reading = ours.Asks
		return statusOf[ours.Kind], body
	case errors.As(err, &theirs) && theirs.Code == http.StatusRequestEntityTooLarge:
		return theirs.Code, ErrorOf("body-too-large", "a request body takes at most 262144 bytes", "")
	case errors.As(err, &theirs):
		return theirs.Code, ErrorOf("bad-request", http.StatusText(theirs.Code), "")
	}
	return http.StatusInternalServerError, ErrorOf("internal", "something went wrong on the server; it has been logged", "")
}
