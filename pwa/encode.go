package pwa

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"path"
	"slices"
	"sync"

	brotli "github.com/molecule-man/go-brrr"
)

// brotliLevel is the highest that keeps a first request short. What a first visit
// waits for is pressed as hard as can be, once in the life of a process: 7 per cent
// less, for some fifteen times the work.
const (
	brotliLevel = 9
	firstLevel  = brotli.BestCompression
)

// contentTypes by extension. The list is closed so that a machine's own type
// table cannot change what is sent.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".json": "application/json", ".map": "application/json", ".webmanifest": "application/manifest+json",
	".svg": "image/svg+xml", ".png": "image/png",
}

func contentType(name string) string {
	if t, ok := contentTypes[path.Ext(name)]; ok {
		return t
	}
	return "application/octet-stream"
}

// digest is a short name for content: 80 bits of SHA-256.
func digest(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:10])
}

// finish adds the service worker, whose content depends on all other files,
// and has every file compressed on its first request.
func (s *Site) finish(t *tree, precache []string) error {
	slices.Sort(precache)
	names := make([]string, 0, len(s.files))
	for name := range s.files {
		names = append(names, name)
	}
	slices.Sort(names)
	all := sha256.New()
	for _, name := range names {
		io.WriteString(all, name+"\n"+digest(s.files[name].Body)+"\n")
	}
	s.version = hex.EncodeToString(all.Sum(nil)[:6])
	sw, err := worker(t, s.version, precache)
	if err != nil {
		return err
	}
	s.files["sw.js"] = File{CacheControl: revalidate, Body: sw}
	s.compress(append(names, "sw.js"))
	return nil
}

// compress lets each file be compressed when it is first asked for: doing all
// of them takes longer than everything else at the start.
func (s *Site) compress(names []string) {
	s.encoded = make(map[string]func() File, len(names))
	for _, name := range names {
		level := brotliLevel
		if slices.Contains(s.first, name) {
			level = firstLevel
		}
		s.encoded[name] = sync.OnceValue(func() File { return encode(name, s.files[name], level) })
	}
}

func encode(name string, f File, level int) File {
	f.ContentType, f.ETag = contentType(name), `"`+digest(f.Body)+`"`
	switch path.Ext(name) {
	case ".png", ".map": // already compressed, or fetched by developers only
		return f
	}
	br, err := brotli.Compress(f.Body, level)
	if err != nil {
		return f
	}
	var gz bytes.Buffer
	z, err := gzip.NewWriterLevel(&gz, gzip.BestCompression)
	if err != nil {
		return f
	}
	if _, err := z.Write(f.Body); err != nil || z.Close() != nil {
		return f
	}
	if len(br) < len(f.Body) && gz.Len() < len(f.Body) {
		f.Brotli, f.Gzip = br, gz.Bytes()
	}
	return f
}
