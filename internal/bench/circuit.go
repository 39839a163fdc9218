package bench

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/num/geom"
)

var errNoParts = errors.New("the job has no parts yet")

// Built is the circuit of the job and how its leads came onto their nets.
type Built struct {
	Circuit  *circuit.Circuit
	Landed   *board.Landed // nil where every lead is named to its net
	Problems []circuit.Problem
}

// Circuit puts every lead on a named net: those that the text names, and those
// that a person placed on a photograph.
func (b *Bench) Circuit(ctx context.Context) (*Built, error) {
	return b.circuitOn(ctx, b.document(), func() (*copper.Copper, error) { return b.Copper(ctx) })
}

// circuitOn is the circuit with its placed leads on the given copper, which is
// asked for where there are any.
func (b *Bench) circuitOn(ctx context.Context, d job.Document, foil func() (*copper.Copper, error)) (*Built, error) {
	landings, err := b.landings(ctx, d)
	if err != nil {
		return nil, err
	}
	if len(landings) == 0 {
		c, problems := job.Circuit(d)
		return &Built{Circuit: c, Problems: problems}, nil
	}
	cu, err := foil()
	if err != nil {
		return nil, err
	}
	landed := board.Land(board.Input{Copper: cu, Landings: landings, Names: netPlaces(d), Taken: takenNames(d)})
	through, doubts, err := b.throughWires(ctx, d, cu, landed)
	if err != nil {
		return nil, err
	}
	wired := wiresOnNets(d, landed)
	wired.Wires = append(wired.Wires, through...)
	c, problems := job.CircuitWith(wired, landed.Nets)
	return &Built{Circuit: c, Landed: &landed, Problems: slices.Concat(landed.Problems, doubts, problems)}, nil
}

// landings carries the placed leads to the foil photograph.
func (b *Bench) landings(ctx context.Context, d job.Document) ([]board.Landing, error) {
	var out []board.Landing
	for _, p := range d.Parts {
		for _, l := range p.AllLeads() {
			at, cov, ok, err := b.onFoil(ctx, l.Place)
			if err != nil {
				return nil, err
			}
			if ok {
				out = append(out, board.Landing{Lead: circuit.LeadRef{Part: p.Ref, Lead: l.Name}, At: at, Cov: cov})
			}
		}
	}
	for i, w := range d.Wires {
		for _, end := range []wireEnd{{i, wireFrom, w.From}, {i, wireTo, w.To}} {
			at, cov, ok, err := b.onFoil(ctx, end.place)
			if err != nil {
				return nil, err
			}
			if ok {
				out = append(out, board.Landing{Lead: end.ref(), At: at, Cov: cov})
			}
		}
	}
	return out, nil
}

// wireEnd is one end of the document's i-th wire, which lands like a lead.
type wireEnd struct {
	wire  int
	end   circuit.LeadName
	place job.Place
}

const (
	wireFrom circuit.LeadName = "from"
	wireTo   circuit.LeadName = "to"
)

func (e wireEnd) ref() circuit.LeadRef {
	return circuit.LeadRef{Part: circuit.PartRef(fmt.Sprintf("wire %d", e.wire+1)), Lead: e.end}
}

// wiresOnNets is the document with every wire between nets instead of places.
// A wire whose end lands on no copper joins nothing; landing reported it.
func wiresOnNets(d job.Document, landed board.Landed) job.Document {
	wires := make([]job.Wire, len(d.Wires))
	for i, w := range d.Wires {
		wires[i] = w
		if net, ok := landed.Nets[wireEnd{wire: i, end: wireFrom}.ref()]; ok {
			wires[i].From = job.Place{Net: net}
		}
		if net, ok := landed.Nets[wireEnd{wire: i, end: wireTo}.ref()]; ok {
			wires[i].To = job.Place{Net: net}
		}
	}
	d.Wires = wires
	return d
}

// onFoil is the foil pixel of a place and the covariance of the alignment
// there, in foil pixels². ok is false for a place that is a net's name.
func (b *Bench) onFoil(ctx context.Context, p job.Place) (at geom.Point, cov [2][2]float64, ok bool, err error) {
	switch {
	case p.Joint != nil:
		return p.Joint.Point(), cov, true, nil
	case p.At != nil:
		f, err := b.Faces(ctx)
		if err != nil {
			return at, cov, false, err
		}
		return f.Alignment.ToFoil(p.At.Point()), f.Alignment.Uncertainty(p.At.Point()).Cov, true, nil
	}
	return at, cov, false, nil
}

func netPlaces(d job.Document) []board.Name {
	var out []board.Name
	for _, n := range d.Nets {
		out = append(out, board.Name{Net: n.Name, At: n.Joint.Point()})
	}
	return out
}

// takenNames are the nets that leads are on by name.
func takenNames(d job.Document) []circuit.NetID {
	var out []circuit.NetID
	for _, p := range d.Parts {
		for _, l := range p.AllLeads() {
			if l.Place.Net != "" {
				out = append(out, l.Place.Net)
			}
		}
	}
	return out
}

// CircuitDocument is the job's circuit as a document of its own: parts on named
// nets, states; no photographs and no readings.
func (b *Bench) CircuitDocument(ctx context.Context) (job.Document, []circuit.Problem, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return job.Document{}, nil, err
	}
	d := b.document().Clone()
	out := job.Document{Unit: d.Unit, Common: d.Common}
	for _, p := range built.Circuit.Parts {
		q, _ := d.Part(p.Ref)
		out.Parts = append(out.Parts, q)
		for _, l := range p.Leads {
			if at := out.PlaceOf(p.Ref, l.Name); at != nil {
				*at = job.Place{Net: l.Net}
			}
		}
	}
	for _, s := range d.States {
		kept := job.State{Name: s.Name}
		for _, set := range s.Settings {
			if _, ok := built.Circuit.Part(set.Part); ok {
				kept.Settings = append(kept.Settings, set)
			}
		}
		out.States = append(out.States, kept)
	}
	return out, built.Problems, nil
}

// Text is a document as job text.
func Text(d job.Document) []byte { return job.WriteText(d) }
