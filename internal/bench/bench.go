package bench

import (
	"context"
	"sync"
	"time"

	"foilside/internal/job"
	"foilside/internal/marking"
)

// Progress is told how far long work is, 0 to 1, and what is being done.
type Progress func(work string, done float64, what string)

// Options are what a bench is opened with. The zero value serves.
type Options struct {
	Now      func() time.Time // the clock for the log; nil: the system's
	Progress Progress         // nil: nobody watches
	ReadOnly bool             // only look; the job may be open elsewhere meanwhile
}

// Bench is one job being worked on.
type Bench struct {
	session *job.Session
	opts    Options
	shelf   marking.Index
	memo    memo
	stood   stood

	mu       sync.Mutex
	watchers map[int]func(job.Snapshot)
	nextID   int
}

// New opens the bench on the job that the store keeps.
func New(ctx context.Context, store job.Store, opts Options) (*Bench, error) {
	if opts.Now == nil {
		opts.Now = time.Now
	}
	s, err := job.NewSession(ctx, store, opts.Now)
	if err != nil {
		return nil, BadInput(err)
	}
	return &Bench{session: s, opts: opts, shelf: marking.NewIndex(), watchers: map[int]func(job.Snapshot){}}, nil
}

// Close gives the job free for others.
func (b *Bench) Close() error { return b.session.Store().Close() }

// Snapshot returns the job as it stands, with its history. It must not be changed.
func (b *Bench) Snapshot() job.Snapshot { return b.session.Snapshot() }

// document is the job's document as it stands.
func (b *Bench) document() job.Document { return b.session.Snapshot().Document }

// Watch calls receive after every change of the job, until stop is called.
// The receiver must not block.
func (b *Bench) Watch(receive func(job.Snapshot)) (stop func()) {
	b.mu.Lock()
	defer b.mu.Unlock()
	id := b.nextID
	b.nextID++
	b.watchers[id] = receive
	return func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		delete(b.watchers, id)
	}
}

// Edit changes the job by edits that a person sees as one step.
func (b *Bench) Edit(ctx context.Context, label string, edits ...job.Edit) (job.Snapshot, error) {
	return b.changed(b.session.Edit(ctx, label, edits))
}

// Do applies a command that was made for the job as it stands.
func (b *Bench) Do(ctx context.Context, c job.Command) (job.Snapshot, error) {
	return b.changed(b.session.Do(ctx, c))
}

// Revise changes the typed document in one step.
func (b *Bench) Revise(ctx context.Context, label string, change func(*job.Document) error, photos ...job.Blob) (job.Snapshot, error) {
	return b.changed(b.session.Revise(ctx, label, change, photos...))
}

// Undo takes the last step back.
func (b *Bench) Undo(ctx context.Context) (job.Snapshot, error) {
	return b.changed(b.session.Undo(ctx))
}

// Redo does the step again that was taken back last.
func (b *Bench) Redo(ctx context.Context) (job.Snapshot, error) {
	return b.changed(b.session.Redo(ctx))
}

// changed tells the watchers of a change that was saved.
func (b *Bench) changed(s job.Snapshot, err error) (job.Snapshot, error) {
	if err != nil {
		return s, storeFault(err)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, receive := range b.watchers {
		receive(s)
	}
	return s, nil
}

// reporter makes a stage's progress function, or nil where nobody watches.
func (b *Bench) reporter(work string) func(done float64, what string) {
	if b.opts.Progress == nil {
		return nil
	}
	return func(done float64, what string) { b.opts.Progress(work, done, what) }
}
