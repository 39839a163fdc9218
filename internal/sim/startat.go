package sim

import (
	"context"
	"math"
	"slices"
)

// startAt gives a point the charges and fluxes of an operating point: the same
// circuit with its storing parts at rest, solved from the voltages and modes
// of s. Its state may be another one; a part keeps what it has stored.
func (s *stepper) startAt(ctx context.Context, from *Solution, at *point) error {
	in := s.in
	src := s
	if !sameState(from.in, in) {
		movers, err := in.model.movers()
		if err != nil {
			return err
		}
		other, err := in.model.instance(from.in.state, from.in.variant, movers)
		if err != nil {
			return err
		}
		src = newStepper(other)
	}
	if err := src.restNear(ctx, from); err != nil {
		return err
	}
	s.take(src, at.state)
	shared := min(in.nodes, src.in.nodes)
	if src == s {
		copy(at.x, in.sys.x)
	} else {
		copy(at.x[:shared+1], src.in.sys.x)
		in.adoptModes(src.in.hinges, src.in.modes())
	}
	return nil
}

// sameState tells whether two instances are the same circuit set the same way.
func sameState(a, b *Instance) bool {
	if a.model != b.model || !slices.Equal(a.variant, b.variant) {
		return false
	}
	for _, p := range a.model.parts {
		if a.state.Setting(p.part) != b.state.Setting(p.part) {
			return false
		}
	}
	return true
}

// restNear finds the rest of the moving circuit nearest to an operating point,
// every storing part passing nothing more, and leaves it in in.sys.x.
func (s *stepper) restNear(ctx context.Context, from *Solution) error {
	in := s.in
	clear(in.sys.x)
	copy(in.sys.x[:len(in.netNode)], from.x) // nets come first
	in.adoptModes(from.in.hinges, from.modes)
	for pass := range mostPasses {
		if err := s.stage(ctx, 0, math.Inf(1), s.far); err != nil {
			if _, unsettled := settled(err); unsettled == nil {
				return in.unsettled()
			}
			return err
		}
		if in.turnHinges(pass >= togetherPasses) == nil {
			return nil
		}
	}
	return &SwingError{}
}

// take copies what each part of another instance has stored.
func (s *stepper) take(src *stepper, into []float64) {
	stored := map[storeKey][]float64{}
	src.keyed(func(k storeKey, e storing, from, to int) {
		y := make([]float64, to-from)
		e.keep(src.in.sys.x, y)
		stored[k] = y
	})
	s.keyed(func(k storeKey, e storing, from, to int) {
		if y, ok := stored[k]; ok && len(y) == to-from {
			copy(into[from:to], y)
		}
	})
}

// storeKey tells the storing elements of a part apart.
type storeKey struct{ part, nth int }

// keyed is each with the part of every storing element.
func (s *stepper) keyed(f func(k storeKey, e storing, from, to int)) {
	count := map[int]int{}
	at := 0
	for _, p := range s.in.elements {
		e, ok := p.element.(storing)
		if !ok {
			continue
		}
		f(storeKey{p.part, count[p.part]}, e, at, at+e.states())
		count[p.part]++
		at += e.states()
	}
}

// adoptModes puts every hinge into the mode that the same part has in another
// instance, at rest where it has none there.
func (in *Instance) adoptModes(hinges []hinge, modes []int8) {
	in.restHinges()
	if len(modes) != len(hinges) {
		return
	}
	for k, h := range hinges {
		for _, own := range in.hinges {
			if own.part == h.part {
				adopt(own.does, h.does, modes[k])
			}
		}
	}
}

// adopt turns a mode at rest into the one of the same part when it moves.
func adopt(own, other hinged, mode int8) {
	switch t := own.(type) {
	case *thyristorMoving:
		if _, still := other.(*thyristor); still {
			mode *= held
		}
	case *relayMoving:
		if _, still := other.(*relay); still {
			t.pulled, t.touch = mode != 0, touchMake*mode
			return
		}
	case *fuseWire:
		if _, same := other.(*fuseWire); !same {
			return
		}
	}
	own.restore(mode)
}
