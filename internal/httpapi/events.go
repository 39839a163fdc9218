package httpapi

import (
	"encoding/json"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// Event is one message of the event stream.
type Event struct {
	Type     string  `json:"type" enum:"changed,progress,done,failed" doc:"changed: the job has a new revision; the others tell of one long work"`
	Revision int     `json:"revision,omitempty" doc:"of the job, with changed"`
	Work     string  `json:"work,omitempty" doc:"which work: align, copper, expect …"`
	Done     float64 `json:"done,omitempty" doc:"0 to 1"`
	What     string  `json:"what,omitempty" doc:"what is being done, or why it failed"`
}

// hub hands events on to every open page. A page that does not read for a
// while loses events, never holds up the others: it asks anew for the whole job
// on the next one, since each carries the revision.
type hub struct {
	mu      sync.Mutex
	clients map[chan Event]struct{}
	closed  chan struct{}
	once    sync.Once
}

func newHub() *hub {
	return &hub{clients: map[chan Event]struct{}{}, closed: make(chan struct{})}
}

func (h *hub) send(e Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for c := range h.clients {
		select {
		case c <- e:
		default:
		}
	}
}

func (h *hub) join() chan Event {
	c := make(chan Event, 64)
	h.mu.Lock()
	defer h.mu.Unlock()
	h.clients[c] = struct{}{}
	return c
}

func (h *hub) leave(c chan Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.clients, c)
}

// close ends every stream, so that the server can shut down.
func (h *hub) close() { h.once.Do(func() { close(h.closed) }) }

// heartbeat keeps the stream from looking dead, and finds pages that are gone.
const heartbeat = 20 * time.Second

// stream serves server-sent events (WHATWG HTML, section 9.2).
func (h *hub) stream(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	control := http.NewResponseController(w)
	events := h.join()
	defer h.leave(events)
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	if _, err := fmt.Fprint(w, "retry: 1000\n\n"); err != nil || control.Flush() != nil {
		return
	}
	for {
		select {
		case <-r.Context().Done():
			return
		case <-h.closed:
			return
		case <-beat.C:
			if _, err := fmt.Fprint(w, ": here\n\n"); err != nil || control.Flush() != nil {
				return
			}
		case e := <-events:
			if writeEvent(w, e) != nil || control.Flush() != nil {
				return
			}
		}
	}
}

func writeEvent(w http.ResponseWriter, e Event) error {
	data, err := json.Marshal(e)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "data: %s\n\n", data)
	return err
}
