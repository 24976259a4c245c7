package seal_test

import (
	"bytes"
	"encoding/base64"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"filippo.io/age"

	"nightkeep/server/internal/seal"
)

// The example that age's own documentation is tested with (package
// filippo.io/age, ExampleDecrypt): a key, a file, and what it says.
const (
	exampleKey  = "AGE-SECRET-KEY-184JMZMVQH3E6U0PSL869004Y3U2NYV7R30EU99CSEDNPH02YUVFSZW44VU"
	exampleFile = "YWdlLWVuY3J5cHRpb24ub3JnL3YxCi0+IFgyNTUxOSA4aHJsTStaQkczRGQ0ZkYyK2E1ODN6ZFRJV0RrOC9SNDFrQ1lac3Z3VFc0CnlPNFBZZGxNV0RKK0N4Z1VOUnFZNVowVC9tK2czRkNoNWpJeEdMYkNWWGMKLS0tIEkvaW1ldlp6eTgxMjBKU3ptSm5tbi9LTWszcDVBMTFWODNOazQxbTlOUEUKcMXlNiShUgdT+Sxa0Q7KsnO6TWEXgHcT6DggQXod8soIGCJyyPhchXc0oTEaO3XpjQ6v"
	exampleText = "Black lives matter."
)

func write(t *testing.T, name string, raw []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// A file that another program encrypted is opened; a wrong key, a byte changed
// and a file cut short leave nothing, and say which it is.
func TestOpen(t *testing.T) {
	t.Parallel()
	raw, err := base64.StdEncoding.DecodeString(exampleFile)
	if err != nil {
		t.Fatal(err)
	}
	other, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	changed := bytes.Clone(raw)
	changed[len(changed)-20] ^= 1
	for _, tc := range []struct {
		name, key string
		file      []byte
		want      string // of the refusal; "" for none
	}{
		{"the example of the format's authors", exampleKey, raw, ""},
		{"another key", other.String(), raw, "another key"},
		{"a byte changed", exampleKey, changed, "damaged"},
		{"cut short by a byte", exampleKey, raw[:len(raw)-1], "damaged"},
		{"cut in its head", exampleKey, raw[:60], "damaged"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			keys, err := seal.Identities(write(t, "key.txt", []byte("# a key\n"+tc.key+"\n")))
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			got, err := open(write(t, "sealed", tc.file), filepath.Join(dir, "plain"), keys)
			left, listed := os.ReadDir(dir)
			switch {
			case tc.want == "" && (err != nil || string(got) != exampleText):
				t.Errorf("got %q, %v; want %q", got, err, exampleText)
			case tc.want != "" && (err == nil || !strings.Contains(err.Error(), tc.want)):
				t.Errorf("got %v; want %q", err, tc.want)
			}
			if listed != nil || len(left) > 0 {
				t.Errorf("%v is left, %v; want nothing", left, listed)
			}
		})
	}
}

// What is encrypted comes back whole with the secret key of each recipient,
// also of the kind that resists quantum computers, and nothing of it can be
// read in the file.
func TestFile(t *testing.T) {
	t.Parallel()
	key := filepath.Join(t.TempDir(), "key.txt")
	public, err := seal.NewKey(key)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(key); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the secret key has mode %v, %v; want 0600", info.Mode().Perm(), err)
	}
	if _, err := seal.NewKey(key); err == nil {
		t.Error("a second key was written over the first")
	}
	hybrid, err := age.GenerateHybridIdentity()
	if err != nil {
		t.Fatal(err)
	}
	text := bytes.Repeat([]byte("left eye itched; "), 20_000)
	for name, tc := range map[string]struct{ recipients, key string }{
		"one key":                  {public, key},
		"a key among several":      {exampleRecipient(t) + "\n" + public, key},
		"a file of keys":           {write(t, "keys", []byte("# the practice\n"+public+"\n")), key},
		"against quantum computer": {hybrid.Recipient().String(), write(t, "key.txt", []byte(hybrid.String()))},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			recipients, err := seal.Recipients(tc.recipients)
			if err != nil {
				t.Fatal(err)
			}
			sealed := filepath.Join(t.TempDir(), "backup.age")
			if err := seal.File(write(t, "plain", text), sealed, recipients); err != nil {
				t.Fatal(err)
			}
			raw, err := os.ReadFile(sealed)
			if err != nil || bytes.Contains(raw, []byte("itched")) || !bytes.HasPrefix(raw, []byte("age-encryption.org/v1\n")) {
				t.Errorf("the file is readable or not of the format, %v", err)
			}
			keys, err := seal.Identities(tc.key)
			if err != nil {
				t.Fatal(err)
			}
			if got, err := open(sealed, filepath.Join(t.TempDir(), "back"), keys); err != nil || !bytes.Equal(got, text) {
				t.Errorf("%d bytes came back, %v; want the %d put in", len(got), err, len(text))
			}
			if err := seal.File(sealed, sealed, recipients); err == nil {
				t.Error("a file was written over")
			}
		})
	}
}

// open reads what a sealed file holds.
func open(sealed, beside string, keys []age.Identity) ([]byte, error) {
	f, err := seal.Open(sealed, beside, keys)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return os.ReadFile(f.Path())
}

func exampleRecipient(t *testing.T) string {
	t.Helper()
	id, err := age.ParseX25519Identity(exampleKey)
	if err != nil {
		t.Fatal(err)
	}
	return id.Recipient().String()
}

// What is no key is refused in words, and a secret never shows in them.
func TestBadKeys(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"age1notakey", "/no/such/file", exampleKey} {
		if _, err := seal.Recipients(text); err == nil || !strings.Contains(err.Error(), "age1") || strings.Contains(err.Error(), exampleKey[20:]) {
			t.Errorf("recipients %.10q: got %v, want a refusal that names what is accepted", text, err)
		}
	}
	broken := write(t, "key.txt", []byte(exampleKey[:40]))
	if _, err := seal.Identities(broken); err == nil || strings.Contains(err.Error(), exampleKey[20:40]) {
		t.Errorf("got %v, want a refusal without the secret", err)
	}
}
