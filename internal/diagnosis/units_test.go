package diagnosis_test

import (
	"fmt"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// unit is a circuit of the studies, written one part to a line:
//
//	R1 resistor 4k7 supply base
//	Q1 npn collector base emitter gain=290
//
// the value first where the kind has one, then the nets by the kind's leads,
// then parameters. "state NAME PART=setting …" adds a state.
type unit struct {
	name string
	text string
}

func (u unit) circuit() *circuit.Circuit {
	c := &circuit.Circuit{Unit: u.name, Common: "chassis"}
	for _, line := range strings.Split(u.text, "\n") {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
		case f[0] == "state":
			c.States = append(c.States, stateOf(f[1:]))
		default:
			c.Parts = append(c.Parts, partOf(f))
		}
	}
	c.SortParts()
	for _, p := range c.Validate() {
		if !p.Warning {
			panic(u.name + ": " + p.Text)
		}
	}
	return c
}

func partOf(f []string) circuit.Part {
	p := circuit.Part{Ref: circuit.PartRef(f[0]), Kind: circuit.Kind(f[1]), Amounts: map[string]circuit.Amount{}, Words: map[string]string{}}
	info, ok := circuit.Lookup(p.Kind)
	if !ok {
		panic("no kind " + f[1])
	}
	rest := f[2:]
	if main := mainParam(p.Kind); main != "" {
		p.Amounts[main] = amount(info, main, rest[0])
		rest = rest[1:]
	}
	leads := circuit.LeadNames(p.Kind, nil, 1)
	for _, word := range rest {
		if name, value, ok := strings.Cut(word, "="); ok {
			name = strings.ReplaceAll(name, "_", " ")
			if param, _ := info.Param(name); len(param.Units) == 0 {
				p.Words[name] = value
			} else {
				p.Amounts[name] = amount(info, name, value)
			}
			continue
		}
		name := circuit.LeadName(fmt.Sprint(len(p.Leads) + 1))
		if len(p.Leads) < len(leads) {
			name = leads[len(p.Leads)]
		}
		p.Leads = append(p.Leads, circuit.Lead{Name: name, Net: circuit.NetID(word)})
	}
	return p
}

func mainParam(k circuit.Kind) string {
	switch k {
	case circuit.Resistor, circuit.Photocell, circuit.Potentiometer, circuit.Capacitor, circuit.Electrolytic, circuit.Inductor:
		return "value"
	case circuit.Battery, circuit.Supply:
		return "voltage"
	case circuit.Zener:
		return "zener voltage"
	case circuit.Regulator:
		return "output voltage"
	}
	return ""
}

func amount(info circuit.Info, name, text string) circuit.Amount {
	param, ok := info.Param(name)
	if !ok {
		panic(fmt.Sprintf("%s has no %s", info.Kind, name))
	}
	u := param.Units[0]
	v, err := quantity.Parse(text, u)
	if err != nil {
		v, err = quantity.Parse(text+u.String(), u)
	}
	if err != nil {
		panic(err)
	}
	return circuit.Amount{Value: v, Unit: u}
}

func stateOf(f []string) circuit.State {
	s := circuit.State{Name: f[0], Settings: map[circuit.PartRef]circuit.Setting{}}
	for _, word := range f[1:] {
		ref, how, _ := strings.Cut(word, "=")
		set := circuit.Setting{Form: circuit.SettingForm(how)}
		switch how {
		case "no", "nc":
			set = circuit.Setting{Form: circuit.Thrown, Contact: circuit.LeadName(how)}
		}
		var x float64
		if _, err := fmt.Sscan(how, &x); err == nil {
			set = circuit.Setting{Form: circuit.Control, Position: x}
		}
		s.Settings[circuit.PartRef(ref)] = set
	}
	return s
}

// units are the circuits of the studies: the two demonstration units as far
// as direct current goes, and invented ones of common types.
func units() []unit {
	return []unit{
		{"intercom amplifier", `
			B1 battery 9 battery chassis resistance=1.5
			S1 switch battery supply
			R12 resistor 1k5 supply pilot
			D1 led pilot chassis forward_drop=1.9
			C7 electrolytic 220u supply chassis
			R1 resistor 470R supply decoupled
			C1 electrolytic 100u decoupled chassis
			C2 electrolytic 10u base1 microphone
			J1 connector microphone chassis
			R2 resistor 100k decoupled base1
			R3 resistor 22k base1 chassis
			Q1 npn collector1 base1 emitter1 gain=290
			R4 resistor 4k7 decoupled collector1
			R5 resistor 1k emitter1 chassis
			C3 electrolytic 47u emitter1 chassis
			C4 electrolytic 10u collector1 volume
			RV1 potentiometer 10k chassis wiper volume
			C5 electrolytic 10u base2 wiper
			R6 resistor 12k base2 chassis
			R8 resistor 2k2 emitter3 base2
			Q2 npn collector2 base2 emitter2 gain=290
			R7 resistor 3k9 supply collector2
			R9 resistor 220R emitter2 chassis
			Q3 npn collector3 collector2 emitter3 gain=150
			R10 resistor 47R emitter3 chassis
			C6 electrolytic 100u emitter3 chassis
			T1 inductor 900mH supply collector3 resistance=12
			state off B1=off S1=open
			state standby S1=open
			state talking S1=closed RV1=0.7`},
		{"survey meter", `
			B1 battery 9 battery chassis resistance=2
			S1 switch battery supply
			C6 electrolytic 100u supply chassis
			R12 resistor 330R supply regulated
			D2 zener 5.6 chassis regulated
			C7 electrolytic 47u regulated chassis
			E1 supply 420 hv chassis resistance=1M
			C1 capacitor 220n hv chassis voltage=630
			R1 resistor 10M hv middle
			R2 resistor 10M middle chassis
			R3 resistor 4M7 hv anode
			J1 connector anode cathode
			R4 resistor 47k cathode chassis
			C2 capacitor 1n cathode base1
			R5 resistor 100k base1 chassis
			Q1 npn collector1 base1 chassis gain=290
			R6 resistor 10k regulated collector1
			R10 resistor 47k pulse base1
			C3 capacitor 10n collector1 base2
			R7 resistor 220k regulated base2
			Q2 npn pulse base2 chassis gain=290
			R8 resistor 4k7 regulated pulse
			C5 capacitor 100n pulse earphone
			J2 connector earphone chassis
			D1 diode pulse counted
			R9 resistor 10k counted mean
			C4 electrolytic 47u mean chassis
			RV1 potentiometer 10k mean movement movement
			R11 resistor 1k8 movement chassis
			state off B1=off E1=off S1=open
			state counting S1=closed`},
		{"direct-coupled amplifier", `
			B1 battery 12 supply chassis resistance=0.5
			F1 fuse supply fused current=0.5
			R1 resistor 220k collector1 base1
			R2 resistor 47k base1 chassis
			R3 resistor 10k fused collector1
			R4 resistor 470R emitter1 chassis
			Q1 npn collector1 base1 emitter1
			Q2 pnp collector2 collector1 emitter2 gain=200
			R5 resistor 1k fused emitter2
			R6 resistor 3k3 collector2 chassis
			Q3 npn fused collector2 out gain=120
			R7 resistor 330R out chassis
			C1 electrolytic 10u input base1
			R8 resistor 100k input chassis
			C2 electrolytic 100u out speaker
			LS1 speaker speaker chassis resistance=16
			C3 electrolytic 220u fused chassis
			state off B1=off
			state on`},
		{"series regulator", `
			PS1 supply 18 raw chassis resistance=1
			C1 electrolytic 1000u raw chassis
			R1 resistor 1k raw drive
			R2 resistor 2k2 raw reference
			D1 zener 5.6 chassis reference
			Q1 npn raw drive base2 gain=100
			Q2 npn raw base2 out current=4 gain=50
			R9 resistor 1k base2 out
			Q3 npn drive sense tail gain=200
			Q4 npn raw reference tail gain=200
			R3 resistor 1k tail chassis
			R4 resistor 2k7 out upper
			RV1 potentiometer 1k upper sense lower
			R5 resistor 2k2 lower chassis
			R6 resistor 47R out load
			DS1 lamp load chassis voltage=6 current=0.05
			C2 electrolytic 100u out chassis
			state off PS1=off
			state on`},
		{"light switch", `
			B1 battery 9 battery chassis resistance=1.5
			S1 switch battery supply
			R1 photocell 10k supply divider
			RV1 potentiometer 22k divider divider chassis
			R2 resistor 10k divider base1
			Q1 npn collector1 base1 tail gain=250
			Q2 npn collector2 base2 tail gain=250
			R3 resistor 4k7 supply collector1
			R4 resistor 10k collector1 base2
			R5 resistor 22k base2 chassis
			R6 resistor 220R tail chassis
			R7 resistor 2k2 supply collector2
			R8 resistor 4k7 collector2 base3
			Q3 pnp collector3 base3 supply gain=180
			R9 resistor 470R collector3 light
			D1 led light chassis
			R10 resistor 22k collector3 chassis
			D2 diode chassis collector3
			C1 electrolytic 47u supply chassis
			state off B1=off S1=open
			state on S1=closed`},
		{"lamp flasher at rest", `
			B1 battery 6 supply chassis resistance=1
			R1 resistor 1k supply collector1
			R2 resistor 33k supply base2
			R3 resistor 47k supply base1
			C1 electrolytic 22u collector1 base2
			C2 electrolytic 22u lampnode base1
			Q1 npn collector1 base1 chassis gain=200
			Q2 npn base3 base2 chassis gain=200
			R4 resistor 470R supply base3
			R5 resistor 150R base3 base4
			Q3 pnp collector3 base4 supply gain=150
			R6 resistor 1k collector3 base5
			R7 resistor 2k2 base5 chassis
			Q4 npn lampnode base5 chassis current=2 gain=80
			DS1 lamp supply lampnode voltage=6 current=0.1
			D1 diode lampnode supply
			state off B1=off
			state on`},
		{"high-voltage divider chain", `
			PS1 supply 300 hv chassis resistance=10k
			R1 resistor 470k hv tap1 power=0.5
			R2 resistor 470k tap1 tap2 power=0.5
			R3 resistor 330k tap2 tap3 power=0.5
			R4 resistor 220k tap3 tap4 power=0.5
			R5 resistor 100k tap4 chassis power=0.5
			C1 capacitor 100n hv chassis
			C2 capacitor 47n tap1 chassis
			C3 capacitor 47n tap2 chassis
			C4 capacitor 47n tap3 chassis
			R6 resistor 1M tap2 grid
			R7 resistor 2M2 grid chassis
			D1 zener 62 chassis ref
			R8 resistor 1M tap1 ref power=0.5
			state off PS1=off
			state on`},
	}
}
