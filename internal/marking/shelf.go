package marking

import (
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

const sheet = "from memory, typical of makers' data sheets"

// Entry is one row of the parts shelf: what is assumed of a type number.
type Entry struct {
	Type   string
	Kind   circuit.Kind
	Amount map[string]float64 // by parameter name, SI base units
	Word   map[string]string
	Source string
}

// Shelf returns every row, in the order of kinds, for listing.
func Shelf() []Entry {
	var all []Entry
	for _, rows := range [][]Entry{diodeRows(), zenerRows(), npnRows(), pnpRows(), germaniumRows(), fetRows(), otherRows()} {
		all = append(all, rows...)
	}
	return all
}

// Find returns the row of a type number. A gain letter or maker's suffix that
// the shelf does not list is passed over: BC547B is found exactly, BC547BG as
// BC547B.
func Find(typeNumber string) (Entry, bool) {
	return shelfEntry(strings.ToUpper(strings.ReplaceAll(typeNumber, " ", "")))
}

func shelfEntry(s string) (Entry, bool) {
	return NewIndex().lookup(s)
}

func (e Entry) reading() Reading {
	info, _ := circuit.Lookup(e.Kind)
	r := Reading{Kind: e.Kind, Type: e.Type, Material: e.Word["material"], Amounts: e.Amount,
		Text: info.Noun, Source: sourceShelf + ", " + e.Source}
	if v, ok := e.Amount["zener voltage"]; ok {
		r.Value, r.Unit = &v, "V"
		r.Text += ", " + quantity.Format(v, quantity.Volt, 3)
	}
	if r.Material != "" {
		r.Text = r.Material + " " + r.Text
	}
	return r
}

func parseVolts(s string) (float64, error) { return quantity.Parse(s, quantity.Volt) }

func diode(t string, drop, reverse, current float64, material string) Entry {
	return Entry{t, circuit.Diode, map[string]float64{"forward drop": drop, "reverse voltage": reverse, "current": current},
		map[string]string{"material": material}, sheet}
}

func diodeRows() []Entry {
	rows := []Entry{
		diode("1N4148", 0.72, 75, 0.15, "silicon"), diode("1N914", 0.72, 75, 0.075, "silicon"),
		diode("1N4448", 0.70, 75, 0.15, "silicon"), diode("BAV21", 0.75, 200, 0.25, "silicon"),
		diode("BY127", 1.0, 1250, 1, "silicon"), diode("BA159", 1.1, 1000, 1, "silicon"),
		diode("OA90", 0.35, 20, 0.01, "germanium"), diode("OA91", 0.4, 90, 0.05, "germanium"),
		diode("OA95", 0.4, 90, 0.05, "germanium"), diode("OA47", 0.35, 25, 0.11, "germanium"),
		diode("AA119", 0.4, 45, 0.035, "germanium"), diode("1N34A", 0.35, 60, 0.05, "germanium"),
		diode("1N60", 0.35, 40, 0.05, "germanium"), diode("1N270", 0.35, 80, 0.04, "germanium"),
		diode("BAT85", 0.4, 30, 0.2, "schottky"), diode("1N5817", 0.45, 20, 1, "schottky"),
		diode("1N5818", 0.55, 30, 1, "schottky"), diode("1N5819", 0.6, 40, 1, "schottky"),
	}
	volts := []float64{50, 100, 200, 400, 600, 800, 1000}
	for i, v := range volts {
		rows = append(rows, diode("1N400"+string(rune('1'+i)), 0.95, v, 1, "silicon"))
	}
	for i, v := range []float64{50, 100, 200, 400, 600, 800, 1000} {
		t := []string{"1N5400", "1N5401", "1N5402", "1N5404", "1N5406", "1N5407", "1N5408"}[i]
		rows = append(rows, diode(t, 0.85, v, 3, "silicon"))
	}
	return rows
}

// zenerRows are the 1N47xx (1 W), 1N52xx (0.5 W) and 1N7xx (0.4 W) series.
func zenerRows() []Entry {
	var rows []Entry
	add := func(t string, volts, power float64) {
		rows = append(rows, Entry{t, circuit.Zener, map[string]float64{"zener voltage": volts, "power": power}, nil, sheet})
	}
	for i, v := range []float64{3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1, 10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33} {
		add("1N47"+twoFigures(28+i), v, 1)
	}
	for i, v := range []float64{3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.0, 6.2, 6.8, 7.5, 8.2, 8.7, 9.1, 10, 11, 12} {
		add("1N52"+twoFigures(26+i), v, 0.5)
	}
	for i, v := range []float64{3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1, 10, 12} {
		add("1N7"+twoFigures(46+i), v, 0.4)
	}
	return rows
}

func twoFigures(n int) string { return string([]byte{byte('0' + n/10), byte('0' + n%10)}) }

func bipolar(k circuit.Kind, t string, gain, volts, current, power float64, material string) Entry {
	return Entry{t, k, map[string]float64{"gain": gain, "voltage": volts, "current": current, "power": power},
		map[string]string{"material": material}, sheet}
}

func npnRows() []Entry {
	n := func(t string, gain, v, i, p float64) Entry { return bipolar(circuit.NPN, t, gain, v, i, p, "silicon") }
	return []Entry{
		n("BC107", 230, 45, .1, .3), n("BC107A", 170, 45, .1, .3), n("BC107B", 290, 45, .1, .3),
		n("BC108", 290, 20, .1, .3), n("BC108B", 290, 20, .1, .3), n("BC108C", 500, 20, .1, .3),
		n("BC109", 400, 20, .1, .3), n("BC109C", 520, 20, .1, .3),
		n("BC546", 290, 65, .1, .5), n("BC547", 290, 45, .1, .5), n("BC547A", 180, 45, .1, .5), n("BC547B", 290, 45, .1, .5), n("BC547C", 520, 45, .1, .5),
		n("BC548", 290, 30, .1, .5), n("BC548B", 290, 30, .1, .5), n("BC548C", 520, 30, .1, .5), n("BC549", 400, 30, .1, .5), n("BC549C", 520, 30, .1, .5), n("BC550C", 520, 45, .1, .5),
		n("BC337", 250, 45, .8, .625), n("BC338", 250, 25, .8, .625), n("BC182", 250, 50, .1, .3), n("BC238", 290, 25, .1, .3),
		n("BD131", 80, 45, 3, 15), n("BD135", 100, 45, 1.5, 12.5), n("BD137", 100, 60, 1.5, 12.5), n("BD139", 100, 80, 1.5, 12.5),
		n("BF259", 50, 300, .1, .8), n("BF422", 80, 250, .05, .83), n("BFY50", 70, 35, 1, .8), n("BFY51", 90, 30, 1, .8), n("BD115", 60, 180, .15, .8), n("BUX84", 40, 400, 2, 40),
		n("2N1711", 130, 50, .5, .8), n("2N2219A", 150, 40, .8, .8), n("2N2222", 150, 30, .8, .5), n("2N2222A", 150, 40, .8, .5), n("2N3053", 100, 40, .7, 5), n("2N3055", 50, 60, 15, 115),
		n("2N3704", 180, 30, .8, .36), n("2N3904", 180, 40, .2, .625), n("2N5551", 120, 160, .6, .625), n("MPSA42", 80, 300, .5, .625), n("MPSA44", 100, 400, .3, .625), n("MJE13003", 20, 400, 1.5, 40), n("MJE340", 80, 300, .5, 20),
		n("TIP29", 60, 40, 1, 30), n("TIP31", 60, 40, 3, 40), n("TIP41", 50, 40, 6, 65), n("ZTX300", 120, 25, .5, .3), n("ZTX653", 200, 100, 2, 1),
		n("2SC1815", 200, 50, .15, .4), n("2SC945", 200, 50, .1, .25), n("2SC536", 200, 30, .1, .25), n("2SD965", 250, 20, 5, .75), n("2SC828", 200, 30, .05, .25), n("2SC2655", 150, 50, 2, .9), n("S8050", 200, 25, .5, .625), n("S9013", 150, 25, .5, .625), n("S9014", 300, 45, .1, .45),
	}
}

func pnpRows() []Entry {
	p := func(t string, gain, v, i, w float64) Entry { return bipolar(circuit.PNP, t, gain, v, i, w, "silicon") }
	return []Entry{
		p("BC177", 180, 45, .1, .3), p("BC178", 230, 25, .1, .3), p("BC179", 290, 20, .1, .3), p("BC556", 230, 65, .1, .5),
		p("BC557", 290, 45, .1, .5), p("BC557A", 180, 45, .1, .5), p("BC557B", 290, 45, .1, .5), p("BC557C", 520, 45, .1, .5), p("BC558", 290, 30, .1, .5), p("BC558B", 290, 30, .1, .5), p("BC559C", 520, 30, .1, .5),
		p("BC327", 250, 45, .8, .625), p("BC328", 250, 25, .8, .625), p("BC212", 200, 50, .1, .3), p("BC308", 250, 25, .1, .3),
		p("BD132", 80, 45, 3, 15), p("BD136", 100, 45, 1.5, 12.5), p("BD138", 100, 60, 1.5, 12.5), p("BD140", 100, 80, 1.5, 12.5),
		p("2N2905", 150, 40, .6, .6), p("2N2907", 150, 40, .6, .4), p("2N2907A", 150, 60, .6, .4), p("2N3702", 180, 25, .2, .36), p("2N3906", 180, 40, .2, .625), p("2N5401", 120, 150, .6, .625), p("MPSA92", 80, 300, .5, .625), p("MJE350", 80, 300, .5, 20),
		p("TIP30", 60, 40, 1, 30), p("TIP32", 60, 40, 3, 40), p("TIP42", 50, 40, 6, 65), p("ZTX500", 120, 25, .5, .3), p("2SA1015", 200, 50, .15, .4), p("2SA733", 200, 50, .1, .25), p("S8550", 200, 25, .5, .625), p("S9012", 150, 25, .5, .625), p("S9015", 300, 45, .1, .45),
	}
}

func germaniumRows() []Entry {
	g := func(k circuit.Kind, t string, gain, v, i, w float64) Entry {
		return bipolar(k, t, gain, v, i, w, "germanium")
	}
	return []Entry{
		g(circuit.PNP, "AC122", 100, 18, .2, .225), g(circuit.PNP, "AC125", 100, 12, .1, .5), g(circuit.PNP, "AC126", 140, 12, .1, .5), g(circuit.PNP, "AC128", 90, 16, 1, 1), g(circuit.PNP, "AC188", 150, 15, 1, 1), g(circuit.PNP, "AC151", 100, 24, .2, .2),
		g(circuit.NPN, "AC127", 90, 12, .5, .34), g(circuit.NPN, "AC187", 200, 15, 1, 1), g(circuit.NPN, "AC176", 100, 18, 1, 1),
		g(circuit.PNP, "AD149", 60, 30, 3.5, 27), g(circuit.PNP, "AD161", 150, 20, 1, 4), g(circuit.PNP, "AF117", 150, 20, .01, .06), g(circuit.PNP, "OC44", 100, 5, .01, .08), g(circuit.PNP, "OC45", 50, 5, .01, .08),
		g(circuit.PNP, "OC71", 45, 20, .01, .125), g(circuit.PNP, "OC72", 70, 16, .125, .165), g(circuit.PNP, "OC75", 90, 20, .01, .125), g(circuit.PNP, "OC76", 45, 32, .25, .165), g(circuit.PNP, "OC81", 80, 16, .25, .6),
		g(circuit.PNP, "2SB405", 100, 25, 1, .3), g(circuit.PNP, "2SB324", 90, 32, 1, .25), g(circuit.PNP, "2N404", 60, 24, .1, .15), g(circuit.PNP, "2N3638", 60, 25, .5, .3),
	}
}

func fetRows() []Entry {
	fet := func(k circuit.Kind, t string, threshold, gm, idss, v float64) Entry {
		a := map[string]float64{"threshold": threshold, "transconductance": gm, "voltage": v}
		if idss > 0 {
			a["zero-bias current"] = idss
		}
		return Entry{t, k, a, nil, sheet}
	}
	return []Entry{
		fet(circuit.JFETN, "2N3819", -3, 4e-3, 10e-3, 25), fet(circuit.JFETN, "BF245A", -1.5, 5e-3, 4e-3, 30), fet(circuit.JFETN, "BF245B", -2.5, 5.5e-3, 10e-3, 30), fet(circuit.JFETN, "BF256B", -2, 5.5e-3, 9e-3, 30), fet(circuit.JFETN, "J201", -0.8, 1e-3, 0.6e-3, 40), fet(circuit.JFETN, "2N5457", -2, 3e-3, 3e-3, 25), fet(circuit.JFETN, "2SK30", -1.5, 2e-3, 2e-3, 50),
		fet(circuit.JFETP, "2N5460", 2.5, 2e-3, 3e-3, 40), fet(circuit.JFETP, "2N3820", 4, 2e-3, 5e-3, 20),
		fet(circuit.MOSFETN, "BS170", 2.1, 0.2, 0, 60), fet(circuit.MOSFETN, "2N7000", 2.1, 0.2, 0, 60), fet(circuit.MOSFETN, "IRF540", 3, 15, 0, 100), fet(circuit.MOSFETN, "IRF740", 3, 5, 0, 400),
		fet(circuit.MOSFETP, "BS250", -2.5, 0.15, 0, 45), fet(circuit.MOSFETP, "IRF9540", -3, 7, 0, 100),
	}
}

func otherRows() []Entry {
	e := func(k circuit.Kind, t string, a map[string]float64) Entry { return Entry{t, k, a, nil, sheet} }
	scr := func(t string, igt, vgt, ih, v, i float64) Entry {
		return e(circuit.SCR, t, map[string]float64{"gate trigger current": igt, "gate trigger voltage": vgt, "holding current": ih, "blocking voltage": v, "current": i})
	}
	rows := []Entry{
		e(circuit.UJT, "2N2646", map[string]float64{"intrinsic ratio": .65, "interbase resistance": 7e3}),
		e(circuit.UJT, "2N2647", map[string]float64{"intrinsic ratio": .75, "interbase resistance": 7e3}),
		e(circuit.UJT, "TIS43", map[string]float64{"intrinsic ratio": .68, "interbase resistance": 6e3}),
		scr("BT151", 2e-3, .6, 7e-3, 500, 7.5), scr("C106D", 30e-6, .6, 1e-3, 400, 2.5), scr("2N5064", 50e-6, .6, 1e-3, 200, .5), scr("BRX49", 50e-6, .6, 1e-3, 400, .5), scr("TIC106D", 60e-6, .6, 2e-3, 400, 3.2),
		e(circuit.Neon, "NE-2", map[string]float64{"striking voltage": 75, "maintaining voltage": 60}),
		e(circuit.Triode, "ECC83", map[string]float64{"amplification factor": 100, "mutual conductance": 1.6e-3, "anode resistance": 62.5e3}),
		e(circuit.Triode, "12AX7", map[string]float64{"amplification factor": 100, "mutual conductance": 1.6e-3, "anode resistance": 62.5e3}),
		e(circuit.Triode, "ECC82", map[string]float64{"amplification factor": 17, "mutual conductance": 2.2e-3, "anode resistance": 7.7e3}),
		e(circuit.Triode, "12AU7", map[string]float64{"amplification factor": 17, "mutual conductance": 2.2e-3, "anode resistance": 7.7e3}),
		e(circuit.OpAmp, "741", nil), e(circuit.OpAmp, "UA741", nil), e(circuit.OpAmp, "LM741", nil), e(circuit.OpAmp, "TL071", nil), e(circuit.OpAmp, "TL081", nil), e(circuit.OpAmp, "CA3140", nil),
		e(circuit.Timer555, "NE555", nil), e(circuit.Timer555, "LM555", nil), e(circuit.Timer555, "555", nil), e(circuit.Timer555, "ICM7555", nil),
		e(circuit.Optocoupler, "4N25", map[string]float64{"transfer ratio": .5}), e(circuit.Optocoupler, "4N35", map[string]float64{"transfer ratio": 1}), e(circuit.Optocoupler, "PC817", map[string]float64{"transfer ratio": 1}),
	}
	for _, v := range []float64{5, 6, 8, 9, 12, 15, 18, 24} {
		n := twoFigures(int(v))
		for _, family := range []string{"78", "LM78", "UA78", "MC78", "L78"} {
			rows = append(rows, e(circuit.Regulator, family+n, map[string]float64{"output voltage": v}))
		}
		rows = append(rows, e(circuit.Regulator, "78L"+n, map[string]float64{"output voltage": v}))
	}
	return rows
}
