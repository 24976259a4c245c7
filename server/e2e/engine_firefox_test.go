package e2e_test

import (
	"bufio"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// firefox is driven over WebDriver BiDi (W3C working draft), which Firefox
// speaks itself.
var firefox = engine{name: "firefox", start: startFirefox, lacks: map[feature]string{
	serviceSide: "only pages can be given another clock",
}}

// firefoxPrefs keep a new profile quiet and alone on this machine.
const firefoxPrefs = `user_pref("app.normandy.enabled", false);
user_pref("app.update.enabled", false);
user_pref("browser.aboutwelcome.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.startup.page", 0);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("dom.push.connection.enabled", false);
user_pref("dom.disable_open_during_load", false);
user_pref("extensions.update.enabled", false);
user_pref("focusmanager.testmode", true);
user_pref("intl.accept_languages", "en-GB, en");
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("network.dns.disablePrefetch", true);
user_pref("services.settings.server", "http://127.0.0.1:1/");
user_pref("signon.rememberSignons", false);
user_pref("toolkit.telemetry.enabled", false);
user_pref("browser.safebrowsing.malware.enabled", false);
user_pref("browser.safebrowsing.phishing.enabled", false);
`

type firefoxDriver struct {
	cmd        *exec.Cmd
	ws         *websocket.Conn
	id         int
	tab        string
	preload    string
	wide, high int
}

var bidiAddress = regexp.MustCompile(`WebDriver BiDi listening on (ws://\S+)`)

func startFirefox(t *testing.T, wide, high int, zone string) driver {
	t.Helper()
	d := &firefoxDriver{wide: wide, high: high}
	home := t.TempDir()
	if err := os.WriteFile(filepath.Join(home, "user.js"), []byte(firefoxPrefs), 0o600); err != nil {
		t.Fatal(err)
	}
	d.cmd = exec.Command(found(t, "firefox-esr", "firefox"), "--headless", "--no-remote", "--profile", home, "--remote-debugging-port", "0", "--remote-allow-system-access", "about:blank")
	d.cmd.Env = append(os.Environ(), "MOZ_HEADLESS=1", "MOZ_CRASHREPORTER_DISABLE=1", "HOME="+home, "LANG=en_GB.UTF-8")
	address := startBrowser(t, d.cmd, bidiAddress)
	ws, res, err := websocket.Dial(context.Background(), address+"/session", nil)
	if err != nil {
		t.Fatalf("firefox: %v", err)
	}
	if res != nil && res.Body != nil && res.StatusCode != http.StatusSwitchingProtocols {
		res.Body.Close()
	}
	ws.SetReadLimit(-1)
	d.ws = ws
	t.Cleanup(d.close)
	if err := d.setUp(zone); err != nil {
		t.Fatalf("firefox: %v", err)
	}
	return d
}

func (d *firefoxDriver) setUp(zone string) error {
	if _, err := d.call("session.new", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{"unhandledPromptBehavior": map[string]string{"default": "ignore"}}}}); err != nil {
		return err
	}
	raw, err := d.call("browsingContext.getTree", map[string]any{"maxDepth": 0})
	if err != nil {
		return err
	}
	var tree struct{ Contexts []struct{ Context string } }
	if err := json.Unmarshal(raw, &tree); err != nil || len(tree.Contexts) == 0 {
		return fmt.Errorf("no tab in %s, %v", raw, err)
	}
	d.tab = tree.Contexts[0].Context
	// A new window has its cursor in the address field: the page has no focus, and
	// a key that reaches one of its buttons does not press it.
	if _, err := d.inside(`Services.focus.activeWindow = window; gBrowser.selectedBrowser.focus(); return "";`); err != nil {
		return err
	}
	_, err = d.call("emulation.setTimezoneOverride", map[string]any{"timezone": zone, "contexts": []string{d.tab}})
	return errors.Join(err, d.zoom(1))
}

// call sends one command and waits for its answer.
func (d *firefoxDriver) call(method string, params any) (json.RawMessage, error) {
	d.id++
	ctx, stop := context.WithTimeout(context.Background(), patience)
	defer stop()
	raw, err := json.Marshal(map[string]any{"id": d.id, "method": method, "params": params})
	if err != nil {
		return nil, err
	}
	if err := d.ws.Write(ctx, websocket.MessageText, raw); err != nil {
		return nil, err
	}
	for {
		_, raw, err := d.ws.Read(ctx)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", method, err)
		}
		var said struct {
			ID             int
			Type           string
			Result         json.RawMessage
			Error, Message string
		}
		if err := json.Unmarshal(raw, &said); err != nil {
			return nil, err
		}
		switch {
		case said.ID != d.id: // an event
		case said.Type == "error":
			return nil, fmt.Errorf("%s: %s: %s", method, said.Error, said.Message)
		default:
			return said.Result, nil
		}
	}
}

func (d *firefoxDriver) open(address string) error {
	_, err := d.call("browsingContext.navigate", map[string]any{"context": d.tab, "url": address, "wait": "interactive"})
	return err
}

// round is what the window round the page has the focus on, and all that the
// accessibility tree says has it.
func (d *firefoxDriver) round() string {
	said, err := d.inside(`globalThis.heard ??= Cc["@mozilla.org/accessibilityService;1"].getService(Ci.nsIAccessibilityService);
const service = globalThis.heard;
const all = [];
const walk = node => {
	const state = {};
	node.getState(state, {});
	if (state.value & 4) all.push(service.getStringRole(node.role) + " " + node.name);
	for (let i = 0; i < node.childCount; i++) walk(node.getChildAt(i));
};
walk(service.getAccessibleFor(document));
return "the window is " + (Services.focus.activeWindow === window ? "" : "not ") + "active, has the focus on " + Services.focus.focusedElement?.localName
	+ (Services.focus.focusedContentBrowsingContext === gBrowser.selectedBrowser.browsingContext ? " and its page" : ", not on its page") + "; the tree has it on: " + all.join(", ");`)
	if err != nil {
		return "the window does not say what has the focus: " + err.Error()
	}
	return said
}

func (d *firefoxDriver) eval(expression string) (string, error) { return d.evalIn(d.tab, expression) }

func (d *firefoxDriver) evalIn(place, expression string) (string, error) {
	raw, err := d.call("script.evaluate", map[string]any{"expression": expression, "target": map[string]string{"context": place}, "awaitPromise": true, "userActivation": false})
	if err != nil {
		return "", err
	}
	var said struct {
		Type             string
		Result           struct{ Value any }
		ExceptionDetails struct{ Text string }
	}
	if err := json.Unmarshal(raw, &said); err != nil {
		return "", err
	}
	if said.Type == "exception" {
		return "", errors.New(said.ExceptionDetails.Text)
	}
	text, ok := said.Result.Value.(string)
	if !ok {
		return "", fmt.Errorf("%.200s is no string: %s", expression, raw)
	}
	return text, nil
}

// inside runs a function's body in the window of the browser itself, round the
// page, and returns the string that it returns.
func (d *firefoxDriver) inside(body string) (string, error) {
	raw, err := d.call("browsingContext.getTree", map[string]any{"moz:scope": "chrome", "maxDepth": 0})
	if err != nil {
		return "", err
	}
	var tree struct{ Contexts []struct{ Context string } }
	if err := json.Unmarshal(raw, &tree); err != nil || len(tree.Contexts) == 0 {
		return "", fmt.Errorf("no window in %s, %v", raw, err)
	}
	return d.evalIn(tree.Contexts[0].Context, "(async () => {"+body+"})()")
}

// treeJS reads the page's accessibility tree from outside, as a screen reader's
// programs do (nsIAccessible); 4 is STATE_FOCUSED there. The window holds on to the
// service: Firefox ends it when nobody does, also between two looks, and makes a new
// tree at the next one, which knows of no focus that was given before.
const treeJS = `globalThis.heard ??= Cc["@mozilla.org/accessibilityService;1"].getService(Ci.nsIAccessibilityService);
const service = globalThis.heard;
const all = [];
const said = (node, what) => { try { return node.attributes.getStringProperty(what); } catch { return ""; } };
const walk = node => {
	const state = {};
	node.getState(state, {});
	const one = { Role: said(node, "xml-roles") || service.getStringRole(node.role), Name: node.name ?? "", Live: said(node, "live"), Focused: !!(state.value & 4) };
	const at = all.push(one);
	for (let i = 0; i < node.childCount; i++) walk(node.getChildAt(i));
	if (one.Live) one.Text = all.slice(at).filter(below => below.Role === "text leaf").map(below => below.Name).join("");
};
const root = service.getAccessibleFor(gBrowser.selectedBrowser);
if (root?.firstChild) walk(root.firstChild);
return JSON.stringify(all);`

// firefoxRoles are Firefox's words for what WAI-ARIA calls otherwise.
var firefoxRoles = map[string]string{
	"pushbutton": "button", "toggle button": "button", "check button": "checkbox", "entry": "textbox", "statusbar": "status",
	"grouping": "group", "combobox": "combobox", "text leaf": "text", "label": "text", "graphic": "img",
}

func (d *firefoxDriver) tree() ([]spoken, error) {
	raw, err := d.inside(treeJS)
	if err != nil {
		return nil, err
	}
	var all []spoken
	if err := json.Unmarshal([]byte(raw), &all); err != nil {
		return nil, err
	}
	for i := range all {
		if role := firefoxRoles[all[i].Role]; role != "" {
			all[i].Role = role
		}
	}
	return all, nil
}

// plain asks for no movement and for the colours of the system.
func (d *firefoxDriver) plain() error {
	_, err := d.inside(`Services.prefs.setIntPref("ui.prefersReducedMotion", 1);
Services.prefs.setIntPref("browser.display.document_color_use", 2);
return "";`)
	return err
}

func (d *firefoxDriver) act(sources ...any) error {
	_, err := d.call("input.performActions", map[string]any{"context": d.tab, "actions": sources})
	return err
}

func (d *firefoxDriver) click(x, y float64) error { return d.act(pressAt(x, y)) }

func (d *firefoxDriver) keys(text string) error { return d.act(typing(text)) }

func (d *firefoxDriver) clock(now time.Time) error {
	if d.preload != "" {
		if _, err := d.call("script.removePreloadScript", map[string]string{"script": d.preload}); err != nil {
			return err
		}
	}
	raw, err := d.call("script.addPreloadScript", map[string]any{"functionDeclaration": "() => {" + clockJS(time.Until(now)) + "}"})
	if err != nil {
		return err
	}
	var made struct{ Script string }
	err = json.Unmarshal(raw, &made)
	d.preload = made.Script
	return err
}

func (d *firefoxDriver) zoom(factor float64) error {
	scale := 1.0
	if d.wide < 600 {
		scale = 2
	}
	_, err := d.call("browsingContext.setViewport", map[string]any{
		"context": d.tab, "viewport": map[string]int{"width": int(float64(d.wide) / factor), "height": int(float64(d.high) / factor)}, "devicePixelRatio": scale * factor,
	})
	return err
}

func (d *firefoxDriver) picture() ([]byte, error) {
	return d.data("browsingContext.captureScreenshot", map[string]any{"context": d.tab})
}

func (d *firefoxDriver) paper(width, height float64) ([]byte, error) {
	const cm = 2.54
	return d.data("browsingContext.print", map[string]any{"context": d.tab, "background": true, "page": map[string]float64{"width": width * cm, "height": height * cm}})
}

// data calls what answers with bytes.
func (d *firefoxDriver) data(method string, params any) ([]byte, error) {
	raw, err := d.call(method, params)
	if err != nil {
		return nil, err
	}
	var got struct{ Data string }
	if err := json.Unmarshal(raw, &got); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(got.Data)
}

func (d *firefoxDriver) allow(origin, what, answer string) error {
	_, err := d.call("permissions.setPermission", map[string]any{"descriptor": map[string]string{"name": what}, "state": answer, "origin": origin})
	return err
}

func (d *firefoxDriver) close() {
	if d.ws != nil {
		_ = d.ws.CloseNow()
	}
	endBrowser(d.cmd)
}

// pressAt is a press and a release as WebDriver and BiDi both write them
// (WebDriver level 2, section 17).
func pressAt(x, y float64) any {
	return map[string]any{"type": "pointer", "id": "finger", "parameters": map[string]string{"pointerType": "mouse"}, "actions": []map[string]any{
		{"type": "pointerMove", "x": int(x), "y": int(y), "duration": 0}, {"type": "pointerDown", "button": 0}, {"type": "pointerUp", "button": 0},
	}}
}

// typing presses and releases keys.
func typing(text string) any {
	var actions []map[string]string
	for _, r := range text {
		actions = append(actions, map[string]string{"type": "keyDown", "value": string(r)}, map[string]string{"type": "keyUp", "value": string(r)})
	}
	return map[string]any{"type": "key", "id": "keyboard", "actions": actions}
}

// found finds a program by one of its names. A missing browser is a failure,
// never a skip.
func found(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
		if list, _ := filepath.Glob(name); len(list) > 0 {
			return list[0]
		}
	}
	t.Fatalf("none of %q found; the README's test command installs it", names)
	return ""
}

// startBrowser starts a program in a group of its own and returns what it says
// of its address, the first group of the expression.
func startBrowser(t *testing.T, cmd *exec.Cmd, says *regexp.Regexp) string {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stdout, cmd.Stderr = w, w
	cmd.SysProcAttr = group
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	w.Close()
	t.Cleanup(func() { endBrowser(cmd) })
	lines, said := bufio.NewScanner(r), ""
	for lines.Scan() {
		said += lines.Text() + "\n"
		if m := says.FindStringSubmatch(lines.Text()); m != nil {
			go func() { // it must never wait for its reader
				for lines.Scan() {
				}
				r.Close()
			}()
			return m[1]
		}
	}
	t.Fatalf("%s did not start: %s", cmd.Path, said)
	return ""
}

// endBrowser ends a program and all it has started; a second time it does
// nothing.
func endBrowser(cmd *exec.Cmd) {
	if cmd.ProcessState != nil {
		return
	}
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
	_ = cmd.Wait() // it was killed: the error says so
}

// group starts a program in a group of its own, so that all it starts ends with
// it.
var group = &syscall.SysProcAttr{Setpgid: true}
