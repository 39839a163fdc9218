package diagnosis

import "foilside/internal/circuit"

// Where shares and rates are from. The ids are rows of the outside checks:
// F01–F42 are failure-mode ratios of MIL-HDBK-338B (1998), F44–F74 base rates
// of MIL-HDBK-217F, parts count, environment ground fixed, per million hours;
// F30–F42 and what is marked so are from memory.
const practice = "common practice"

// mode is one way in which a kind of part fails.
type mode struct {
	fault  Name
	share  float64 // of the kind's failures
	lead   circuit.LeadName
	leads  [2]circuit.LeadName
	word   string
	source string
}

// record is how often a kind fails, and how.
type record struct {
	kind   circuit.Kind
	rate   float64 // failures in a million hours
	source string
	modes  []mode
}

// records is the published experience, kind by kind.
func records() []record {
	var all []record
	all = append(all, passiveRecords()...)
	all = append(all, semiconductorRecords()...)
	all = append(all, tubeRecords()...)
	all = append(all, contactRecords()...)
	return append(all, blockRecords()...)
}

func passiveRecords() []record {
	return []record{
		{circuit.Resistor, 0.0027, "F45", []mode{
			{fault: Open, share: 0.59, source: "F09"},
			{fault: ValueHigh, share: 0.24, source: "F09, change split 2 to 1: " + practice},
			{fault: ValueLow, share: 0.12, source: "F09, change split 2 to 1: " + practice},
			{fault: Short, share: 0.05, source: "F09"}}},
		{circuit.Thermistor, 0.32, "F48", []mode{
			{fault: Open, share: 0.63, source: "F42, from memory"},
			{fault: ValueHigh, share: 0.14, source: "F42, from memory"},
			{fault: ValueLow, share: 0.08, source: "F42, from memory"},
			{fault: Short, share: 0.15, source: "F42, from memory"}}},
		{circuit.Photocell, 0.05, practice, []mode{
			{fault: Open, share: 0.50, source: "F17"}, {fault: Short, share: 0.15, source: practice},
			{fault: ValueHigh, share: 0.25, source: practice}, {fault: ValueLow, share: 0.10, source: practice}}},
		{circuit.Potentiometer, 0.11, "F47", []mode{
			{fault: Open, share: 0.27, lead: "w", source: "F12; the wiper lifts first: " + practice},
			{fault: Open, share: 0.13, lead: "1", source: "F12"},
			{fault: Open, share: 0.13, lead: "2", source: "F12"},
			{fault: HighResistance, share: 0.30, lead: "w", source: "F12, erratic output"},
			{fault: ValueHigh, share: 0.10, source: "F12, erratic output"},
			{fault: Short, share: 0.07, leads: [2]circuit.LeadName{"1", "2"}, source: "F12"}}},
		{circuit.Capacitor, 0.0056, "between F50 and F51", []mode{
			{fault: Short, share: 0.40, source: "F04"}, {fault: Open, share: 0.38, source: "between F01 and F04"},
			{fault: Leaky, share: 0.12, source: "change of F04 and F01, split: " + practice},
			{fault: ValueLow, share: 0.10, source: "change of F04 and F01, split: " + practice}}},
		{circuit.Electrolytic, 0.081, "F56", []mode{
			{fault: Short, share: 0.53, source: "F02"}, {fault: Open, share: 0.35, source: "F02"},
			{fault: Leaky, share: 0.10, source: "F02"}, {fault: ValueLow, share: 0.02, source: "F02"}}},
		{circuit.Inductor, 0.023, "F66", coilModes("F22")},
		{circuit.Transformer, 0.023, "F66", coilModes("F21")},
		{circuit.Crystal, 0.032, "from memory", []mode{{fault: Open, share: 1, source: "F41, from memory"}}},
	}
}

func coilModes(source string) []mode {
	return []mode{
		{fault: Open, share: 0.42, source: source},
		{fault: Short, share: 0.14, source: source + ", short split: " + practice},
		{fault: ShortedTurns, share: 0.28, source: source + ", short split: " + practice},
		{fault: ValueLow, share: 0.16, source: source}}
}

func semiconductorRecords() []record {
	diode := func(open, short, leak float64, source string) []mode {
		return []mode{{fault: Short, share: short, source: source}, {fault: Open, share: open, source: source},
			{fault: Leaky, share: leak, source: source + ", change"}}
	}
	return []record{
		{circuit.Diode, 0.028, "F57", diode(0.36, 0.49, 0.15, "F13")},
		{circuit.LED, 0.028, "F57", []mode{{fault: Open, share: 0.70, source: "F18"}, {fault: Short, share: 0.30, source: "F18"}}},
		{circuit.Zener, 0.024, "F60", []mode{
			{fault: Open, share: 0.45, source: "F33, from memory"}, {fault: Short, share: 0.20, source: "F33, from memory"},
			{fault: ValueHigh, share: 0.10, source: "F33, change, from memory"},
			{fault: ValueLow, share: 0.10, source: "F33, change, from memory"},
			{fault: Leaky, share: 0.15, source: "F33, change, from memory"}}},
		{circuit.Bridge, 0.088, "four times F59", bridgeModes()},
		{circuit.NPN, 0.0011, "F61", bipolarModes()},
		{circuit.PNP, 0.0011, "F61", bipolarModes()},
		{circuit.JFETN, 0.099, "F65", fetModes()}, {circuit.JFETP, 0.099, "F65", fetModes()},
		{circuit.MOSFETN, 0.099, "F65", fetModes()}, {circuit.MOSFETP, 0.099, "F65", fetModes()},
		{circuit.UJT, 0.12, "F63", []mode{
			{fault: Short, share: 0.40, leads: [2]circuit.LeadName{"e", "b1"}, source: practice},
			{fault: Open, share: 0.30, lead: "e", source: practice},
			{fault: Open, share: 0.15, lead: "b1", source: practice}, {fault: Open, share: 0.15, lead: "b2", source: practice}}},
		{circuit.SCR, 0.020, "F64", []mode{
			{fault: Short, share: 0.60, leads: [2]circuit.LeadName{"a", "k"}, source: "F34 and F35, from memory"},
			{fault: Open, share: 0.25, lead: "g", source: "F34, failed off, from memory"},
			{fault: Open, share: 0.15, lead: "a", source: "F34, from memory"}}},
		{circuit.Triac, 0.020, "F64", []mode{
			{fault: Open, share: 0.55, lead: "g", source: "F36, failed off, from memory"},
			{fault: Open, share: 0.15, lead: "mt2", source: "F36, failed off, from memory"},
			{fault: Short, share: 0.30, leads: [2]circuit.LeadName{"mt1", "mt2"}, source: "F36 and F34, from memory"}}},
	}
}

func bridgeModes() []mode {
	var out []mode
	for _, ac := range []circuit.LeadName{"ac1", "ac2"} {
		for _, dc := range []circuit.LeadName{"+", "-"} {
			out = append(out, mode{fault: Short, share: 0.51 / 4, leads: [2]circuit.LeadName{ac, dc}, source: "F30, from memory"})
		}
	}
	for _, l := range []circuit.LeadName{"ac1", "ac2", "+", "-"} {
		out = append(out, mode{fault: Open, share: 0.49 / 4, lead: l, source: "F30, from memory"})
	}
	return out
}

// bipolarModes keeps 15 % of F14 for change: its two modes leave none, and
// F37 (from memory) has half of the failures of small transistors there.
func bipolarModes() []mode {
	split := "F14, split over the leads: " + practice
	change := "F37, from memory, cut to 15 %: " + practice
	return []mode{
		{fault: Short, share: 0.34, leads: [2]circuit.LeadName{"c", "e"}, source: split},
		{fault: Short, share: 0.16, leads: [2]circuit.LeadName{"c", "b"}, source: split},
		{fault: Short, share: 0.12, leads: [2]circuit.LeadName{"b", "e"}, source: split},
		{fault: Open, share: 0.09, lead: "b", source: split},
		{fault: Open, share: 0.07, lead: "c", source: split},
		{fault: Open, share: 0.07, lead: "e", source: split},
		{fault: Leaky, share: 0.10, leads: [2]circuit.LeadName{"c", "e"}, source: change},
		{fault: LowGain, share: 0.05, source: change},
	}
}

func fetModes() []mode {
	return []mode{
		{fault: Short, share: 0.31, leads: [2]circuit.LeadName{"d", "s"}, source: "F15, split over the leads: " + practice},
		{fault: Short, share: 0.20, leads: [2]circuit.LeadName{"g", "s"}, source: "F15, split over the leads: " + practice},
		{fault: LowGain, share: 0.22, source: "F15, output low"},
		{fault: Leaky, share: 0.17, leads: [2]circuit.LeadName{"g", "s"}, source: "F15, change"},
		{fault: Open, share: 0.04, lead: "d", source: "F15"}, {fault: Open, share: 0.03, lead: "g", source: "F15"},
		{fault: Open, share: 0.03, lead: "s", source: "F15"}}
}

// tubeRecords are common practice throughout: no citable table was found (F76).
func tubeRecords() []record {
	gas := []mode{{fault: Open, share: 0.6, source: practice}, {fault: ValueHigh, share: 0.3, source: practice}, {fault: Short, share: 0.1, source: practice}}
	valve := []mode{{fault: LowGain, share: 0.6, source: practice}, {fault: Open, share: 0.3, lead: "k", source: practice},
		{fault: Open, share: 0.1, lead: "a", source: practice}}
	return []record{
		{circuit.Neon, 0.1, practice, gas}, {circuit.GasTube, 0.3, practice, gas},
		{circuit.FlashTube, 0.5, practice, []mode{{fault: Open, share: 0.6, lead: "t", source: practice},
			{fault: ValueHigh, share: 0.3, source: practice},
			{fault: Short, share: 0.1, leads: [2]circuit.LeadName{"a", "k"}, source: practice}}},
		{circuit.Triode, 1, practice, valve}, {circuit.Pentode, 1, practice, valve},
	}
}

func contactRecords() []record {
	return []record{
		{circuit.Lamp, 0.1, practice, []mode{{fault: Open, share: 0.9, source: "F27, no illumination"},
			{fault: Short, share: 0.05, source: practice}, {fault: HighResistance, share: 0.05, source: practice}}},
		{circuit.Heater, 0.05, practice, []mode{{fault: Open, share: 0.95, source: practice}, {fault: Short, share: 0.05, source: practice}}},
		{circuit.Fuse, 0.010, "from memory", []mode{{fault: Open, share: 0.85, source: practice + "; F28 counts fuses that fail to open"},
			{fault: HighResistance, share: 0.15, source: practice}}},
		{circuit.Switch, 0.0030, "F67", []mode{
			{fault: Open, share: 0.40, source: "F24"}, {fault: HighResistance, share: 0.25, source: "F24, open split with F25's poor contact: " + practice},
			{fault: Stuck, share: 0.19, source: "F24"}, {fault: Short, share: 0.16, source: "F24"}}},
		{circuit.Changeover, 0.0030, "F67", []mode{
			{fault: Open, share: 0.25, lead: "c", source: "F24"}, {fault: Open, share: 0.12, lead: "no", source: "F24"}, {fault: Open, share: 0.12, lead: "nc", source: "F24"},
			{fault: HighResistance, share: 0.16, lead: "c", source: "F25"},
			{fault: Stuck, share: 0.12, word: "on nc", source: "F24"}, {fault: Stuck, share: 0.12, word: "on no", source: "F24"},
			{fault: Short, share: 0.11, leads: [2]circuit.LeadName{"no", "nc"}, source: "F24"}}},
		{circuit.Relay, 0.13, "from memory", []mode{
			{fault: Open, share: 0.35, lead: "coil1", source: "F23, fails to trip"}, {fault: Open, share: 0.20, lead: "c", source: "F23, fails to trip"},
			{fault: Stuck, share: 0.13, word: "on nc", source: "F23"}, {fault: Stuck, share: 0.13, word: "on no", source: "F23, spurious trip"},
			{fault: Short, share: 0.19, leads: [2]circuit.LeadName{"coil1", "coil2"}, source: "F23"}}},
	}
}

func blockRecords() []record {
	coil := []mode{{fault: Open, share: 0.85, source: practice}, {fault: Short, share: 0.15, source: practice}}
	source := []mode{{fault: Dead, share: 0.7, source: practice}, {fault: HighResistance, share: 0.3, source: practice}}
	block := func(out, ground circuit.LeadName) []mode {
		return []mode{{fault: Short, share: 0.4, leads: [2]circuit.LeadName{out, ground}, source: "F19, improper output, split: " + practice},
			{fault: Open, share: 0.6, lead: out, source: "F19, no output, split: " + practice}}
	}
	return []record{
		{circuit.Battery, 0.5, practice, source}, {circuit.Supply, 0.2, practice, source}, {circuit.Signal, 0.01, practice, []mode{{fault: Dead, share: 1, source: practice}}},
		{circuit.Speaker, 0.02, practice, coil}, {circuit.Earphone, 0.05, practice, coil}, {circuit.Buzzer, 0.05, practice, coil},
		{circuit.Motor, 0.1, practice, coil},
		{circuit.MeterMovement, 0.1, practice, []mode{{fault: Open, share: 0.26, source: "F26, open and no indication"},
			{fault: Stuck, share: 0.51, source: "F26, faulty indication"}, {fault: Short, share: 0.23, source: practice}}},
		{circuit.OpAmp, 0.02, "from memory", block("out", "v-")}, {circuit.Timer555, 0.02, "from memory", block("3", "1")},
		{circuit.Regulator, 0.02, "from memory", block("out", "com")},
		{circuit.Optocoupler, 0.03, "from memory", []mode{{fault: Open, share: 0.5, lead: "a", source: "F18"},
			{fault: LowGain, share: 0.3, source: "F18"}, {fault: Short, share: 0.2, leads: [2]circuit.LeadName{"c", "e"}, source: "F17"}}},
	}
}
