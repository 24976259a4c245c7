package app_test

import (
	"errors"
	"testing"

	"nightkeep/server/internal/app"
)

// POSIX: TZ names the zone of a process; systemd localtime(5): /etc/localtime is
// a link into zoneinfo.
func TestZoneOfTheMachine(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, tz, link, want string }{
		{"variable", "Asia/Kathmandu", "/usr/share/zoneinfo/Europe/Oslo", "Asia/Kathmandu"},
		{"variable with a colon", ":Europe/Madrid", "", "Europe/Madrid"},
		{"link", "", "../usr/share/zoneinfo/America/Sao_Paulo", "America/Sao_Paulo"},
		{"variable that names no zone", "Nowhere/Atall", "/usr/share/zoneinfo/Europe/Oslo", "Europe/Oslo"},
		{"a zone that means this machine", "Local", "", "UTC"},
		{"nothing", "", "", "UTC"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			got := app.MachineZone(tc.tz, func(string) (string, error) {
				if tc.link == "" {
					return "", errors.New("no link")
				}
				return tc.link, nil
			})
			if got != tc.want {
				t.Errorf("got %s, want %s", got, tc.want)
			}
		})
	}
}
