package httpapi

import (
	"bufio"
	"context"
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"
)

// TestEvents runs the program's server on a free port: a change made by one
// page reaches another, and the server ends in good order with a stream open.
func TestEvents(t *testing.T) {
	f := &fake{}
	l, err := Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- New(f, Options{Token: testToken, Page: page()}).Serve(ctx, l) }()
	client := &http.Client{Transport: &http.Transport{}}
	defer client.CloseIdleConnections()
	base := "http://" + l.Addr().String()

	stream := do(t, client, "GET", base+"/api/events", "")
	defer func() { _ = stream.Body.Close() }()
	if got := stream.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Fatalf("the stream is %s", got)
	}
	lines := bufio.NewScanner(stream.Body)
	lines.Scan() // the retry line: from here on this page is listened for

	change := do(t, client, "POST", base+"/api/command", `{"do": "unit", "text": "Intercom"}`)
	_ = change.Body.Close()
	if e := nextEvent(t, lines); e.Type != "changed" || e.Revision != 1 {
		t.Errorf("heard %+v", e)
	}

	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("the server ended with %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("the server does not end while a page listens")
	}
}

func do(t *testing.T, client *http.Client, method, url, body string) *http.Response {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+testToken)
	r.Header.Set("Content-Type", "application/json")
	response, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	return response
}

func nextEvent(t *testing.T, lines *bufio.Scanner) Event {
	t.Helper()
	for lines.Scan() {
		if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
			var e Event
			if err := json.Unmarshal([]byte(data), &e); err != nil {
				t.Fatal(err)
			}
			return e
		}
	}
	t.Fatalf("the stream ended: %v", lines.Err())
	return Event{}
}

// TestASlowPageHoldsNobodyUp fills one page's queue.
func TestASlowPageHoldsNobodyUp(t *testing.T) {
	h := newHub()
	slow, quick := h.join(), h.join()
	for i := range 200 {
		h.send(Event{Type: "changed", Revision: i})
		if e := <-quick; e.Revision != i {
			t.Fatalf("the quick page got %d, want %d", e.Revision, i)
		}
	}
	if len(slow) != cap(slow) {
		t.Errorf("the slow page has %d events waiting, want %d", len(slow), cap(slow))
	}
	h.leave(slow)
	h.send(Event{})
	if len(slow) != cap(slow) {
		t.Error("a page that left still gets events")
	}
}

// TestRelay carries progress to pages that came after it, until they go.
func TestRelay(t *testing.T) {
	r := &Relay{}
	r.Report("copper", 0.5, "nobody listens yet")
	var heard []Event
	stop := r.watch(func(e Event) { heard = append(heard, e) })
	r.Report("copper", 0.5, "looking")
	r.Report("copper", 1, "done")
	stop()
	r.Report("copper", 0.1, "too late")
	if len(heard) != 2 || heard[0].Type != "progress" || heard[0].Done != 0.5 || heard[1].Type != "done" {
		t.Errorf("heard %+v", heard)
	}
	var none *Relay
	none.watch(func(Event) {})()
}
