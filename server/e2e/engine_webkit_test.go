package e2e_test

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"
)

// webkit is WebKitGTK's small browser, driven over WebDriver (W3C, level 1) on
// a display of its own. Its clock is that of the process, its zone too.
var webkit = engine{name: "webkit", start: startWebKit, lacks: map[feature]string{
	clearing:  "only a script of the page itself can, after which WebKitGTK 2.50 sometimes answers no opening of the database any more, not even a test's own",
	printing:  "WebKitGTK's driver has no print command",
	answering: "WebKitGTK's driver has no command for permissions",
	unheard:   "WebKitGTK's driver answers every question itself",
	dressing:  "WebKitGTK knows no forced colours, and its driver sets no preference",
	assistive: "WebKitGTK's driver has no command for computed roles and names",
}}

// narrow lets the small browser's window be as narrow as a phone: its bar of
// buttons and fields is 447 px wide otherwise.
const narrow = `* { min-width: 0; min-height: 0; padding: 0; margin: 0; border-width: 0; font-size: 1px; }
toolbar { margin-left: -900px; }
`

type webkitDriver struct {
	driver, display *exec.Cmd
	at              string // address of the driver's session
	offset          string // the file with the clock's offset
	wide, high      int
	aside           float64 // CSS px
	zoomed          float64 // px of the view to a CSS px
	number, hands   string  // of the display, and the program that presses keys there
}

var displayNumber = regexp.MustCompile(`^(\d+)$`)

func startWebKit(t *testing.T, wide, high int, zone string) driver {
	t.Helper()
	home := t.TempDir()
	d := &webkitDriver{offset: filepath.Join(home, "clock"), wide: wide, high: high, zoomed: 1}
	if err := errors.Join(os.MkdirAll(filepath.Join(home, "config", "gtk-3.0"), 0o700),
		os.WriteFile(filepath.Join(home, "config", "gtk-3.0", "gtk.css"), []byte(narrow), 0o600), d.clock(time.Now())); err != nil {
		t.Fatal(err)
	}
	d.display = exec.Command(found(t, "Xvfb"), "-displayfd", "1", "-screen", "0", "1600x1200x24", "-nolisten", "tcp", "-noreset")
	number := startBrowser(t, d.display, displayNumber)
	d.number, d.hands = number, found(t, "xdotool")

	port := freePort(t)
	d.driver = exec.Command(found(t, "WebKitWebDriver"), "--port="+port)
	d.driver.Env = append(os.Environ(), "DISPLAY=:"+number, "HOME="+home, "XDG_CONFIG_HOME="+filepath.Join(home, "config"), "XDG_DATA_HOME="+filepath.Join(home, "data"),
		"XDG_CACHE_HOME="+filepath.Join(home, "cache"), "LANG=en_GB.UTF-8", "TZ="+zone, "NO_AT_BRIDGE=1", "GDK_BACKEND=x11",
		"LD_PRELOAD="+found(t, "/usr/lib/*/faketime/libfaketime.so.1", "/usr/lib*/faketime/libfaketime.so.1"),
		"FAKETIME_TIMESTAMP_FILE="+d.offset, "FAKETIME_NO_CACHE=1", "FAKETIME_DONT_FAKE_MONOTONIC=1")
	startQuietly(t, d.driver)
	d.at = "http://127.0.0.1:" + port
	until(t, "WebKit's driver answers", func() bool { _, err := d.call(http.MethodGet, "/status", nil); return err == nil })
	raw, err := d.call(http.MethodPost, "/session", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{
		"timeouts":                 map[string]any{"script": patience.Milliseconds(), "pageLoad": patience.Milliseconds()},
		"webkitgtk:browserOptions": map[string]any{"binary": found(t, "/usr/lib/*/webkit2gtk-4.1/MiniBrowser", "/usr/libexec/webkit2gtk-4.1/MiniBrowser", "/usr/lib/*/webkit2gtk-4.0/MiniBrowser"), "args": []string{"--automation"}},
	}}})
	if err != nil {
		t.Fatalf("webkit: %v", err)
	}
	var session struct{ SessionID string }
	if err := json.Unmarshal(raw, &session); err != nil {
		t.Fatal(err)
	}
	d.at += "/session/" + session.SessionID
	if err := d.fit(); err != nil {
		t.Fatalf("webkit: %v", err)
	}
	return d
}

// fit makes the viewport as large as was asked for, whatever stands round it.
func (d *webkitDriver) fit() error {
	rect := func(high int) error {
		_, err := d.call(http.MethodPost, "/window/rect", map[string]int{"x": 0, "y": 0, "width": d.wide, "height": high})
		return err
	}
	if err := rect(d.high); err != nil {
		return err
	}
	around, err := d.eval(`String(outerHeight - innerHeight)`)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(around)
	return errors.Join(err, rect(d.high+n))
}

// call makes one call of the driver's and returns its value.
func (d *webkitDriver) call(method, path string, body any) (json.RawMessage, error) {
	var send io.Reader
	if body != nil {
		raw, err := json.Marshal(body)
		if err != nil {
			return nil, err
		}
		send = bytes.NewReader(raw)
	}
	req, err := http.NewRequest(method, d.at+path, send)
	if err != nil {
		return nil, err
	}
	res, err := (&http.Client{Timeout: patience}).Do(req)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	var said struct{ Value json.RawMessage }
	if err := json.NewDecoder(res.Body).Decode(&said); err != nil {
		return nil, err
	}
	if res.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("%s %s: %.400s", method, path, said.Value)
	}
	return said.Value, nil
}

func (d *webkitDriver) open(address string) error {
	if _, err := d.call(http.MethodPost, "/url", map[string]string{"url": address}); err != nil {
		return err
	}
	// Nothing can be put into a page before its own scripts here: faults of its
	// first moments are those of the other engines.
	_, err := d.eval(`(() => { ` + faultsJS + ` return ''; })()`)
	return err
}

func (d *webkitDriver) eval(expression string) (string, error) {
	raw, err := d.call(http.MethodPost, "/execute/async", map[string]any{"args": []any{}, "script": `const done = arguments[arguments.length - 1];
		(async () => (` + expression + `))().then((v) => done({v}), (e) => done({e: String(e)}));`})
	if err != nil {
		return "", err
	}
	var said struct {
		V *string
		E string
	}
	if err := json.Unmarshal(raw, &said); err != nil || said.V == nil {
		return "", errors.Join(err, fmt.Errorf("%.200s: %s %s", expression, said.E, raw))
	}
	return *said.V, nil
}

func (d *webkitDriver) act(source any) error {
	_, err := d.call(http.MethodPost, "/actions", map[string]any{"actions": []any{source}})
	return err
}

// click goes a little aside each second time: the driver counts two presses of
// one place as a double click, however long the page took in between.
func (d *webkitDriver) click(x, y float64) error {
	d.aside = 8 - d.aside
	return d.act(pressAt((x+d.aside)*d.zoomed, y*d.zoomed)) // in px of the view, which a zoom leaves as they were
}

func (d *webkitDriver) keys(text string) error { return d.act(typing(text)) }

// clock writes the offset, which every process of the browser reads whenever it
// asks for the time.
func (d *webkitDriver) clock(now time.Time) error {
	next := d.offset + ".next"
	return errors.Join(os.WriteFile(next, fmt.Appendf(nil, "%+d\n", int64(time.Until(now).Seconds())), 0o600), os.Rename(next, d.offset))
}

// zoom presses the browser's own keys for it, a fifth at a time; they come from
// the display, since the driver's keys reach the page alone.
func (d *webkitDriver) zoom(factor float64) error {
	args := []string{"search", "--onlyvisible", "--class", "MiniBrowser", "windowfocus"}
	for range int(math.Round(math.Log(factor) / math.Log(1.2))) {
		args = append(args, "key", "ctrl+plus")
		d.zoomed *= 1.2
	}
	cmd := exec.Command(d.hands, args...)
	cmd.Env = append(os.Environ(), "DISPLAY=:"+d.number)
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w: %s", d.hands, err, said)
	}
	return nil
}

func (d *webkitDriver) picture() ([]byte, error) {
	raw, err := d.call(http.MethodGet, "/screenshot", nil)
	if err != nil {
		return nil, err
	}
	var png string
	if err := json.Unmarshal(raw, &png); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(png)
}

func (d *webkitDriver) paper(float64, float64) ([]byte, error) { return nil, errors.ErrUnsupported }

func (d *webkitDriver) allow(string, string, string) error { return errors.ErrUnsupported }

func (d *webkitDriver) close() {
	_, _ = d.call(http.MethodDelete, "", nil) // the browser is ended below in any case
	endBrowser(d.driver)
	endBrowser(d.display)
}

// freePort finds a port nobody listens on.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	return port
}

// startQuietly starts a program that says nothing, in a group of its own.
func startQuietly(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	cmd.SysProcAttr = group
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { endBrowser(cmd) })
}
