package job

import (
	"context"
	"sync"
	"time"
)

// Session is a job being worked on: a document with its history over a store.
// A change is in the document only once the store has it. It may be used from
// several goroutines.
type Session struct {
	store Store
	now   func() time.Time
	mu    sync.Mutex
	at    Snapshot
}

// NewSession begins work on the job that the store keeps.
func NewSession(ctx context.Context, store Store, now func() time.Time) (*Session, error) {
	at, err := store.Load(ctx)
	if err != nil {
		return nil, err
	}
	return &Session{store: store, now: now, at: at}, nil
}

// Now returns the job as it stands. It must not be changed.
func (s *Session) Snapshot() Snapshot {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.at
}

// Store returns the store that the session works over.
func (s *Session) Store() Store { return s.store }

// Do applies a command and saves it, with photos that come with it. A command
// that changes nothing saves nothing.
//
// Errors: as Apply and the store's Save; the job stands as before.
func (s *Session) Do(ctx context.Context, c Command, photos ...Blob) (Snapshot, error) {
	return s.do(ctx, photos, func(Document) (Command, error) { return c, nil })
}

// Edit makes a command from the edits and does it.
//
// Errors: as Plan and Do.
func (s *Session) Edit(ctx context.Context, label string, edits []Edit, photos ...Blob) (Snapshot, error) {
	return s.do(ctx, photos, func(d Document) (Command, error) { return Plan(d, label, edits...) })
}

// Revise makes a command from a change to the typed document and does it.
//
// Errors: as Revise and Do.
func (s *Session) Revise(ctx context.Context, label string, change func(*Document) error, photos ...Blob) (Snapshot, error) {
	return s.do(ctx, photos, func(d Document) (Command, error) { return Revise(d, label, change) })
}

// do makes a command, does it and saves it.
func (s *Session) do(ctx context.Context, photos []Blob, plan func(Document) (Command, error)) (Snapshot, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c, err := plan(s.at.Document)
	if err != nil {
		return s.at, err
	}
	doc, history, err := Do(s.at.Document, s.at.History, c, s.now())
	if err != nil || history.Done == s.at.History.Done {
		return s.at, err
	}
	step := history.Steps[history.Done-1]
	return s.save(ctx, Save{Document: doc, Done: history.Done, Step: &step, Photos: photos})
}

// Undo takes the last step back.
//
// Errors: ErrNothingToUndo, and as the store's Save.
func (s *Session) Undo(ctx context.Context) (Snapshot, error) { return s.move(ctx, Undo) }

// Redo does the step again that was taken back last.
//
// Errors: ErrNothingToRedo, and as the store's Save.
func (s *Session) Redo(ctx context.Context) (Snapshot, error) { return s.move(ctx, Redo) }

func (s *Session) move(ctx context.Context, along func(Document, History) (Document, History, error)) (Snapshot, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	doc, history, err := along(s.at.Document, s.at.History)
	if err != nil {
		return s.at, err
	}
	return s.save(ctx, Save{Document: doc, Done: history.Done})
}

// save hands a change to the store and takes it once it is kept. The snapshot
// returned is the one that stands, also after an error.
func (s *Session) save(ctx context.Context, change Save) (Snapshot, error) {
	change.Revision = s.at.Revision
	revision, err := s.store.Save(ctx, change)
	if err != nil {
		return s.at, err
	}
	s.at = change.After(s.at)
	s.at.Revision = revision
	return s.at, nil
}
