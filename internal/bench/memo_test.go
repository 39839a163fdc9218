package bench

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
)

func TestRememberComputesOnceForManyAskers(t *testing.T) {
	var m memo
	var runs atomic.Int32
	gate := make(chan struct{})
	compute := func(context.Context) (int, error) {
		runs.Add(1)
		<-gate
		return 42, nil
	}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if v, err := remember(t.Context(), &m, "copper", "k", compute); v != 42 || err != nil {
				t.Errorf("got %d, %v", v, err)
			}
		})
	}
	close(gate)
	wg.Wait()
	if runs.Load() != 1 {
		t.Errorf("computed %d times", runs.Load())
	}
}

func TestRememberForgetsACancelledRun(t *testing.T) {
	var m memo
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	run := func(ctx context.Context) (int, error) { return 7, ctx.Err() }
	if _, err := remember(ctx, &m, "copper", "k", run); !errors.Is(err, context.Canceled) {
		t.Fatalf("a cancelled run ends with %v", err)
	}
	if v, err := remember(t.Context(), &m, "copper", "k", run); v != 7 || err != nil {
		t.Errorf("the next asker got %d, %v", v, err)
	}
}

func TestRememberKeepsAnErrorOfTheWork(t *testing.T) {
	var m memo
	runs := 0
	fail := func(context.Context) (int, error) { runs++; return 0, errors.New("no copper here") }
	for range 2 {
		if _, err := remember(t.Context(), &m, "copper", "k", fail); err == nil {
			t.Fatal("the error is lost")
		}
	}
	if runs != 1 {
		t.Errorf("computed %d times", runs)
	}
}

func TestRememberKeepsFewResultsOfAStage(t *testing.T) {
	var m memo
	runs := 0
	ask := func(k string) {
		t.Helper()
		if _, err := remember(t.Context(), &m, "copper", k, func(context.Context) (int, error) { runs++; return 1, nil }); err != nil {
			t.Fatal(err)
		}
	}
	for _, k := range []string{"a", "b", "c", "d", "a", "e", "a"} {
		ask(k)
	}
	if runs != 5 {
		t.Errorf("%d runs: the one used last was not kept", runs)
	}
	ask("b")
	if runs != 6 {
		t.Errorf("%d runs: the oldest was not let go", runs)
	}
}

func TestKeyTellsContentsApart(t *testing.T) {
	first, again, other := key("a", 1), key("a", 1), key("a", 2)
	if first == other || first != again {
		t.Error("the key does not follow the contents")
	}
}

func TestRememberTurnsAPanicIntoAnError(t *testing.T) {
	var m memo
	_, err := remember(t.Context(), &m, "copper", "k", func(context.Context) (int, error) { panic("index out of range") })
	var f *Fault
	if !errors.As(err, &f) || f.Input || len(f.Next) == 0 {
		t.Errorf("a panic ends as %v", err)
	}
}
