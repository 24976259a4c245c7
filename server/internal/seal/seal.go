// Package seal encrypts backups with age (age-encryption.org/v1), so that a
// copy which leaves the building tells nothing to who finds it. It owns the
// reading of public and secret keys and the check of what it wrote; it keeps no
// key. What it cannot open or write whole it leaves no trace of.
package seal

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"filippo.io/age"

	"nightkeep/server/internal/durable"
)

// Recipients reads public keys: one or several "age1…", each on a line of its
// own, or the path of a file with them. The empty text gives none.
func Recipients(text string) ([]age.Recipient, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return nil, nil
	}
	if strings.HasPrefix(strings.ToUpper(text), "AGE-SECRET-KEY") {
		return nil, errors.New("that is a secret key; want the public one, which begins with age1")
	}
	if !strings.HasPrefix(text, "age1") && !strings.HasPrefix(text, "#") {
		raw, err := os.ReadFile(text)
		if err != nil {
			return nil, fmt.Errorf("want a public key that begins with age1, or a file of such keys: %w", err)
		}
		text = string(raw)
	}
	list, err := age.ParseRecipients(strings.NewReader(text))
	if err != nil {
		return nil, fmt.Errorf("want public keys that begin with age1, one on each line: %w", err)
	}
	return list, nil
}

// Identities reads the secret keys of a file, as age-keygen and [NewKey] write
// it. A fault never shows what stands in the file.
func Identities(path string) ([]age.Identity, error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("read the secret key: %w", err)
	}
	list, err := age.ParseIdentities(bytes.NewReader(raw))
	if err != nil {
		return nil, fmt.Errorf("%s is not a file of secret keys: want lines that begin with AGE-SECRET-KEY-1; a key under a passphrase is opened with age first", path)
	}
	return list, nil
}

// NewKey makes a secret key in a new file that only its owner can read, and
// returns the public key.
func NewKey(path string) (recipient string, err error) {
	id, err := age.GenerateX25519Identity()
	if err != nil {
		return "", err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return "", err
	}
	_, err = fmt.Fprintf(f, "# public key: %s\n%s\n", id.Recipient(), id)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return "", errors.Join(err, os.Remove(path))
	}
	if err := durable.Name(path); err != nil {
		return "", err
	}
	return id.Recipient().String(), nil
}

// intro is how a file in age's format begins.
const intro = "age-encryption.org/v1\n"

// Sealed reports whether a file is encrypted.
func Sealed(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head := make([]byte, len(intro))
	if _, err := io.ReadFull(f, head); err != nil {
		return false, nil // shorter than that: not encrypted
	}
	return string(head) == intro, nil
}

// File encrypts a file for the recipients, reads back what it wrote, and only
// then gives it its name, which must be free. To be able to read it back, it
// adds one more key to the file, made for this and forgotten at once.
func File(from, to string, recipients []age.Recipient) error {
	if _, err := os.Stat(to); err == nil {
		return fmt.Errorf("there is already a file %s; a backup never overwrites", to)
	}
	probe, err := probeFor(recipients)
	if err != nil {
		return err
	}
	part := to + ".part"
	defer os.Remove(part)
	sum, err := encrypt(from, part, append(recipients, probe.recipient))
	if err != nil {
		return fmt.Errorf("encrypt the backup: %w", err)
	}
	back := sha256.New()
	if err := decrypt(part, back, []age.Identity{probe.identity}); err != nil {
		return fmt.Errorf("read the encrypted backup back: %w", err)
	}
	if !bytes.Equal(sum, back.Sum(nil)) {
		return errors.New("the encrypted backup does not hold what was put in")
	}
	return durable.Rename(part, to)
}

type probe struct {
	identity  age.Identity
	recipient age.Recipient
}

// probeFor makes a key of the kind that goes with the recipients: age refuses
// to mix keys that resist quantum computers with others.
func probeFor(recipients []age.Recipient) (probe, error) {
	for _, r := range recipients {
		if _, ok := r.(*age.HybridRecipient); ok {
			id, err := age.GenerateHybridIdentity()
			if err != nil {
				return probe{}, err
			}
			return probe{id, id.Recipient()}, nil
		}
	}
	id, err := age.GenerateX25519Identity()
	if err != nil {
		return probe{}, err
	}
	return probe{id, id.Recipient()}, nil
}

// encrypt returns the SHA-256 of what it read.
func encrypt(from, to string, recipients []age.Recipient) ([]byte, error) {
	in, err := os.Open(from)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	sum := sha256.New()
	w, err := age.Encrypt(out, recipients...)
	if err == nil {
		_, err = io.Copy(w, io.TeeReader(in, sum))
		err = errors.Join(err, w.Close())
	}
	return sum.Sum(nil), errors.Join(err, out.Sync(), out.Close())
}

// Open decrypts a file into a new one without a name, which whoever calls closes. A
// wrong key and a damaged file leave nothing, and say which of the two it is. beside
// is a path on the disk that the new file is to stand on.
func Open(from, beside string, identities []age.Identity) (*durable.Unkept, error) {
	out, err := durable.NewUnkept(beside)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(decrypt(from, out, identities), out.Sync()); err != nil {
		return nil, errors.Join(words(from, err), out.Close())
	}
	return out, nil
}

func decrypt(from string, to io.Writer, identities []age.Identity) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	r, err := age.Decrypt(in, identities...)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, r)
	return err
}

func words(path string, err error) error {
	var no *age.NoIdentityMatchError
	if errors.As(err, &no) {
		return fmt.Errorf("%s was encrypted for another key: no secret key given opens it; nothing was restored", path)
	}
	return fmt.Errorf("%s cannot be read whole, it may be damaged or cut short; nothing was restored: %w", path, err)
}
