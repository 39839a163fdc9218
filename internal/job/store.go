package job

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
)

// Snapshot is a job as a store keeps it.
type Snapshot struct {
	Document Document
	History  History
	Revision int64 // grows by one with every Save
}

// Save is one change of what a store keeps: it is kept whole or not at all.
type Save struct {
	Revision int64    // of the state that the change was made to
	Document Document // as it stands after the change
	Done     int      // steps of the history that are done after the change
	// Step is a new last step: steps from Done-1 on are dropped for it. Nil:
	// a step was taken back or done again, and only Done moved.
	Step   *Step
	Photos []Blob // photos that come with the change
}

// Blob is the bytes of a photo as it was brought in.
type Blob struct {
	Name      string // of the file it came from
	MediaType string // "image/jpeg"
	Data      []byte
}

// SHA256 names the bytes: lower-case hex.
func (b Blob) SHA256() string {
	sum := sha256.Sum256(b.Data)
	return hex.EncodeToString(sum[:])
}

// Store keeps one job. Its contract is the suite in job/storetest.
type Store interface {
	// Load returns the state as last saved.
	Load(ctx context.Context) (Snapshot, error)
	// Save makes a change durable before it returns, and returns the new
	// revision. After an error the last saved state stands.
	//
	// Errors: ErrStale where the revision is not the store's, ErrNoPhoto where
	// the document names bytes that are neither stored nor brought along.
	Save(ctx context.Context, s Save) (int64, error)
	// Photo returns a photo by the SHA-256 of its bytes.
	//
	// Errors: ErrNoPhoto.
	Photo(ctx context.Context, sha256 string) (Blob, error)
	// Remember keeps a stage's result under the hash of what it was computed
	// from. It may be forgotten at any time.
	Remember(ctx context.Context, key string, result []byte) error
	// Recall returns a remembered result, or false.
	Recall(ctx context.Context, key string) ([]byte, bool, error)
	// Close gives the job free for others.
	Close() error
}

// ErrNoPhoto is the reason when a photo's bytes are not there.
var ErrNoPhoto = errors.New("the photo is not in the job")

// CheckSave holds a change against the state that a store keeps; has tells
// whether it has a photo's bytes. Every store asks it before it writes.
func CheckSave(s Save, revision int64, steps int, has func(sha256 string) (bool, error)) error {
	if s.Revision != revision {
		return fmt.Errorf("made for revision %d, and the job is at %d: %w", s.Revision, revision, ErrStale)
	}
	if s.Step != nil && (s.Done < 1 || s.Done > steps+1) || s.Step == nil && (s.Done < 0 || s.Done > steps) {
		return fmt.Errorf("%d steps done out of %d: %w", s.Done, steps, ErrStale)
	}
	brought := map[string]bool{}
	for _, b := range s.Photos {
		brought[b.SHA256()] = true
	}
	for _, p := range s.Document.Photos.All() {
		if p.SHA256 == "" || brought[p.SHA256] {
			continue
		}
		if ok, err := has(p.SHA256); err != nil {
			return err
		} else if !ok {
			return fmt.Errorf("%s: %w", p.File, ErrNoPhoto)
		}
	}
	return nil
}
