package bench

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
)

// keptResults is how many results of one stage are kept: enough for an undo
// and a look at another state, few enough for photographs of 60 megapixels.
const keptResults = 4

// kept is how many results of a stage are kept. What a photograph shows weighs
// 90 bytes a working pixel: one for either face. A run over time has up to 80 MB.
func kept(stage string) int {
	switch stage {
	case "seen", "simulate":
		return 2
	case "further":
		return 40 // where each of a large board's tiles lies: little more than a matrix
	}
	return keptResults
}

// memo remembers results by stage and by the hash of what they came from.
type memo struct {
	mu     sync.Mutex
	stages map[string][]*entry // newest last
}

type entry struct {
	key   string
	done  chan struct{} // closed when value and err are set
	value any
	err   error
}

// key is a hash of all that a result depends on.
func key(parts ...any) string {
	h := sha256.New()
	enc := json.NewEncoder(h)
	for _, p := range parts {
		if err := enc.Encode(p); err != nil {
			// Only plain data is hashed; anything else is a mistake in this package.
			panic(fmt.Sprintf("bench: %T can't be hashed: %v", p, err))
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// remember returns the stage's result for the key, computing it once even if
// several ask at the same time. A cancelled computation is not remembered,
// and who waited for it computes afresh.
func remember[T any](ctx context.Context, m *memo, stage, key string, compute func(context.Context) (T, error)) (T, error) {
	var none T
	for {
		e, mine := m.claim(stage, key)
		if mine {
			v, err := guarded(ctx, stage, compute)
			e.value, e.err = v, err
			if cancelled(err) {
				m.drop(stage, e)
			}
			close(e.done)
			return v, err
		}
		select {
		case <-ctx.Done():
			return none, ctx.Err()
		case <-e.done:
		}
		if cancelled(e.err) {
			continue
		}
		v, _ := e.value.(T)
		return v, e.err
	}
}

// guarded turns a panic of a stage into an error, so that one bad input never
// takes the bench, and the person's unsaved gesture, down with it.
func guarded[T any](ctx context.Context, stage string, compute func(context.Context) (T, error)) (v T, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = NotDone(fmt.Errorf("a mistake inside Foilside stopped the step %q: %v", stage, p),
				"nothing of the job is lost; please report this with the job text")
		}
	}()
	return compute(ctx)
}

func cancelled(err error) bool {
	return errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded)
}

func (m *memo) claim(stage, key string) (e *entry, mine bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.stages == nil {
		m.stages = map[string][]*entry{}
	}
	list := m.stages[stage]
	for i, e := range list {
		if e.key == key {
			m.stages[stage] = append(append(list[:i:i], list[i+1:]...), e)
			return e, false
		}
	}
	e = &entry{key: key, done: make(chan struct{})}
	if len(list) >= kept(stage) {
		list = list[1:]
	}
	m.stages[stage] = append(list[:len(list):len(list)], e)
	return e, true
}

func (m *memo) drop(stage string, gone *entry) {
	m.mu.Lock()
	defer m.mu.Unlock()
	list := m.stages[stage]
	for i, e := range list {
		if e == gone {
			m.stages[stage] = append(list[:i:i], list[i+1:]...)
			return
		}
	}
}
