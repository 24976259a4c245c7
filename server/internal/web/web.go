// Package web puts the rooms of the HTTP face together: what every request has
// in common (transport), the family's interface (family), the console's
// (clinic; course for what becomes of a wearer beside the log), the practice's own (practice), and what families and staff both ask
// for (shared). It refuses to hold rules of care.
package web

import (
	"slices"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/clinic"
	"nightkeep/server/internal/web/course"
	"nightkeep/server/internal/web/family"
	"nightkeep/server/internal/web/practice"
	"nightkeep/server/internal/web/shared"
	"nightkeep/server/internal/web/transport"
)

// Server is the HTTP face of one practice.
type Server struct {
	DB *store.DB
	transport.Site
	lists clinic.ListCache
}

// App returns the Fiber application.
func (s *Server) App() *fiber.App {
	return transport.New(s.DB, &s.Site).App(slices.Concat(family.Routes(), shared.Routes(), clinic.Routes(&s.lists), course.Routes(), practice.Routes()))
}

// RefreshLists works out what the lists of the practice show, so that the first
// list of the day need not wait for it.
func (s *Server) RefreshLists() error { return s.lists.Refresh(s.DB) }
