package sim

import (
	"errors"
	"fmt"
	"strings"

	"foilside/internal/circuit"
)

// Unmodelled is a part whose kind has no model yet.
type Unmodelled struct {
	Part circuit.PartRef
	Kind circuit.Kind
}

// UnmodelledError lists every part of the circuit that has no model.
type UnmodelledError struct{ Parts []Unmodelled }

// Error names the parts and what can be done.
func (e *UnmodelledError) Error() string {
	names := make([]string, len(e.Parts))
	for i, p := range e.Parts {
		noun := string(p.Kind)
		if info, ok := circuit.Lookup(p.Kind); ok {
			noun = info.Noun
		}
		names[i] = fmt.Sprintf("%s (%s)", p.Part, noun)
	}
	return fmt.Sprintf("no expected values: %s cannot be simulated yet; leave it out or put what it does in its place", strings.Join(names, ", "))
}

// ProblemError lists what in the circuit keeps it from being solved.
type ProblemError struct{ Problems []circuit.Problem }

// Error joins the problems, one to a line.
func (e *ProblemError) Error() string {
	lines := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		lines[i] = p.Text
	}
	return strings.Join(lines, "\n")
}

func problem(part circuit.PartRef, format string, args ...any) circuit.Problem {
	return circuit.Problem{Part: part, Text: fmt.Sprintf(format, args...)}
}

// ConvergenceError says that no road led to an operating point.
type ConvergenceError struct {
	Nets []circuit.NetID // those that keep changing most, worst first
}

// Error names the nets that do not settle.
func (e *ConvergenceError) Error() string {
	if len(e.Nets) == 0 {
		return "the circuit does not settle at an operating point"
	}
	names := make([]string, len(e.Nets))
	for i, n := range e.Nets {
		names[i] = string(n)
	}
	return "the circuit does not settle at an operating point; these nets keep changing: " + strings.Join(names, ", ") +
		"; look for a wrong value or a lead on the wrong net there"
}

// IsRefusal tells errors about the circuit from errors about the call.
func IsRefusal(err error) bool {
	var u *UnmodelledError
	var p *ProblemError
	var c *ConvergenceError
	var s *SwingError
	var stall *StallError
	if errors.As(err, &stall) {
		return true
	}
	return errors.As(err, &u) || errors.As(err, &p) || errors.As(err, &c) || errors.As(err, &s)
}
