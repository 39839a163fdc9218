package bench

import (
	"context"
	"errors"
	"path/filepath"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/sim"
)

// Checked is what reading and validating a job finds.
type Checked struct {
	Parts    int           `json:"parts"`
	Nets     int           `json:"nets"`
	Problems []job.Problem `json:"problems"`
}

// Check validates the job: its text, and the circuit that it makes. Work that
// needs photographs is done only where leads stand on them.
func (b *Bench) Check(ctx context.Context) (Checked, error) {
	d := b.document()
	out := Checked{Parts: len(d.Parts), Problems: append([]job.Problem{}, b.notes()...)}
	built, err := b.Circuit(ctx)
	if cancelled(err) {
		return out, err
	}
	if err != nil { // the copper can't be had; the parts on named nets can be checked all the same
		out.Problems = append(out.Problems, job.Problem{Warning: true,
			Text: "parts that are placed on a photograph are left out: " + err.Error()})
		built = &Built{}
		built.Circuit, built.Problems = job.Circuit(d)
	}
	out.Nets = len(built.Circuit.Nets())
	said := map[string]bool{}
	for _, p := range out.Problems {
		said[p.Text] = true
	}
	found, err := b.survey(ctx, built.Circuit)
	if err != nil {
		return out, err
	}
	found = append(found, built.Problems...)
	answers, err := b.misgivings(ctx, built)
	if err != nil {
		return out, err
	}
	found = append(found, answers...)
	for _, p := range found {
		if !said[p.Text] {
			out.Problems = append(out.Problems, b.located(fromCircuit(p)))
		}
	}
	return out, nil
}

// survey is what the simulator finds amiss: shorts across sources, floating
// nets, sources that contradict each other. It warns; it keeps nobody from
// working on the rest of the job.
func (b *Bench) survey(ctx context.Context, c *circuit.Circuit) ([]circuit.Problem, error) {
	problems, err := sim.Survey(ctx, c, c.States, sim.Options{Shelf: b.shelf})
	var out []circuit.Problem
	for _, p := range problems {
		if p.Net == "" || !partedByDesign(c, p.Net) {
			p.Warning = true
			out = append(out, p)
		}
	}
	return out, err
}

// partedByDesign tells a net that a capacitor, an open contact or a plug cuts
// off for direct current: every amplifier has some, so they are no news.
func partedByDesign(c *circuit.Circuit, net circuit.NetID) bool {
	for _, p := range c.Parts {
		switch p.Kind {
		case circuit.Capacitor, circuit.Electrolytic, circuit.Connector, circuit.TestPoint,
			circuit.Switch, circuit.Changeover, circuit.Relay, circuit.Crystal:
			for _, l := range p.Leads {
				if l.Net == net {
					return true
				}
			}
		}
	}
	return false
}

// texter is a store whose job lies on the disk as text.
type texter interface {
	Text() []byte
	Path() string
}

// located gives a problem of the circuit its place in the text.
func (b *Bench) located(p job.Problem) job.Problem {
	text := job.WriteText(b.document())
	if s, ok := b.session.Store().(texter); ok {
		text, p.File = s.Text(), filepath.Base(s.Path())
	}
	p.Line, p.Column, _ = job.Locate(text, p.Path)
	return p
}

func fromCircuit(p circuit.Problem) job.Problem {
	path := ""
	if p.Part != "" {
		path = "parts." + string(p.Part)
	}
	return job.Problem{Path: path, Text: p.Text, Warning: p.Warning}
}

// CheckPath validates a job on disk. Problems of a text have its lines and
// columns.
func CheckPath(ctx context.Context, path string) (Checked, error) {
	b, err := Open(ctx, path, Options{ReadOnly: true})
	var invalid *job.InvalidError
	if errors.As(err, &invalid) {
		return Checked{Problems: invalid.Problems}, nil
	}
	if err != nil {
		return Checked{}, err
	}
	out, err := b.Check(ctx)
	return out, errors.Join(err, b.Close())
}

// noter is a store that read a text and noticed something about it.
type noter interface{ Notes() []job.Problem }

// notes are what is doubtful about the document: with lines where it came from
// a text.
func (b *Bench) notes() []job.Problem {
	if n, ok := b.session.Store().(noter); ok {
		return n.Notes()
	}
	return job.Check(b.document())
}

// Fault is nil where the job can be worked.
func (c Checked) Fault() error {
	bad := job.Errors(c.Problems)
	if len(bad) == 0 {
		return nil
	}
	return badf("%d problems keep the job from being worked; the first: %s", len(bad), bad[0].Text)
}
