package httpapi

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"time"
)

// Options of a server.
type Options struct {
	Token string // of this start; see NewToken
	Page  fs.FS  // the built page, index.html at its root
}

// Server answers for one bench.
type Server struct {
	handler http.Handler
	hub     *hub
	stop    func()
}

// New makes a server. Close it when done.
func New(b Bench, o Options) *Server {
	mux := http.NewServeMux()
	h := newHub()
	newAPI(mux, b)
	registerFiles(mux, b)
	mux.HandleFunc("GET /api/events", h.stream)
	mux.HandleFunc("POST "+sessionPath, session(o.Token))
	mux.Handle("/", http.FileServerFS(o.Page))
	return &Server{handler: newGuard(o.Token, recovering(mux)), hub: h, stop: b.Watch(h.send)}
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Close ends the event streams and stops listening to the bench.
func (s *Server) Close() {
	s.stop()
	s.hub.close()
}

// Listen opens a port of the loopback address; port 0 takes any that is free.
//
// Errors: a sentence that says what to do where the port is taken.
func Listen(port int) (net.Listener, error) {
	l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return nil, fmt.Errorf("port %d of this machine can't be used (%w); another bench may be running there: use its window, or leave out the port to take a free one", port, err)
	}
	return l, nil
}

// Address is what a person opens: the token stands in the fragment, which no
// browser sends to any server.
func Address(l net.Listener, token string) string {
	return "http://" + l.Addr().String() + "/#" + token
}

// Serve answers on l until ctx ends, then lets running requests finish for a
// moment. It closes s.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{Handler: s, ReadHeaderTimeout: 10 * time.Second, BaseContext: func(net.Listener) context.Context { return ctx }}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	select {
	case err := <-failed:
		s.Close()
		return err
	case <-ctx.Done():
	}
	s.Close()
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	err := server.Shutdown(last)
	if errors.Is(err, context.DeadlineExceeded) {
		err = server.Close()
	}
	<-failed
	return err
}

// recovering turns a panic of a handler into a Problem, so that one bad request
// does not take the bench down.
func recovering(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				writeProblem(w, Problem{Status: http.StatusInternalServerError, Kind: KindInternal,
					Detail: fmt.Sprintf("a fault of the program itself: %v", p),
					Next:   "nothing of the job is lost; undo the last step, and report what you did"})
			}
		}()
		next.ServeHTTP(w, r)
	})
}

func writeJSON(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // the client may be gone; nobody is left to tell
}
