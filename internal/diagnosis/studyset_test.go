package diagnosis_test

import (
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
	"foilside/internal/schematic/trial"
	"foilside/internal/sim"
)

// The study set: circuits as they come to a bench, of every trade that direct
// current says something about. Those of textbooks are the drawing trials'.

// textbookUnits are the textbook circuits that stand still with their signals
// unplugged.
func textbookUnits() []string {
	return []string{
		"voltage divider bias", "two-stage RC-coupled amplifier", "differential pair", "complementary push-pull output",
		"inverting op-amp", "emitter follower", "collector feedback bias", "pnp voltage divider", "direct-coupled pair",
		"darlington emitter follower", "series feedback regulator", "op-amp series regulator", "bistable multivibrator",
		"schmitt trigger", "555 monostable", "jfet common source", "mosfet switch", "triode amplifier", "pentode output stage",
		"relay driver", "optocoupler interface", "summing amplifier", "wheatstone bridge meter", "current mirror",
	}
}

// studyCircuits are all circuits of the study, in a fixed order.
func studyCircuits(t testing.TB) []*circuit.Circuit {
	t.Helper()
	var out []*circuit.Circuit
	for _, u := range append(units(), furtherUnits()...) {
		out = append(out, u.circuit())
	}
	all, err := trial.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range textbookUnits() {
		found := false
		for _, n := range all {
			if n.Name == name {
				found = true
				out = append(out, benched(n.Circuit))
			}
		}
		if !found {
			t.Fatalf("there is no textbook circuit %q", name)
		}
	}
	for _, c := range out {
		if _, err := sim.Compile(c, sim.Options{}); err != nil {
			t.Fatalf("%s: %v", c.Unit, err)
		}
	}
	return out
}

// benched is a textbook circuit as a person would describe it on the bench:
// with the values that a drawing leaves out, one state without power and one
// with the supplies on and the signals unplugged.
func benched(c *circuit.Circuit) *circuit.Circuit {
	out := c.Clone()
	off := circuit.State{Name: "off", Settings: map[circuit.PartRef]circuit.Setting{}}
	on := circuit.State{Name: "on", Settings: map[circuit.PartRef]circuit.Setting{}}
	for i, p := range out.Parts {
		give := func(name string, v float64, u quantity.Unit) {
			if _, ok := p.Amount(name); !ok {
				out.Parts[i].Amounts[name] = circuit.Amount{Value: v, Unit: u}
			}
		}
		switch p.Kind {
		case circuit.Signal:
			give("voltage", 1, quantity.Volt)
			off.Settings[p.Ref], on.Settings[p.Ref] = circuit.Setting{Form: circuit.Off}, circuit.Setting{Form: circuit.Off}
		case circuit.Battery, circuit.Supply:
			off.Settings[p.Ref] = circuit.Setting{Form: circuit.Off}
		case circuit.Zener: // a drawing's one voltage is the zener voltage
			if v, ok := p.Amounts["forward drop"]; ok {
				delete(out.Parts[i].Amounts, "forward drop")
				out.Parts[i].Amounts["zener voltage"] = v
			}
		case circuit.Relay:
			give("coil resistance", 400, quantity.Ohm)
			give("pull-in voltage", 8, quantity.Volt)
		case circuit.Lamp:
			give("voltage", 12, quantity.Volt)
			give("current", 0.1, quantity.Ampere)
		}
	}
	out.States = []circuit.State{off, on}
	return out
}

// furtherUnits are invented circuits of trades that the textbook ones leave out.
func furtherUnits() []unit {
	return []unit{
		{"comparator with relay", `
			PS1 supply 12 supply chassis resistance=0.5
			F1 fuse supply fused current=0.5
			R1 resistor 10k fused sensor
			R2 photocell 10k sensor chassis
			R3 resistor 22k fused threshold
			RV1 potentiometer 10k chassis threshold threshold
			R4 resistor 100k out sensor
			U1 opamp threshold sensor out fused chassis
			R5 resistor 4k7 out base
			R6 resistor 47k base chassis
			Q1 npn coil base chassis gain=200
			K1 relay fused coil fused lampfeed nothing coil_resistance=270 pull-in_voltage=8
			D1 diode coil fused
			DS1 lamp lampfeed chassis voltage=12 current=0.1
			R7 resistor 1k5 fused pilot
			D2 led pilot chassis
			C1 electrolytic 470u fused chassis
			state off PS1=off
			state on`},
		{"bench supply with regulator", `
			PS1 supply 18 raw chassis resistance=2
			S1 switch raw fed
			C1 electrolytic 2200u fed chassis
			U1 regulator 5 fed five chassis
			C2 capacitor 100n five chassis
			C3 electrolytic 10u five chassis
			R1 resistor 330R five pilot
			D1 led pilot chassis
			R2 resistor 680R fed twelve
			D2 zener 12 chassis twelve
			Q1 npn fed twelve out power=30 current=3 gain=60
			R3 resistor 2k2 out chassis
			C4 electrolytic 100u out chassis
			D3 diode chassis five
			R4 resistor 10k out half
			R5 resistor 10k half chassis
			state off PS1=off S1=open
			state closed PS1=off S1=closed
			state on S1=closed`},
		{"transistor gates", `
			PS1 supply 5 supply chassis
			R1 resistor 1k supply outa
			Q1 npn outa basea chassis gain=150
			R2 resistor 10k inone basea
			R3 resistor 10k intwo basea
			R4 resistor 100k basea chassis
			R5 resistor 1k supply outb
			Q2 npn outb baseb chassis gain=150
			R6 resistor 10k outa baseb
			R7 resistor 100k baseb chassis
			R8 resistor 1k supply outc
			Q3 npn outc basec middle gain=150
			Q4 npn middle based chassis gain=150
			R9 resistor 10k outb basec
			R10 resistor 10k outa based
			R11 resistor 470R supply pilot
			D1 led pilot outc
			S1 switch supply inone
			S2 switch supply intwo
			R12 resistor 10k inone chassis
			R13 resistor 10k intwo chassis
			state off PS1=off
			state rest
			state one S1=closed
			state both S1=closed S2=closed`},
		{"valve audio stage", `
			PS1 supply 250 ht chassis resistance=500
			R1 resistor 470k grid1 chassis
			C1 capacitor 22n input grid1
			R9 resistor 1M input chassis
			V1 triode anode1 grid1 cathode1
			R2 resistor 100k decoupled anode1
			R3 resistor 2k2 cathode1 chassis
			C2 electrolytic 25u cathode1 chassis
			R4 resistor 22k ht decoupled
			C3 electrolytic 16u decoupled chassis
			C4 capacitor 22n anode1 grid2
			R5 resistor 470k grid2 chassis
			V2 pentode anode2 grid2 screen cathode2 cathode2
			R6 resistor 470R cathode2 chassis
			C5 electrolytic 50u cathode2 chassis
			R7 resistor 2k2 ht screen
			L1 inductor 10 ht anode2 resistance=350
			C6 electrolytic 32u ht chassis
			R8 resistor 220k ht chassis
			state off PS1=off
			state on`},
		{"thyristor alarm", `
			B1 battery 9 supply chassis resistance=1.5
			S1 switch supply armed
			S2 switch armed loop
			R1 resistor 10k loop gate
			R2 resistor 1k gate chassis
			C1 capacitor 100n gate chassis
			Q1 scr lamp chassis gate
			DS1 lamp armed lamp voltage=9 current=0.1
			R3 resistor 680R armed pilot
			D1 led pilot chassis
			R4 resistor 4k7 armed base
			Q2 pnp buzz base armed gain=150
			R5 resistor 10k base lamp
			LS1 buzzer buzz chassis resistance=120
			D2 diode chassis buzz
			state off B1=off
			state armed S1=closed`},
		{"push-button chain of relays", `
			PS1 supply 24 supply chassis resistance=1
			F1 fuse supply fused current=1
			S1 switch fused coil1
			K1 relay coil1 chassis fused hold1 rest1 coil_resistance=600 pull-in_voltage=16
			D1 diode chassis coil1
			R1 resistor 1k hold1 coil2
			K2 relay coil2 chassis fused lamp2 rest2 coil_resistance=1k2 pull-in_voltage=10
			D2 diode chassis coil2
			DS1 lamp lamp2 chassis voltage=24 current=0.1
			DS2 lamp rest1 chassis voltage=24 current=0.05
			R2 resistor 2k2 rest2 pilot
			D3 led pilot chassis
			C1 electrolytic 100u coil2 chassis
			state off PS1=off
			state rest
			state pressed S1=closed`},
	}
}

// splitNet is a circuit whose tracer took one net for two: the last leads of
// the net stand on one of their own.
func splitNet(c *circuit.Circuit, net circuit.NetID, away int) (*circuit.Circuit, circuit.NetID) {
	out := c.Clone()
	name := circuit.NetID(string(net) + "_b")
	for i := len(out.Parts) - 1; i >= 0 && away > 0; i-- {
		for k := range out.Parts[i].Leads {
			if out.Parts[i].Leads[k].Net == net && away > 0 {
				out.Parts[i].Leads[k].Net = name
				away--
			}
		}
	}
	return out, name
}

// mergeNets is a circuit whose tracer took two nets for one, named a.
func mergeNets(c *circuit.Circuit, a, b circuit.NetID) *circuit.Circuit {
	out := c.Clone()
	for i := range out.Parts {
		for k := range out.Parts[i].Leads {
			if out.Parts[i].Leads[k].Net == b {
				out.Parts[i].Leads[k].Net = a
			}
		}
	}
	return out
}

// TestStudySet: the circuits compile, have names of their own, and are as many
// as the study promises.
func TestStudySet(t *testing.T) {
	all := studyCircuits(t)
	seen := map[string]bool{}
	for _, c := range all {
		if seen[c.Unit] || strings.TrimSpace(c.Unit) == "" {
			t.Errorf("the name %q stands twice or is empty", c.Unit)
		}
		seen[c.Unit] = true
	}
	if len(all) < 30 {
		t.Errorf("%d circuits, want 30", len(all))
	}
}
