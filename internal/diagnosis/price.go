package diagnosis

import (
	"foilside/internal/circuit"
)

// situation is how the bench stands: what was read last, and what must be
// made safe before a hand goes near without power.
type situation struct {
	taken  bool  // a reading has been taken
	last   Check // that reading
	unsafe bool  // a store may be hazardous
	safe   bool  // ... and has been made safe since the unit was last powered
}

func situationOf(ev Evidence, d Danger) situation {
	s := situation{unsafe: d.Hazardous()}
	if n := len(ev.Readings); n > 0 {
		s.taken, s.last = true, ev.Readings[n-1].Check
		s.safe = !s.last.Mode.Powered()
	}
	return s
}

// after is the situation once a check has been taken.
func (s situation) after(c Check) situation {
	s.taken, s.last = true, c
	s.safe = !c.Mode.Powered()
	return s
}

// price is what a check costs from the situation, in seconds. volts is the
// greatest voltage about its leads.
func (p *Predictor) price(c Check, s situation, volts float64) float64 {
	cost := p.opt.Cost
	sum := cost.probes(c, s)
	powered, was := c.Mode.Powered(), s.taken && s.last.Mode.Powered()
	switch {
	case powered && !was:
		sum += cost.PowerUp
	case !powered && was:
		sum += cost.PowerDown
	}
	if !powered && s.unsafe && !s.safe {
		sum += cost.Safe
	}
	sum += cost.State * float64(p.turns(c.State, s))
	if powered {
		sum += cost.Live
		switch {
		case volts > dangerVolts:
			sum += cost.Danger
		case s.unsafe:
			sum += cost.Near
		case volts > cautionVolts:
			sum += cost.Caution
		}
	}
	return sum
}

// Voltages at which a reading with power costs more, as in package meter.
const (
	cautionVolts = 30
	dangerVolts  = 60
)

// probes is the time to put the leads there.
func (c Cost) probes(to Check, s situation) float64 {
	switch {
	case !s.taken:
		return 2 * c.Place
	case to.Red == s.last.Black && to.Black == s.last.Red:
		return c.Reverse
	}
	sum := c.Reverse // read, turn the mode switch
	if to.Red != s.last.Red {
		sum += c.Place
	}
	if to.Black != s.last.Black {
		sum += c.Place
	}
	return sum
}

// turns counts the switches and controls that stand otherwise than they did.
func (p *Predictor) turns(name string, s situation) int {
	from := circuit.State{}
	if s.taken {
		from, _ = p.circuit.State(s.last.State)
	}
	to, _ := p.circuit.State(name)
	n := 0
	for _, part := range p.circuit.Parts {
		if !isSource(part.Kind) && from.Setting(part) != to.Setting(part) {
			n++
		}
	}
	return n
}

// Store is one charge store as package charge judges it.
type Store struct {
	Part      circuit.PartRef `json:"part"`
	Volts     float64         `json:"voltage"`
	Joules    float64         `json:"energy"`
	Hazardous bool            `json:"hazardous"`
}

// Danger is what package charge says of the unit. Its zero value is a unit
// that nobody has judged yet.
type Danger struct {
	Judged  bool     // the stores were computed
	Stores  []Store  `json:"stores,omitempty"`
	Steps   []string `json:"steps,omitempty"` // how to make the unit safe
	Refused string   `json:"refused,omitempty"`
}

// Hazardous tells whether any store may be dangerous.
func (d Danger) Hazardous() bool {
	for _, s := range d.Stores {
		if s.Hazardous {
			return true
		}
	}
	return false
}
