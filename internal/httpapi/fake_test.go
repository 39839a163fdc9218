package httpapi

import (
	"context"
	"reflect"
	"sync"
)

func typeOf[T any]() reflect.Type { return reflect.TypeFor[T]() }

// fake is a bench with one small job, whose answers a test may replace.
type fake struct {
	mu       sync.Mutex
	job      Job
	err      error // given by every method where set
	panics   bool
	uploaded []byte
	watchers []func(Event)
}

func (f *fake) state() (Job, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.panics {
		panic("a hole in the bench")
	}
	return f.job, f.err
}

func (f *fake) Job(context.Context) (Job, error) { return f.state() }

func (f *fake) Do(_ context.Context, c Command) (Job, error) {
	f.mu.Lock()
	f.job.Revision++
	if c.Do == "unit" {
		f.job.Unit = c.Text
	}
	watchers, revision := f.watchers, f.job.Revision
	f.mu.Unlock()
	for _, w := range watchers {
		w(Event{Type: "changed", Revision: revision})
	}
	return f.state()
}

func (f *fake) Undo(context.Context) (Job, error)         { return f.state() }
func (f *fake) Redo(context.Context) (Job, error)         { return f.state() }
func (f *fake) Log(context.Context) ([]LogEntry, error)   { return nil, f.err }
func (f *fake) Next(context.Context) (Next, error)        { return Next{}, f.err }
func (f *fake) Charge(context.Context) (Charge, error)    { return Charge{}, f.err }
func (f *fake) Kinds(context.Context) ([]KindInfo, error) { return nil, f.err }
func (f *fake) Copper(context.Context) (Copper, error)    { return Copper{}, f.err }
func (f *fake) NetLook(_ context.Context, net string) (NetLook, error) {
	return NetLook{Net: net}, f.err
}
func (f *fake) Circuit(context.Context) (Circuit, error) { return Circuit{}, f.err }
func (f *fake) Stages(context.Context) (Stages, error)   { return Stages{}, f.err }
func (f *fake) Suspects(context.Context) (Suspects, error) {
	return Suspects{}, f.err
}
func (f *fake) Alignment(context.Context) (Alignment, error) { return Alignment{}, f.err }
func (f *fake) Expect(_ context.Context, r Reading) (Expected, error) {
	return Expected{Unit: r.Mode}, f.err
}
func (f *fake) Marking(context.Context, string, string) (Marking, error) { return Marking{}, f.err }
func (f *fake) Quantity(context.Context, string, string) (Quantity, error) {
	return Quantity{}, f.err
}

func (f *fake) SetPhoto(_ context.Context, side Side, name string, data []byte) (Job, error) {
	f.mu.Lock()
	f.uploaded = data
	f.job.Photos = append(f.job.Photos, Photo{Side: side, Name: name})
	f.mu.Unlock()
	return f.state()
}

func (f *fake) AddFurther(_ context.Context, name string, data []byte, backlit bool) (Job, error) {
	f.mu.Lock()
	f.uploaded = data
	f.job.Further = append(f.job.Further, FurtherPhoto{Name: name, Backlit: backlit})
	f.mu.Unlock()
	return f.state()
}

func (f *fake) Waves(context.Context, WaveWish) (Waves, error) { return Waves{}, f.err }

func (f *fake) Further(context.Context) ([]Further, error) { return []Further{}, f.err }

func (f *fake) WorkingCopy(_ context.Context, side Side) ([]byte, error) {
	return []byte("picture of the " + side), f.err
}
func (f *fake) Drawing(context.Context, DrawingWish) ([]byte, error) {
	return []byte("<svg/>"), f.err
}
func (f *fake) Sheet(_ context.Context, form string) ([]byte, error) {
	return []byte("sheet as " + form), f.err
}

func (f *fake) Watch(receive func(Event)) func() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.watchers = append(f.watchers, receive)
	return func() {
		f.mu.Lock()
		defer f.mu.Unlock()
		f.watchers = nil
	}
}

func (f *fake) DemoReading(context.Context, Reading) (string, error) { return "4.31 V", f.err }

func (f *fake) Checking(context.Context, []Point) (Checking, error) { return Checking{}, f.err }
