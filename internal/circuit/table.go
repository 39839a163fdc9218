package circuit

import q "foilside/internal/quantity"

// Where the defaults come from, once.
const (
	trade  = "common practice"
	memory = "from memory, typical of makers' data sheets"
)

func amount(name, doc string, units ...q.Unit) Param {
	return Param{Name: name, Doc: doc, Units: units}
}

func (p Param) def(v float64, source string) Param {
	p.Default = &Default{Value: v, Source: source}
	return p
}

func (p Param) at(u q.Unit) Param {
	p.AtUnit = u
	return p
}

func word(name, doc, standard string, words ...string) Param {
	return Param{Name: name, Doc: doc, Words: words, Default: &Default{Word: standard, Source: trade}}
}

func tolerance(v float64) Param {
	return amount("tolerance", "limits of the value, either way", q.Percent).def(v, trade)
}

// table is every kind of part. It is built afresh for each caller, so that
// nobody can change it for the others.
func table() []Info {
	var all []Info
	for _, group := range []func() []Info{passives, junctions, transistors, tubes, contacts, sources, blocks} {
		all = append(all, group()...)
	}
	return all
}

func passives() []Info {
	power := amount("power", "rated dissipation", q.Watt)
	two := []LeadName{"1", "2"}
	value := func(u q.Unit) Param { return amount("value", "as marked", u) }
	capacitor := []Param{
		value(q.Farad), tolerance(0.1),
		amount("voltage", "rated voltage", q.Volt),
		amount("leakage", "insulation resistance, or the current at rated voltage", q.Ohm, q.Ampere),
		amount("series resistance", "equivalent series resistance", q.Ohm),
	}
	electrolytic := append([]Param{}, capacitor...)
	electrolytic[1] = tolerance(0.2)
	return []Info{
		{Kind: Resistor, Letter: "R", Noun: "resistor", Leads: two,
			Params: []Param{value(q.Ohm), tolerance(0.05), power.def(0.25, trade)}},
		{Kind: Thermistor, Letter: "RT", Noun: "thermistor", Leads: two,
			Params: []Param{value(q.Ohm), tolerance(0.2), power}},
		{Kind: Photocell, Letter: "R", Noun: "photocell", Leads: two,
			Params: []Param{value(q.Ohm), tolerance(0.5), power}},
		{Kind: Potentiometer, Letter: "R", Noun: "potentiometer", Leads: []LeadName{"1", "w", "2"},
			Params: []Param{value(q.Ohm), tolerance(0.2), power, word("taper", "how the track runs", "linear", "linear", "log", "antilog")}},
		{Kind: Capacitor, Letter: "C", Noun: "capacitor", Leads: two, Params: capacitor},
		{Kind: Electrolytic, Letter: "C", Noun: "electrolytic capacitor", Leads: []LeadName{"+", "-"}, Params: electrolytic},
		{Kind: Inductor, Letter: "L", Noun: "inductor", Leads: two,
			Params: []Param{value(q.Henry), tolerance(0.2), amount("resistance", "winding resistance", q.Ohm).def(1, trade),
				amount("saturation current", "where the inductance has fallen by a tenth", q.Ampere)}},
		{Kind: Transformer, Letter: "T", Noun: "transformer", AnyLead: true,
			Params: []Param{amount("coupling", "between every two windings", q.None).def(0.98, trade),
				amount("saturation flux", "flux linkage of the first winding at which the core saturates", q.VoltSecond), tolerance(0.2)}},
		{Kind: Crystal, Letter: "Y", Noun: "crystal", Leads: two,
			Params: []Param{amount("frequency", "as marked", q.Hertz)}},
	}
}

// junctionParams are shared by diodes and bridges. A forward drop holds at
// 10 mA for small diodes and at 1 A for rectifiers, unless it says a current.
func junctionParams() []Param {
	return []Param{
		amount("forward drop", "voltage across it when it conducts", q.Volt).at(q.Ampere),
		amount("reverse voltage", "rated reverse voltage", q.Volt),
		amount("current", "rated average current", q.Ampere),
	}
}

func material() Param {
	return word("material", "what its junctions are made of", "silicon", "silicon", "germanium", "selenium", "schottky")
}

func junctions() []Info {
	ak := []LeadName{"a", "k"}
	diode := append(junctionParams(), material())
	led := append(junctionParams(), word("colour", "of its light", "red", "red", "orange", "yellow", "green", "blue", "white", "infrared"))
	zener := append(junctionParams(), amount("zener voltage", "at 5 mA", q.Volt).at(q.Ampere), tolerance(0.05), amount("power", "rated dissipation", q.Watt).def(0.4, trade))
	return []Info{
		{Kind: Diode, Letter: "D", Noun: "diode", Leads: ak, Params: diode},
		{Kind: LED, Letter: "D", Noun: "light-emitting diode", Leads: ak, Params: led},
		{Kind: Zener, Letter: "D", Noun: "zener diode", Leads: ak, Params: zener},
		{Kind: Bridge, Letter: "D", Noun: "bridge rectifier", Leads: []LeadName{"ac1", "ac2", "+", "-"}, Params: append(junctionParams(), material())},
	}
}

func transistors() []Info {
	cbe := []LeadName{"c", "b", "e"}
	dgs := []LeadName{"d", "g", "s"}
	ratings := []Param{
		amount("voltage", "rated collector or drain voltage", q.Volt),
		amount("current", "rated collector or drain current", q.Ampere),
		amount("power", "rated dissipation", q.Watt),
	}
	bipolar := append([]Param{amount("gain", "direct-current ratio of collector to base current", q.None).def(100, trade), material(),
		amount("base-emitter voltage", "when it conducts, at the collector current given", q.Volt).at(q.Ampere)}, ratings...)
	fet := append([]Param{
		amount("threshold", "gate voltage at which it just conducts, or pinches off", q.Volt),
		amount("transconductance", "at the current given, or at the zero-bias current", q.Siemens).at(q.Ampere),
		amount("zero-bias current", "drain current with the gate at the source", q.Ampere),
	}, ratings...)
	thyristor := []Param{
		amount("gate trigger current", "that surely fires it", q.Ampere),
		amount("gate trigger voltage", "that surely fires it", q.Volt),
		amount("holding current", "below which it lets go", q.Ampere),
		amount("blocking voltage", "rated off-state voltage", q.Volt),
		amount("current", "rated average current", q.Ampere),
	}
	return []Info{
		{Kind: NPN, Letter: "Q", Noun: "NPN transistor", Leads: cbe, Params: bipolar},
		{Kind: PNP, Letter: "Q", Noun: "PNP transistor", Leads: cbe, Params: bipolar},
		{Kind: JFETN, Letter: "Q", Noun: "n-channel junction FET", Leads: dgs, Params: fet},
		{Kind: JFETP, Letter: "Q", Noun: "p-channel junction FET", Leads: dgs, Params: fet},
		{Kind: MOSFETN, Letter: "Q", Noun: "n-channel MOSFET", Leads: dgs, Params: fet},
		{Kind: MOSFETP, Letter: "Q", Noun: "p-channel MOSFET", Leads: dgs, Params: fet},
		{Kind: UJT, Letter: "Q", Noun: "unijunction transistor", Leads: []LeadName{"e", "b1", "b2"},
			Params: []Param{amount("intrinsic ratio", "stand-off ratio", q.None).def(0.65, memory),
				amount("interbase resistance", "between the bases", q.Ohm).def(7e3, memory)}},
		{Kind: SCR, Letter: "Q", Noun: "thyristor", Leads: []LeadName{"a", "k", "g"}, Params: thyristor},
		{Kind: Triac, Letter: "Q", Noun: "triac", Leads: []LeadName{"mt1", "mt2", "g"}, Params: thyristor},
	}
}

func tubes() []Info {
	two := []LeadName{"1", "2"}
	gas := []Param{
		amount("striking voltage", "at which it lights", q.Volt),
		amount("maintaining voltage", "across it when lit", q.Volt),
	}
	valve := []Param{
		amount("amplification factor", "", q.None),
		amount("mutual conductance", "at the anode current given", q.Siemens).at(q.Ampere),
		amount("anode resistance", "", q.Ohm),
	}
	return []Info{
		{Kind: Neon, Letter: "DS", Noun: "neon lamp", Leads: two, Params: gas},
		{Kind: GasTube, Letter: "V", Noun: "gas tube", Leads: two, Params: gas},
		{Kind: FlashTube, Letter: "V", Noun: "flash tube", Leads: []LeadName{"a", "k", "t"}, Params: []Param{
			amount("hold-off voltage", "that it withstands without a trigger", q.Volt),
			amount("trigger voltage", "peak that surely fires it", q.Volt),
			amount("arc resistance", "when it conducts", q.Ohm)}},
		{Kind: Triode, Letter: "V", Noun: "triode", Leads: []LeadName{"a", "g", "k"}, Params: valve},
		{Kind: Pentode, Letter: "V", Noun: "pentode", Leads: []LeadName{"a", "g1", "g2", "g3", "k"}, Params: valve},
	}
}

func contacts() []Info {
	two := []LeadName{"1", "2"}
	poles := amount("poles", "that move together", q.None).def(1, trade)
	contact := amount("resistance", "of the closed contact", q.Ohm).def(0.05, trade)
	rated := []Param{
		amount("voltage", "rated voltage", q.Volt),
		amount("current", "rated current", q.Ampere),
		amount("resistance", "when it works as rated", q.Ohm),
	}
	return []Info{
		{Kind: Lamp, Letter: "DS", Noun: "lamp", Leads: two, Params: rated},
		{Kind: Fuse, Letter: "F", Noun: "fuse", Leads: two, Params: rated},
		{Kind: Heater, Letter: "HR", Noun: "heater", Leads: two, Params: rated},
		{Kind: Switch, Letter: "S", Noun: "switch", Leads: two, Params: []Param{poles, contact}},
		{Kind: Changeover, Letter: "S", Noun: "changeover switch", Leads: []LeadName{"c", "no", "nc"}, Params: []Param{poles, contact}},
		{Kind: Relay, Letter: "K", Noun: "relay", Leads: []LeadName{"coil1", "coil2", "c", "no", "nc"}, Params: []Param{poles,
			amount("coil resistance", "", q.Ohm), amount("pull-in voltage", "at which it surely pulls in", q.Volt), contact}},
	}
}

func sources() []Info {
	two := []LeadName{"+", "-"}
	voltage := amount("voltage", "with nothing connected", q.Volt)
	return []Info{
		{Kind: Battery, Letter: "BT", Noun: "battery", Leads: two,
			Params: []Param{voltage, amount("resistance", "inner resistance", q.Ohm).def(1, trade), tolerance(0.1)}},
		{Kind: Supply, Letter: "PS", Noun: "supply", Leads: two,
			Params: []Param{voltage, amount("resistance", "inner resistance", q.Ohm).def(0.1, trade), tolerance(0.05),
				amount("ripple", "peak to peak, at twice the mains frequency of 50 Hz", q.Volt)}},
		{Kind: Signal, Letter: "G", Noun: "signal source", Leads: two,
			Params: []Param{voltage, amount("resistance", "inner resistance", q.Ohm).def(50, trade),
				word("shape", "of the wave", "sine", "sine", "square", "triangle", "pulse"),
				amount("frequency", "", q.Hertz).def(1000, trade)}},
	}
}

func blocks() []Info {
	two := []LeadName{"1", "2"}
	resistance := func(v float64) Param { return amount("resistance", "at direct current", q.Ohm).def(v, trade) }
	return []Info{
		{Kind: Speaker, Letter: "LS", Noun: "loudspeaker", Leads: two, Params: []Param{resistance(8)}},
		{Kind: Earphone, Letter: "HT", Noun: "earphone", Leads: two, Params: []Param{resistance(1000)}},
		{Kind: Buzzer, Letter: "LS", Noun: "buzzer", Leads: two, Params: []Param{resistance(100)}},
		{Kind: Motor, Letter: "B", Noun: "motor", Leads: two, Params: []Param{resistance(10)}},
		{Kind: MeterMovement, Letter: "M", Noun: "meter movement", Leads: two, Params: []Param{resistance(1000),
			amount("full scale", "current at full deflection", q.Ampere, q.Volt)}},
		{Kind: OpAmp, Letter: "U", Noun: "operational amplifier", Leads: []LeadName{"+in", "-in", "out", "v+", "v-"}},
		{Kind: Timer555, Letter: "U", Noun: "555 timer", Leads: []LeadName{"1", "2", "3", "4", "5", "6", "7", "8"}},
		{Kind: Regulator, Letter: "U", Noun: "regulator", Leads: []LeadName{"in", "out", "com"},
			Params: []Param{amount("output voltage", "", q.Volt)}},
		{Kind: Optocoupler, Letter: "U", Noun: "optocoupler", Leads: []LeadName{"a", "k", "c", "e"},
			Params: []Param{amount("transfer ratio", "output to input current", q.None, q.Percent).def(1, trade)}},
		{Kind: Connector, Letter: "J", Noun: "connector", AnyLead: true},
		{Kind: TestPoint, Letter: "TP", Noun: "test point", AnyLead: true},
	}
}
