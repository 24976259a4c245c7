package app

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"os"
	"time"

	"github.com/coreos/go-systemd/v22/daemon"

	"nightkeep/server/internal/store"
)

// The server asks itself every guardEvery, over the network as everybody does.
// Without an answer guardMisses times running, each within guardWait, the process
// ends, and the service manager starts it again.
const (
	guardEvery  = 15 * time.Second
	guardWait   = 20 * time.Second
	guardMisses = 3
)

// watchdog ends a process that no longer answers itself.
type watchdog struct {
	tick  <-chan time.Time
	probe func() error // nil: it answers
	alive func()       // told after each answer
	end   func(error)
}

// run watches until ctx ends, or end was called.
func (w watchdog) run(ctx context.Context) {
	missed := 0
	for {
		select {
		case <-ctx.Done():
			return
		case <-w.tick:
		}
		err := w.probe()
		if err == nil {
			missed = 0
			w.alive()
			continue
		}
		if missed++; missed >= guardMisses {
			w.end(err)
			return
		}
	}
}

// guard watches over this process until ctx ends, and tells a service manager
// that speaks systemd's protocol that it is ready, alive, and stopping.
func (a *App) guard(ctx context.Context) {
	tell := func(state string) {
		if _, err := daemon.SdNotify(false, state); err != nil {
			a.opt.Log.Warn("the service manager cannot be told", "state", state, "err", err)
		}
	}
	every := guardEvery
	if asked, err := daemon.SdWatchdogEnabled(false); err == nil && asked > 0 {
		every = min(every, asked/3)
	}
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	tell(daemon.SdNotifyReady)
	watchdog{
		tick: ticker.C, probe: a.answers,
		alive: func() { tell(daemon.SdNotifyWatchdog) },
		end: func(err error) {
			a.opt.Log.Error("this server no longer answers itself and ends, to be started again", "err", err)
			os.Exit(1)
		},
	}.run(ctx)
	tell(daemon.SdNotifyStopping)
}

// answers reports whether this server answers itself. While as many are connected
// as may be, which is a crowd and no fault, the store is asked instead.
func (a *App) answers() error {
	a.mu.Lock()
	full, name := a.ln != nil && a.ln.full(), ""
	a.mu.Unlock()
	if full {
		stored := make(chan error, 1)
		go func() { stored <- a.DB.View(func(*store.Tx) error { return nil }) }()
		select {
		case err := <-stored:
			return err
		case <-time.After(guardWait):
			return errors.New("the store does not answer")
		}
	}
	scheme := "http"
	if a.acme != nil {
		name = a.acme.Domain
	}
	if a.acme != nil || a.opt.TLSCert != "" {
		scheme = "https"
	}
	return ask(scheme, a.Addr(), name, guardWait)
}

// ask asks a server of this machine how it is. Whatever comes back is an answer;
// none within the time, or nobody at the address, is an error.
func ask(scheme, addr, name string, wait time.Duration) error {
	at, err := netip.ParseAddrPort(addr)
	if err != nil {
		return err
	}
	host := at.Addr().Unmap()
	if host.IsUnspecified() {
		host = netip.IPv6Loopback()
		if at.Addr().Is4() {
			host = netip.AddrFrom4([4]byte{127, 0, 0, 1})
		}
	}
	target := netip.AddrPortFrom(host, at.Port()).String()
	client := http.Client{Timeout: wait, Transport: &http.Transport{
		DisableKeepAlives: true,
		// Not to know who it is: only whether somebody answers at our own address.
		TLSClientConfig: &tls.Config{InsecureSkipVerify: true, ServerName: name, MinVersion: tls.VersionTLS12},
		DialContext: func(ctx context.Context, _, _ string) (net.Conn, error) {
			var d net.Dialer
			c, err := d.DialContext(ctx, "tcp", target)
			if err != nil && host == netip.IPv6Loopback() { // a machine without IPv6
				return d.DialContext(ctx, "tcp", fmt.Sprintf("127.0.0.1:%d", at.Port()))
			}
			return c, err
		},
	}}
	res, err := client.Get(scheme + "://" + target + "/healthz")
	if err == nil {
		return res.Body.Close()
	}
	var late net.Error
	if errors.As(err, &late) && late.Timeout() || errors.Is(err, net.ErrClosed) || isRefused(err) {
		return err
	}
	return nil // it spoke, if only to say that it has no certificate yet
}

func isRefused(err error) bool {
	var op *net.OpError
	return errors.As(err, &op) && op.Op == "dial"
}
