package specimen

import (
	"context"
	"fmt"
	"math/rand/v2"
)

// Generate invents a plausible single-sided board with about the given number
// of joints (15 to 120), the ends of wire links not counted. Difficulty runs from 0 (clean, wide gaps) to 1 (worn,
// dirty, narrow gaps, careless joints).
//
// Errors: a number of joints outside 15 to 120, or the context's error.
func Generate(ctx context.Context, joints int, difficulty float64, seed uint64) (Board, error) {
	if joints < 15 || joints > 120 {
		return Board{}, fmt.Errorf("specimen: %d joints: give 15 to 120", joints)
	}
	r := newRand(seed, 101)
	style := randomStyle(r, difficulty)
	style.Jumpers += joints / 50
	circuit := randomCircuit(r, joints)
	b, err := Layout(ctx, circuit, style, nil, seed)
	b.Name = fmt.Sprintf("board %d", seed)
	return b, err
}

// GenerateBoth invents a board like Generate, with copper on both faces.
//
// Errors: those of Generate, and a word that is no kind of holes.
func GenerateBoth(ctx context.Context, joints int, difficulty float64, holes Holes, seed uint64) (Board, error) {
	if joints < 15 || joints > 120 {
		return Board{}, fmt.Errorf("specimen: %d joints: give 15 to 120", joints)
	}
	if holes != PlainHoles && holes != PlatedHoles {
		return Board{}, fmt.Errorf("specimen: holes %q: give %q or %q", holes, PlainHoles, PlatedHoles)
	}
	r := newRand(seed, 102)
	style := randomStyle(r, difficulty)
	style.Both = holes
	b, err := Layout(ctx, randomCircuit(r, joints), style, nil, seed)
	b.Name = fmt.Sprintf("two-sided board %d", seed)
	return b, err
}

func randomStyle(r *rand.Rand, k float64) Style {
	s := Style{
		Laminate: oneOf(r, Phenolic, Cream, Cream, Epoxy),
		Finish:   oneOf(r, Bare, Tinned, Tinned, Oxidised, Lacquered),
		Legend:   r.Float64() < 0.4,
		Width:    between(r, 0.8, 1.3), Gap: between(r, 0.4, 0.9-0.3*k), Pad: between(r, 1.9, 2.7),
		Rounded: r.Float64() < 0.6, Teardrop: r.Float64() < 0.5, Pour: r.Float64() < 0.3,
		Fill: between(r, 0.34, 0.48), Aspect: between(r, 1.2, 2.1), Jumpers: int(between(r, 0, 1.5+2*k)),
		Joint: 0.1 + 0.8*k*r.Float64(),
		Wear: Wear{
			Flux: 0.15 + 0.7*k*r.Float64(), Dirt: 0.8 * k * r.Float64(), Scratches: int(12 * k * r.Float64()),
			Burns: int(3 * k * r.Float64()), Ragged: 0.01 + 0.035*k*r.Float64(), Seed: r.Uint64(),
		},
	}
	if r.Float64() < 0.3 {
		s.Laminate, s.Finish = Epoxy, oneOf(r, Bare, Tinned)
		s.Mask = oneOf(r, GreenMask, GreenMask, BlueMask, BrownMask)
	}
	if r.Float64() < 0.5 {
		s.Etched = oneOf(r, "FOIL SIDE", "ISSUE 2", "A1047-B", "+ 9V -", "TP 3")
	}
	if r.Float64() < 0.25 {
		s.Missing = between(r, 0, 0.2+0.5*k)
	}
	s.FoilLegend = r.Float64() < 0.2
	s.Wide = s.Width + between(r, 0, 1.8)
	return s
}
