// Package mail sends plain mails over SMTP with TLS: the second channel to a
// person, for when a push is not acknowledged. It is the one wrapper round
// go-mail.
//
// It refuses to send without encryption, to send any subject that is not on
// its closed list, and to put what it was told about people into an error. A
// mail is no proof that anybody read it.
package mail

import (
	"context"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/mail"
	"net/textproto"
	"slices"
	"strconv"
	"strings"
	"time"

	gomail "github.com/wneessen/go-mail"
)

const (
	defaultTimeout = 10 * time.Second
	implicitPort   = 465 // submissions: TLS from the first byte (RFC 8314 section 3.3)
)

// Config is how to reach the practice's mail server.
type Config struct {
	Addr     string // host:port; port 465 speaks TLS at once, any other must offer STARTTLS
	User     string // empty: no authentication
	Password string
	From     string        // sender's address
	Timeout  time.Duration // for connecting, and for each answer; 0 means 10 seconds
	Implicit bool          // TLS from the first byte on another port than 465
	TLS      *tls.Config   // nil: the system's trust; tests set their own
}

// Sender sends mails. It keeps no connection open and is safe for concurrent
// use.
type Sender struct {
	cfg  Config
	host string
	opts []gomail.Option
}

// New returns a sender, or an error about the first setting that is not usable.
func New(cfg Config) (*Sender, error) {
	host, portText, err := net.SplitHostPort(cfg.Addr)
	if err != nil || host == "" {
		return nil, fmt.Errorf("mail: server %q: want host:port", cfg.Addr)
	}
	port, err := strconv.Atoi(portText)
	if err != nil || port < 1 || port > 65535 {
		return nil, fmt.Errorf("mail: server %q: want a port from 1 to 65535", cfg.Addr)
	}
	if _, err := mail.ParseAddress(cfg.From); err != nil {
		return nil, errors.New("mail: sender: want a mail address")
	}
	if cfg.Timeout <= 0 {
		cfg.Timeout = defaultTimeout
	}
	trust := cfg.TLS.Clone()
	if trust == nil {
		trust = &tls.Config{}
	}
	if trust.ServerName == "" {
		trust.ServerName = host
	}
	trust.MinVersion = tls.VersionTLS12
	s := &Sender{cfg: cfg, host: host, opts: []gomail.Option{
		gomail.WithPort(port), gomail.WithTLSConfig(trust), gomail.WithHELO("localhost"), // tells nothing about this machine
	}}
	if cfg.Implicit || port == implicitPort {
		s.opts = append(s.opts, gomail.WithSSL())
	} else {
		s.opts = append(s.opts, gomail.WithTLSPolicy(gomail.TLSMandatory))
	}
	if cfg.User != "" {
		s.opts = append(s.opts, gomail.WithSMTPAuth(gomail.SMTPAuthAutoDiscover), gomail.WithUsername(cfg.User), gomail.WithPassword(cfg.Password))
	}
	return s, nil
}

// Subjects returns the closed list of subjects by key. A subject shows on lock
// screens and in logs of mail servers, so none names a person, an eye or a
// condition.
func Subjects() map[string]string {
	return map[string]string{
		"emergency": "Nightkeep: EMERGENCY, please take it now",
		"urgent":    "Nightkeep: urgent, please take it today",
		"routine":   "Nightkeep: a routine alert waits for you",
		"alert":     "Nightkeep: an alert waits for you",
		"reminder":  "Nightkeep: still waiting for you",
		"lapsed":    "Nightkeep: nobody has answered",
		"drill":     "Nightkeep: DRILL, nobody is ill, please take it now",
		"rota":      "Nightkeep: please check the rota",
		"rehearse":  "Nightkeep: please try a backup",
		"staff":     "Nightkeep: somebody was given access",
		"summary":   "Nightkeep: messages that could not be sent",
		"operator":  "Nightkeep: the server needs attention",
		"test":      "Nightkeep: test message",
	}
}

// Error says why a mail was not sent. Its text holds no address of a person and
// nothing the server said beyond its code.
type Error struct {
	Code      int  // SMTP reply code; 0 when there was none
	Temporary bool // worth another try
	Stage     string
}

// Error returns the stage and the code.
func (e *Error) Error() string {
	return "mail: " + e.Words()
}

// Words is the same for whoever set the mail server.
func (e *Error) Words() string {
	if e.Code == 0 {
		return e.Stage
	}
	return fmt.Sprintf("%s (the server answered %d)", e.Stage, e.Code)
}

// Temporary reports whether an error of Send is worth another try. Only what
// the server or we said for good is not.
func Temporary(err error) bool {
	var e *Error
	return !errors.As(err, &e) || e.Temporary
}

// Send sends one mail and returns nil once the server has taken it. subject is
// a key of [Subjects]. A message sent again with the same key carries the same
// Message-ID, by which mail systems tell a repeat (RFC 5322 section 3.6.4); the
// id tells nothing else. An error is an [*Error].
func (s *Sender) Send(ctx context.Context, key, to, subject, text string) error {
	msg, err := s.message(key, to, subject, text)
	if err != nil {
		return err
	}
	timeout := s.cfg.Timeout
	if deadline, ok := ctx.Deadline(); ok {
		timeout = max(min(timeout, time.Until(deadline)), time.Millisecond)
	}
	client, err := gomail.NewClient(s.host, append(s.opts[:len(s.opts):len(s.opts)], gomail.WithTimeout(timeout))...)
	if err != nil {
		return &Error{Stage: "settings are not usable"}
	}
	conn, err := client.DialToSMTPClientWithContext(ctx)
	if err != nil {
		return failure(s.cfg.Addr, "connect or sign in", err)
	}
	stop := context.AfterFunc(ctx, func() { conn.Close() })
	defer stop()
	if err := client.SendWithSMTPClient(conn, msg); err != nil && !msg.IsDelivered() {
		conn.Close()
		return failure(s.cfg.Addr, "send", err)
	}
	client.CloseWithSMTPClient(conn) // taken already; a failed goodbye changes nothing
	return nil
}

// message builds the mail. Line breaks in an address cannot get through: it
// must parse as exactly one address.
func (s *Sender) message(key, to, subject, text string) (*gomail.Msg, error) {
	line, ok := Subjects()[subject]
	if !ok {
		return nil, &Error{Stage: "subject is not on the list"}
	}
	if a, err := mail.ParseAddress(to); err != nil || strings.ContainsAny(to, "\r\n") || a.Address == "" {
		return nil, &Error{Stage: "recipient is not an address"}
	}
	msg := gomail.NewMsg(gomail.WithNoDefaultUserAgent())
	if msg.From(s.cfg.From) != nil || msg.To(to) != nil {
		return nil, &Error{Stage: "address is not usable"}
	}
	msg.Subject(line)
	msg.SetDate()
	msg.SetMessageIDWithValue(s.messageID(key, to))
	msg.SetGenHeader("Auto-Submitted", "auto-generated") // RFC 3834: no holiday replies
	msg.SetBodyString(gomail.TypeTextPlain, text)
	return msg, nil
}

// messageID returns the left and right side of an id: a hash, and the domain of
// the sender.
func (s *Sender) messageID(key, to string) string {
	sum := sha256.Sum256([]byte(key + "\x00" + to))
	domain := "localhost"
	if a, err := mail.ParseAddress(s.cfg.From); err == nil {
		_, domain, _ = strings.Cut(a.Address, "@")
	}
	return hex.EncodeToString(sum[:16]) + "@" + domain
}

// failure classes an error: a 5xx answer is for good, and so is a server that
// offers no encryption or no authentication we have; the network and 4xx are
// worth another try (RFC 5321 section 4.2.1).
func failure(addr, stage string, err error) error {
	out := &Error{Stage: stage, Temporary: true}
	var reply *textproto.Error
	var send *gomail.SendError
	switch {
	case errors.As(err, &reply):
		out.Code = reply.Code
	case errors.As(err, &send):
		out.Code = send.ErrorCode()
	}
	if out.Code != 0 {
		out.Temporary = out.Code < 500
	}
	if strings.Contains(err.Error(), "does not support STARTTLS") { // the library has no value for it
		out.Stage, out.Temporary = stage+": the server offers no STARTTLS", false
		return out
	}
	if remedy := remedyFor(addr, out.Code, err); remedy != "" {
		out.Stage += ": " + remedy
	}
	return out
}

// refusedSignIn are replies to a user name and password (RFC 4954 section 6).
var refusedSignIn = []int{530, 534, 535, 538}

// remedyFor says what stands in the way and what helps; empty when only the
// server's code is known.
func remedyFor(addr string, code int, err error) string {
	host, port, _ := net.SplitHostPort(addr)
	var untrusted *tls.CertificateVerificationError
	var noName *net.DNSError
	var dial *net.OpError
	switch {
	case slices.Contains(refusedSignIn, code):
		return "the user name or the password is not taken by " + host
	case code != 0:
		return ""
	case errors.As(err, &untrusted):
		return "the certificate of " + host + " is not trusted here: name the mail server as on its certificate, or add its authority to what this machine trusts"
	case errors.As(err, &noName):
		return "no machine is found by the name " + host + ": is it written right, and does this machine resolve names?"
	case errors.As(err, &dial) && dial.Op == "dial":
		return host + " does not answer at port " + port + ": is the port right, and may this machine reach it?"
	}
	return ""
}
