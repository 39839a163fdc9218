package schematic

import "foilside/internal/circuit"

// drive is one way that a part passes the signal on: from an input lead to an
// output lead.
type drive struct{ in, out circuit.LeadName }

// drives lists how a kind passes the signal on; a two-lead part passes it
// either way and has none.
func drives(p circuit.Part) []drive {
	switch p.Kind {
	case circuit.NPN, circuit.PNP:
		return []drive{{"b", "c"}, {"b", "e"}}
	case circuit.JFETN, circuit.JFETP, circuit.MOSFETN, circuit.MOSFETP:
		return []drive{{"g", "d"}, {"g", "s"}}
	case circuit.UJT:
		return []drive{{"e", "b1"}, {"e", "b2"}}
	case circuit.SCR:
		return []drive{{"g", "a"}, {"g", "k"}}
	case circuit.Triac:
		return []drive{{"g", "mt2"}, {"g", "mt1"}}
	case circuit.Triode:
		return []drive{{"g", "a"}, {"g", "k"}}
	case circuit.Pentode:
		return []drive{{"g1", "a"}, {"g1", "k"}}
	case circuit.FlashTube:
		return []drive{{"t", "a"}}
	case circuit.OpAmp:
		return []drive{{"+in", "out"}, {"-in", "out"}}
	case circuit.Timer555:
		return []drive{{"2", "3"}, {"6", "3"}, {"7", "3"}}
	case circuit.Regulator:
		return []drive{{"in", "out"}}
	case circuit.Optocoupler:
		return []drive{{"a", "c"}, {"a", "e"}, {"k", "c"}, {"k", "e"}}
	case circuit.Bridge:
		return []drive{{"ac1", "+"}, {"ac2", "+"}}
	case circuit.Diode:
		return []drive{{"a", "k"}}
	case circuit.Transformer:
		var out []drive
		for _, w := range p.Windings[1:] {
			for _, in := range []circuit.LeadName{p.Windings[0].First(), p.Windings[0].Second()} {
				out = append(out, drive{in, w.First()}, drive{in, w.Second()})
			}
		}
		return out
	case circuit.Relay:
		return []drive{{"coil1", "c"}, {"coil2", "c"}}
	}
	return nil
}

// anchor says that a kind belongs to the left (-1) or the right (+1) end.
func anchor(k circuit.Kind) float64 {
	switch k {
	case circuit.Signal, circuit.Battery, circuit.Supply:
		return -1
	case circuit.Speaker, circuit.Earphone, circuit.Buzzer, circuit.Motor, circuit.MeterMovement, circuit.Lamp, circuit.LED, circuit.FlashTube:
		return 1
	}
	return 0
}

// driveEnds tells the nets that some part drives, and those that drive one.
type driveEnds struct{ driven, driving []bool }

func (v *netView) driveEnds(c *circuit.Circuit) driveEnds {
	e := driveEnds{make([]bool, len(v.nets)), make([]bool, len(v.nets))}
	for _, p := range c.Parts {
		for _, d := range drives(p) {
			if i, ok := v.index[p.Net(d.in)]; ok {
				e.driving[i] = true
			}
			if i, ok := v.index[p.Net(d.out)]; ok {
				e.driven[i] = true
			}
		}
	}
	return e
}

// drift is how far a passive part between two nets carries the signal on:
// from an output to what is none, from what is no input to an input.
func (e driveEnds) drift(a, b int) float64 {
	const away = 0.5
	d := 0.0
	if e.driven[a] != e.driven[b] {
		d += away
		if e.driven[b] {
			d -= 2 * away
		}
	}
	if e.driving[a] != e.driving[b] {
		d -= away
		if e.driving[b] {
			d += 2 * away
		}
	}
	return d
}

// sheetSide is on which side a net goes on on other sheets, -1 … 1.
func (v *netView) sheetSide(net int) float64 {
	side := 0.0
	for _, s := range v.elsewhere[net] {
		if s < v.sheet {
			side--
		} else {
			side++
		}
	}
	return side / float64(len(v.elsewhere[net]))
}

// carry is how firmly a passive part holds its nets together along the signal;
// one that leads back holds them hardly at all.
func (v *netView) carry(p circuit.Part) float64 {
	if v.back[p.Ref] {
		return 0.02
	}
	return 0.25
}

// stages estimates how far along the signal every part stands: one unit a
// stage. Each net gets a place so that outputs stand one beyond their inputs
// and passive parts don't reach far, in least squares; a part stands in the
// middle of its nets. Loops settle by themselves.
func (v *netView) stages(c *circuit.Circuit) []float64 {
	m := newSystem(len(v.nets))
	signal := func(name circuit.NetID) (int, bool) {
		i, ok := v.index[name]
		return i, ok && v.rail[i] == noRail
	}
	for i := range v.nets {
		m.pull(i, 0, 1e-4)
		if v.goesOn(i) { // in from the left, out to the right
			m.pull(i, 3*v.sheetSide(i), 0.01)
		}
	}
	ends := v.driveEnds(c)
	for _, p := range c.Parts {
		for _, d := range drives(p) {
			a, okA := signal(p.Net(d.in))
			b, okB := signal(p.Net(d.out))
			if okA && okB {
				m.offset(a, b, 1, 1)
			}
		}
		for _, t := range paths(p) {
			a, okA := signal(p.Net(t.a))
			b, okB := signal(p.Net(t.b))
			if okA && okB {
				m.offset(a, b, ends.drift(a, b), v.carry(p))
			}
		}
		if e := anchor(p.Kind); e != 0 {
			for _, l := range p.Leads {
				if i, ok := signal(l.Net); ok {
					m.pull(i, 3*e, 0.01)
				}
			}
		}
	}
	x := m.solve()
	out := make([]float64, len(c.Parts))
	for k, p := range c.Parts {
		sum, n := 0.0, 0.0
		for _, l := range p.Leads {
			if i, ok := signal(l.Net); ok {
				sum += x[i]
				n++
			}
		}
		if n > 0 {
			out[k] = sum / n
		}
		out[k] += 0.3 * anchor(p.Kind)
	}
	return out
}
