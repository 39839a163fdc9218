package stage

import (
	"context"
	"slices"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Role is what a part does within its stage.
type Role string

// The roles.
const (
	Core     Role = "core"     // what the stage is named for: its transistor, its diodes
	Load     Role = "load"     // works on the output
	Bias     Role = "bias"     // sets the operating point
	Feedback Role = "feedback" // leads back from output to input
	Coupling Role = "coupling" // passes the signal in or out
	Bypass   Role = "bypass"   // makes a net quiet
	Timing   Role = "timing"   // sets a time or a frequency
	Helper   Role = "helper"   // anything else that serves the stage
)

// Member is a part of a stage.
type Member struct {
	Part circuit.PartRef `json:"part"`
	Role Role            `json:"role"`
}

// Figure is a number that was computed for a stage from its parts' values.
type Figure struct {
	Name  string        `json:"name"`
	Value float64       `json:"value"` // SI base units
	Unit  quantity.Unit `json:"-"`
	Sign  string        `json:"unit"` // the unit as written
	How   string        `json:"how"`  // the formula, with the references of the parts
}

// Text is the figure as printed.
func (f Figure) Text() string { return quantity.Format(f.Value, f.Unit, 3) }

// Stage is one functional group.
type Stage struct {
	Kind    Kind            `json:"kind"`
	Name    string          `json:"name"` // "common-emitter stage Q1"
	Members []Member        `json:"members"`
	In      []circuit.NetID `json:"in"`
	Out     []circuit.NetID `json:"out"`
	Within  int             `json:"within"` // index of the stage that it is part of, -1 for none
	Rank    int             `json:"rank"`   // how many stages the signal passes before this one
	Text    string          `json:"text"`   // how it works, with its own figures
	Figures []Figure        `json:"figures"`
	Notes   []string        `json:"notes,omitempty"` // what looks wrong about it, and what was assumed
}

// Parts lists the stage's parts.
func (s Stage) Parts() []circuit.PartRef {
	out := make([]circuit.PartRef, len(s.Members))
	for i, m := range s.Members {
		out[i] = m.Part
	}
	return out
}

// Has tells whether the part is a member.
func (s Stage) Has(p circuit.PartRef) bool {
	return slices.ContainsFunc(s.Members, func(m Member) bool { return m.Part == p })
}

// Feed says that a stage drives another through a net.
type Feed struct {
	From  int           `json:"from"` // index of a stage
	To    int           `json:"to"`
	Net   circuit.NetID `json:"net"`   // on the driving side
	Power bool          `json:"power"` // it supplies the other instead of passing it a signal
	Back  bool          `json:"back"`  // against the direction of the rest: feedback
}

// NetRole is what a net is to the whole circuit.
type NetRole string

// The roles of nets.
const (
	SignalNet NetRole = "signal"
	SupplyNet NetRole = "supply"
	CommonNet NetRole = "common"
	QuietNet  NetRole = "quiet" // held still by a capacitor: a bypassed emitter
)

// Found is all that was made out of a circuit.
type Found struct {
	Stages  []Stage                   `json:"stages"` // along the signal
	Feeds   []Feed                    `json:"feeds"`
	Outside []circuit.PartRef         `json:"outside"` // connectors, signal sources, test points
	Left    []circuit.PartRef         `json:"left"`    // parts without a stage
	Nets    map[circuit.NetID]NetRole `json:"nets"`
}

// Of returns the index of the outermost stage that a part belongs to.
func (f Found) Of(p circuit.PartRef) (int, bool) {
	for i, s := range f.Stages {
		if s.Within < 0 && s.Has(p) {
			return i, true
		}
	}
	return -1, false
}

// Find finds the stages of a circuit.
//
// Errors: only the context's.
func Find(ctx context.Context, c *circuit.Circuit) (Found, error) {
	f := newFinder(c)
	for _, r := range recognisers() {
		if err := ctx.Err(); err != nil {
			return Found{}, err
		}
		r(f)
	}
	f.attach()
	for _, d := range f.drafts {
		if d.say != nil {
			d.say()
		}
	}
	return f.result(), nil
}

// recognisers are in the order in which they run: the most particular first,
// since each takes its parts away from the later ones.
func recognisers() []func(*finder) {
	return []func(*finder){
		(*finder).powerSources,
		(*finder).transformerOscillators, (*finder).discharges,
		(*finder).multipliers, (*finder).bridges, (*finder).fullWaves, (*finder).halfWaves,
		(*finder).nameSupplies, (*finder).flashTubes, (*finder).smoothing,
		(*finder).threeTerminals, (*finder).composites, (*finder).seriesRegulators, (*finder).zeners,
		(*finder).timers,
		(*finder).threePoints, (*finder).phaseShifts,
		(*finder).unijunctions, (*finder).neonOscillators,
		(*finder).thyristors,
		(*finder).opamps,
		(*finder).pushPulls, (*finder).multivibrators, (*finder).schmitts,
		(*finder).mirrors, (*finder).differentials, (*finder).cascodes,
		(*finder).currentSources, (*finder).drivers, (*finder).singles, (*finder).couplers,
		(*finder).meters, (*finder).sharedChains, (*finder).indicators, (*finder).dividers, (*finder).filters,
	}
}
