package httpapi

import (
	"context"
	"errors"
	"strings"
	"sync"
	"time"

	"foilside/internal/bench"
	"foilside/internal/job"
)

// live answers from a real bench: it turns wire shapes into edits of the
// document, and results into wire shapes. It decides nothing.
type live struct {
	bench *bench.Bench
	opts  LiveOptions
}

// LiveOptions are what a bench is served with.
type LiveOptions struct {
	File     string           // name of the job file, as shown
	Now      func() time.Time // gives the time of readings and symptoms; nil: the system's clock
	Progress *Relay           // that the bench was opened with; nil: nobody tells of progress
}

// Over serves a bench.
func Over(b *bench.Bench, o LiveOptions) Bench {
	if o.Now == nil {
		o.Now = time.Now
	}
	return &live{bench: b, opts: o}
}

// Watch tells of every change of the job and of the progress of long work.
func (l *live) Watch(receive func(Event)) func() {
	stop := l.bench.Watch(func(s job.Snapshot) { receive(Event{Type: "changed", Revision: int(s.Revision)}) })
	quiet := l.opts.Progress.watch(receive)
	return func() {
		stop()
		quiet()
	}
}

// Relay carries the progress of long work from a bench to the pages that are
// open. Its Report goes into the options that the bench is opened with, before
// there is a server.
type Relay struct {
	mu       sync.Mutex
	watchers map[int]func(Event)
	next     int
}

// Report tells how far a work is, 0 to 1, and what is being done.
func (r *Relay) Report(work string, done float64, what string) {
	e := Event{Type: "progress", Work: work, Done: done, What: what}
	if done >= 1 {
		e.Type = "done"
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, receive := range r.watchers {
		receive(e)
	}
}

func (r *Relay) watch(receive func(Event)) (stop func()) {
	if r == nil {
		return func() {}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.watchers == nil {
		r.watchers = map[int]func(Event){}
	}
	id := r.next
	r.next++
	r.watchers[id] = receive
	return func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		delete(r.watchers, id)
	}
}

// fault turns a bench's error into a Problem, keeping its words.
func fault(err error) error {
	if err == nil {
		return nil
	}
	p := &Problem{Kind: kindOfFault(err), Detail: err.Error()}
	p.Status = statusOf(p.Kind)
	var f *bench.Fault
	if errors.As(err, &f) {
		p.Next = strings.Join(f.Next, " ")
	}
	var advice advised
	if p.Next == "" && errors.As(err, &advice) {
		p.Next = advice.Next()
	}
	p.Detail = strings.TrimSuffix(p.Detail, "; "+p.Next) // some errors say both on one line
	return p
}

func kindOfFault(err error) Kind {
	var f *bench.Fault
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return KindStopped
	case errors.Is(err, job.ErrStale):
		return KindConflict
	case errors.As(err, &f) && !f.Input:
		return KindNotYet
	}
	return KindBadInput
}
