// Package live serves a design's page on this machine alone while the design is written: each save
// is shown, and values can be tried. It serves nobody who does not know its token, no file but the
// page, and never writes the design.
package live

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/display"
	"perch/lang/family"
	"perch/lang/watch"
	"perch/parts/page"
)

// Server is a page that is served. It holds the last state that was built without error.
type Server struct {
	token string
	host  string // host:port that it listens on

	mu      sync.Mutex // of what follows, and of the program while values are tried
	job     family.Job
	results []*build.Result
	doc     *page.Document
	wrong   string // what is wrong with what was saved last; "" where nothing is
	built   int    // how many reports came
	waiting map[chan struct{}]bool
}

// New makes a server for a listener's address, with a token drawn anew.
func New(at net.Addr) (*Server, error) {
	var b [16]byte
	if _, err := rand.Read(b[:]); err != nil {
		return nil, err
	}
	return &Server{token: hex.EncodeToString(b[:]), host: at.String(), waiting: map[chan struct{}]bool{}}, nil
}

// PortError tells that nothing can be served at a port.
type PortError struct {
	Port int
	Why  error
}

func (e *PortError) Error() string {
	return fmt.Sprintf("port %d of this machine is taken or not allowed (%v); --port 0 takes a free one", e.Port, e.Why)
}

func (e *PortError) Unwrap() error { return e.Why }

// Listen opens a port of the loopback address, a free one for 0. A *PortError where it can't.
func Listen(port int) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", fmt.Sprint(port)))
	if err != nil {
		return nil, &PortError{Port: port, Why: err}
	}
	return l, nil
}

// Address is where the page is.
func (s *Server) Address() string { return "http://" + s.host + "/" + s.token + "/" }

// Serve answers until ctx is done.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{Handler: s, ReadHeaderTimeout: 5 * time.Second, BaseContext: func(net.Listener) context.Context { return ctx }}
	go func() {
		<-ctx.Done()
		server.Close()
	}()
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// Show takes what came of a save. What has mistakes is told, and the last good piece stays.
func (s *Server) Show(r watch.Report) error {
	doc, err := documentOf(r)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case r.Gone:
		s.wrong = "The design's file is gone; it is waited for."
	case r.Err != nil && doc == nil:
		s.wrong = r.Err.Error()
	case doc == nil:
		s.wrong = told(r.Diags)
	default:
		s.job, s.results, s.doc, s.wrong = r.Job, r.Results, doc, ""
	}
	s.built++
	for c := range s.waiting {
		select {
		case c <- struct{}{}:
		default: // it has a notice that it did not take yet
		}
	}
	return nil
}

// documentOf is the page of what was built; nil where nothing was.
func documentOf(r watch.Report) (*page.Document, error) {
	if len(r.Results) == 0 {
		return nil, nil
	}
	doc := display.Document(r.Job, false)
	doc.Live = true
	for _, z := range r.Results {
		size, err := display.Size(r.Job, z, r.Diags)
		if err != nil {
			return nil, err
		}
		doc.Sizes = append(doc.Sizes, size)
	}
	return doc, nil
}

// told are mistakes as the terminal tells them.
func told(diags []diag.Diagnostic) string {
	var b bytes.Buffer
	_ = diag.Render(&b, diag.Limited(diag.Sorted(diags), diag.MostTold), diag.Style{}) // a buffer takes all
	return b.String()
}

// allowed tells whether a request is from this page, or from somebody who types its address:
// the host that is asked for is this machine by the address that is listened on, another page's
// origin is refused, and so is who does not know the token.
func (s *Server) allowed(r *http.Request) (path string, ok bool) {
	if r.Host != s.host {
		return "", false
	}
	origin := r.Header.Get("Origin")
	if origin != "" && origin != "http://"+s.host || origin == "" && r.Method != http.MethodGet {
		return "", false
	}
	if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
		return "", false
	}
	p := r.URL.Path
	if n := len(s.token) + 2; len(p) >= n && subtle.ConstantTimeCompare([]byte(p[:n]), []byte("/"+s.token+"/")) == 1 {
		return p[n:], true
	}
	return "", false
}

// ServeHTTP answers what the page asks.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	path, ok := s.allowed(r)
	if !ok {
		http.Error(w, "not allowed", http.StatusForbidden)
		return
	}
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	switch r.Method + " " + path {
	case "GET ":
		s.page(w)
	case "GET scene":
		s.scene(w)
	case "GET events":
		s.events(w, r)
	case "POST try":
		s.try(w, r)
	default:
		http.NotFound(w, r)
	}
}

// page writes the page without the scene, which it asks for itself.
func (s *Server) page(w http.ResponseWriter) {
	s.mu.Lock()
	empty := page.Document{Design: "Nothing built yet", Live: true}
	if s.doc != nil {
		empty = *s.doc
		empty.Sizes = nil
		for _, z := range s.doc.Sizes {
			empty.Sizes = append(empty.Sizes, page.Size{Name: z.Name})
		}
	}
	s.mu.Unlock()
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_ = empty.Write(w) // who asked may be gone
}

// events tells of every save until who listens is gone.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	flush, ok := w.(http.Flusher)
	if !ok {
		http.Error(w, "no stream", http.StatusInternalServerError)
		return
	}
	c := make(chan struct{}, 1)
	s.mu.Lock()
	s.waiting[c] = true
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		delete(s.waiting, c)
		s.mu.Unlock()
	}()
	w.Header().Set("Content-Type", "text/event-stream")
	fmt.Fprint(w, ": here\n\n")
	flush.Flush()
	for {
		select {
		case <-r.Context().Done():
			return
		case <-c:
			if _, err := fmt.Fprint(w, "event: built\ndata: 1\n\n"); err != nil {
				return
			}
			flush.Flush()
		}
	}
}
