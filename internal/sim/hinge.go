package sim

import (
	"context"
	"fmt"

	"foilside/internal/circuit"
)

// SwingError says that some parts have no mode that their circuit agrees
// with: struck they go out, dark they strike. Such a circuit swings.
type SwingError struct{ Parts []circuit.PartRef }

// Error names the parts.
func (e *SwingError) Error() string {
	verb := "does"
	if len(e.Parts) > 1 {
		verb = "do"
	}
	return fmt.Sprintf("%s %s not come to rest: the circuit swings there, and has no steady voltages to expect; "+
		"read it with power off", listedParts(e.Parts), verb)
}

// listedParts writes parts as in a sentence.
func listedParts(parts []circuit.PartRef) string {
	names := make([]string, len(parts))
	for i, p := range parts {
		names[i] = string(p)
	}
	return listed(names)
}

// Modes are tried all at once at first, then one at a time, then given up.
const (
	togetherPasses = 8
	mostPasses     = 60
)

// search finds an operating point from the start x (nil: from nothing), with
// every hinged part in a mode that the point agrees with, and leaves it in
// in.sys.x.
func (in *Instance) search(ctx context.Context, from []float64, p *attached) (Road, error) {
	road, err := in.walk(ctx, from, p)
	if err != nil || len(in.hinges) == 0 {
		return road, err
	}
	for pass := range mostPasses {
		turned := in.turnHinges(pass >= togetherPasses)
		if turned == nil {
			return road, nil
		}
		if pass == mostPasses-1 {
			return "", &SwingError{turned}
		}
		if road, err = in.walk(ctx, append([]float64(nil), in.sys.x...), p); err != nil {
			return "", err
		}
	}
	return road, nil
}

// turnHinges turns what contradicts the solution and names it.
func (in *Instance) turnHinges(oneOnly bool) []circuit.PartRef {
	var turned []circuit.PartRef
	for _, h := range in.hinges {
		h.at.gather(in.sys.x, h.at.now)
		if h.does.turn(h.at.now) {
			turned = append(turned, in.model.parts[h.part].part.Ref)
			if oneOnly {
				break
			}
		}
	}
	return turned
}

// hinge is a hinged device of the instance.
type hinge struct {
	does hinged
	at   *multi
	part int
}

// restHinges puts every hinge where it stands without power.
func (in *Instance) restHinges() {
	for _, h := range in.hinges {
		h.does.rest()
	}
}

// modes notes the modes of all hinges.
func (in *Instance) modes() []int8 {
	if len(in.hinges) == 0 {
		return nil
	}
	out := make([]int8, len(in.hinges))
	for k, h := range in.hinges {
		out[k] = h.does.mode()
	}
	return out
}

// restoreModes puts the hinges into noted modes, at rest where there are none.
func (in *Instance) restoreModes(modes []int8) {
	if len(modes) != len(in.hinges) {
		in.restHinges()
		return
	}
	for k, h := range in.hinges {
		h.does.restore(modes[k])
	}
}
