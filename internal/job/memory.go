package job

import (
	"context"
	"slices"
	"sync"
)

// Memory is a store that forgets everything with the program: for tests, and
// for a look at a job that shall not be changed.
type Memory struct {
	mu      sync.Mutex
	at      Snapshot
	photos  map[string]Blob
	results map[string][]byte
}

var _ Store = (*Memory)(nil)

// NewMemory returns a store that holds the state, and the photos that its
// document names.
func NewMemory(s Snapshot, photos ...Blob) *Memory {
	m := &Memory{at: s, photos: map[string]Blob{}, results: map[string][]byte{}}
	for _, b := range photos {
		m.photos[b.SHA256()] = b
	}
	return m
}

// Load returns the state as last saved.
func (m *Memory) Load(context.Context) (Snapshot, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	s := m.at
	s.Document = s.Document.Clone()
	s.History.Steps = slices.Clone(s.History.Steps)
	return s, nil
}

// Save takes the change.
func (m *Memory) Save(ctx context.Context, s Save) (int64, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	has := func(sha string) (bool, error) { _, ok := m.photos[sha]; return ok, nil }
	if err := ctx.Err(); err != nil {
		return m.at.Revision, err
	}
	if err := CheckSave(s, m.at.Revision, len(m.at.History.Steps), has); err != nil {
		return m.at.Revision, err
	}
	for _, b := range s.Photos {
		b.Data = slices.Clone(b.Data)
		m.photos[b.SHA256()] = b
	}
	m.at = s.After(m.at)
	m.at.Document = m.at.Document.Clone()
	return m.at.Revision, nil
}

// After returns the state that the change leaves behind.
func (s Save) After(before Snapshot) Snapshot {
	h := History{Steps: before.History.Steps, Done: s.Done}
	if s.Step != nil {
		h.Steps = append(slices.Clone(h.Steps[:s.Done-1]), *s.Step)
	}
	return Snapshot{Document: s.Document, History: h, Revision: before.Revision + 1}
}

// Photo returns a photo by the SHA-256 of its bytes.
func (m *Memory) Photo(_ context.Context, sha256 string) (Blob, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	b, ok := m.photos[sha256]
	if !ok {
		return Blob{}, ErrNoPhoto
	}
	return b, nil
}

// Remember keeps a stage's result.
func (m *Memory) Remember(_ context.Context, key string, result []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.results[key] = slices.Clone(result)
	return nil
}

// Recall returns a remembered result.
func (m *Memory) Recall(_ context.Context, key string) ([]byte, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	r, ok := m.results[key]
	return r, ok, nil
}

// Close does nothing: there is nothing to give free.
func (m *Memory) Close() error { return nil }
