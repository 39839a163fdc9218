package bench

import (
	"errors"
	"fmt"
)

// Fault is an error as a person reads it: what is wrong, and what to do next.
type Fault struct {
	Input bool     // the call or what was put in is wrong; else the work could not be done
	Err   error    // what is wrong
	Next  []string // what to do next, a line each
}

// Error is one line.
func (f *Fault) Error() string { return f.Err.Error() }

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Err }

// BadInput marks an error as one of the call or its input. A Fault stays as
// it is.
func BadInput(err error, next ...string) error { return wrap(err, true, next) }

// NotDone marks an error as work that could not be done.
func NotDone(err error, next ...string) error { return wrap(err, false, next) }

func wrap(err error, input bool, next []string) error {
	if err == nil {
		return nil
	}
	var f *Fault
	if errors.As(err, &f) {
		return err
	}
	return &Fault{Input: input, Err: err, Next: next}
}

func badf(format string, args ...any) error {
	return &Fault{Input: true, Err: fmt.Errorf(format, args...)}
}
