package sim_test

import (
	"fmt"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// The books take a junction's drop as a constant. To compare fairly each row
// gives the transistor that drop at the row's own current, as a data sheet
// would; what is left is how far the law moves it away from there, which is
// less than half a unit of the last printed figure unless the row says more.

// want is one figure of a row: a net's voltage, a voltage between two nets
// ("c-e"), or a current into a lead ("Q1.c"), in volts or amperes.
type want struct {
	what   string
	value  float64
	within float64
}

type published struct {
	name  string
	parts []string
	state string
	fault sim.Variant
	want  []want
}

func (p published) run(t *testing.T) {
	s := solve(t, build(t, p.parts...), settings(t, p.state), p.fault)
	for _, w := range p.want {
		near(t, w.what, measured(t, s, w.what), w.value, w.within)
	}
}

// measured reads the figure that a row names.
func measured(t *testing.T, s *sim.Solution, what string) float64 {
	t.Helper()
	for i, r := range what {
		switch r {
		case '.':
			return amps(t, s, circuit.PartRef(what[:i]), circuit.LeadName(what[i+1:]))
		case '-':
			v, ok := s.Between(circuit.NetID(what[:i]), circuit.NetID(what[i+1:]))
			if !ok {
				t.Fatalf("nothing sets %s", what)
			}
			return v
		}
	}
	return volts(t, s, circuit.NetID(what))
}

func TestPublishedBiasPoints(t *testing.T) {
	lines := func(s ...string) []string { return s }
	for _, row := range []published{
		{name: "B01 LIEC Semi ch.4: base bias for 1 mA",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RB resistor v b value=930k", "Q1 npn v b gnd gain=100 base-emitter_voltage=0.7@0.001"),
			// β = IE/IB in the book: 1 mA is the emitter's.
			want: []want{{"Q1.e", -1.01e-3, 0.005e-3}}},
		{name: "B02 LIEC Semi ch.4: base bias, gain 100",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RB resistor v b value=910k", "Q1 npn v b gnd gain=99 base-emitter_voltage=0.7@0.001"),
			want:  []want{{"Q1.e", -1.02e-3, 0.005e-3}}},
		{name: "B02 LIEC Semi ch.4: base bias, gain 300",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RB resistor v b value=910k", "Q1 npn v b gnd gain=299 base-emitter_voltage=0.7@0.003"),
			want:  []want{{"Q1.e", -3.07e-3, 0.005e-3}}},
		{name: "B03 LIEC Semi ch.4: collector feedback, gain 100",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RC resistor v c value=4.7k", "RB resistor c b value=470k", "Q1 npn c b gnd gain=99 base-emitter_voltage=0.7@0.001"),
			want:  []want{{"Q1.e", -0.989e-3, 0.0005e-3}}},
		{name: "B03 LIEC Semi ch.4: collector feedback, gain 300",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RC resistor v c value=4.7k", "RB resistor c b value=470k", "Q1 npn c b gnd gain=299 base-emitter_voltage=0.7@0.0015"),
			want:  []want{{"Q1.e", -1.48e-3, 0.005e-3}}},
		{name: "B04 LIEC Semi ch.4: collector feedback for 1 mA",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RC resistor v c value=4.7k", "RB resistor c b value=460k", "Q1 npn c b gnd gain=99 base-emitter_voltage=0.7@0.001"),
			want:  []want{{"c", 5.3, 0.005}}},
		{name: "B06 LIEC Semi ch.4: emitter bias, gain 100",
			parts: lines("BT1 battery v gnd voltage=2 resistance=0", "BT2 battery p gnd voltage=10 resistance=0", "RE resistor e gnd value=470", "RB resistor v b value=82k", "Q1 npn p b e gain=99 base-emitter_voltage=0.7@0.001"),
			want:  []want{{"Q1.e", -1.01e-3, 0.005e-3}}},
		{name: "B06 LIEC Semi ch.4: emitter bias, gain 300",
			parts: lines("BT1 battery v gnd voltage=2 resistance=0", "BT2 battery p gnd voltage=10 resistance=0", "RE resistor e gnd value=470", "RB resistor v b value=82k", "Q1 npn p b e gain=299 base-emitter_voltage=0.7@0.00175"),
			want:  []want{{"Q1.e", -1.75e-3, 0.005e-3}}},
		{name: "B07 LIEC Semi ch.4: emitter bias, gain 300",
			parts: lines("BT1 battery v gnd voltage=2 resistance=0", "BT2 battery p gnd voltage=10 resistance=0", "RE resistor e gnd value=910", "RB resistor v b value=39k", "Q1 npn p b e gain=299 base-emitter_voltage=0.7@0.00125"),
			want:  []want{{"Q1.e", -1.25e-3, 0.005e-3}}},
		{name: "B08 LIEC Semi ch.4: emitter bias, gain 300",
			parts: lines("BT1 battery v gnd voltage=1.5 resistance=0", "BT2 battery p gnd voltage=10 resistance=0", "RE resistor e gnd value=470", "RB resistor v b value=33k", "Q1 npn p b e gain=299 base-emitter_voltage=0.7@0.0014"),
			want:  []want{{"Q1.e", -1.38e-3, 0.005e-3}}},
		{name: "B12 LIEC Semi ch.3: zener behind 1 kΩ",
			parts: lines("BT1 battery v gnd voltage=45 resistance=0", "R1 resistor v z value=1k", "D1 zener gnd z zener_voltage=12.6@0.0324"),
			want:  []want{{"R1.1", 32.4e-3, 0.05e-3}, {"z", 12.6, 0.05}}},
		{name: "B13 LIEC Semi ch.3: zener with a load of 500 Ω",
			parts: lines("BT1 battery v gnd voltage=45 resistance=0", "R1 resistor v z value=1k", "R2 resistor z gnd value=500", "D1 zener gnd z zener_voltage=12.6@0.0072"),
			want:  []want{{"R2.1", 25.2e-3, 0.05e-3}, {"D1.k", 7.2e-3, 0.05e-3}}},
		{name: "B14 LIEC Semi ch.3: zener out of regulation",
			parts: lines("BT1 battery v gnd voltage=45 resistance=0", "R1 resistor v z value=100k", "R2 resistor z gnd value=500", "D1 zener gnd z zener_voltage=12.6"),
			want:  []want{{"R1.1", 447.76e-6, 0.005e-6}, {"z", 0.224, 0.0005}}},
		{name: "B16 LIEC Semi ch.3: back-to-back zeners",
			parts: lines("BT1 battery v gnd voltage=30 resistance=0", "R1 resistor v z value=1k", "D1 zener m z zener_voltage=10@0.0193", "D2 zener m gnd zener_voltage=10 forward_drop=0.7@0.0193"),
			want:  []want{{"z", 10.7, 0.05}}},
		{name: "B34 Malvino & Bates 7e ex. 5-1: zener current at 20 V",
			parts: lines("BT1 battery v gnd voltage=20 resistance=0", "R1 resistor v z value=820", "D1 zener gnd z zener_voltage=10@0.0122"),
			want:  []want{{"D1.k", 12.2e-3, 0.05e-3}}},
		{name: "B34 Malvino & Bates 7e ex. 5-1: zener current at 40 V",
			parts: lines("BT1 battery v gnd voltage=40 resistance=0", "R1 resistor v z value=820", "D1 zener gnd z zener_voltage=10@0.0366"),
			want:  []want{{"D1.k", 36.6e-3, 0.05e-3}}},
		{name: "B39 Malvino & Bates 7e ex. 5-12: LED",
			parts: lines("BT1 battery v gnd voltage=50 resistance=0", "R1 resistor v a value=2.2k", "D1 led a gnd forward_drop=2@0.0218"),
			want:  []want{{"D1.a", 21.8e-3, 0.05e-3}}},
		{name: "B41 Malvino & Bates 7e ex. 7-9: emitter bias",
			parts: lines("BT1 battery v gnd voltage=15 resistance=0", "BT2 battery b gnd voltage=5 resistance=0", "RC resistor v c value=2k", "RE resistor e gnd value=1k", "Q1 npn c b e gain=1e9 base-emitter_voltage=0.7@0.0043"),
			want:  []want{{"c", 6.4, 0.05}, {"c-e", 2.1, 0.05}}},
		{name: "B42 Malvino & Bates 7e ex. 8-1: stiff divider bias",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "R1 resistor v b value=10k", "R2 resistor b gnd value=2.2k", "RC resistor v c value=3.6k", "RE resistor e gnd value=1k", "Q1 npn c b e gain=1e9 base-emitter_voltage=0.7@0.0011"),
			want:  []want{{"c-e", 4.92, 0.006}}},
		{name: "B43 malvino.com/cansolve/biasans2.html: divider bias, base loading",
			parts: vdb("gain=100 base-emitter_voltage=0.7@0.00107"),
			want:  []want{{"b", 1.78, 0.005}, {"e", 1.08, 0.005}, {"c", 6.14, 0.005}}},
		{name: "B44 Malvino & Bates 7e ex. 8-3: divider bias, gain 200",
			parts: vdb("gain=200 base-emitter_voltage=0.7@0.00109"),
			want:  []want{{"Q1.e", -1.09e-3, 0.005e-3}}},
		{name: "B46 Malvino & Bates 7e ex. 8-7: PNP mirror image",
			// The book takes the divider unloaded and 1.1 mA.
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "R1 resistor gnd b value=10k", "R2 resistor b v value=2.2k", "RC resistor gnd c value=3.6k", "RE resistor e v value=1k", "Q1 pnp c b e gain=1e9 base-emitter_voltage=0.7@0.0011"),
			want:  []want{{"b", 8.2, 0.05}, {"e", 8.9, 0.05}, {"c", 3.96, 0.03}}},
		{name: "B59 Malvino & Bates 7e ex. 24-1: shunt regulator",
			parts: lines("BT1 battery v gnd voltage=15 resistance=0", "RS resistor v o value=10", "D1 zener b o zener_voltage=9.1", "RL resistor o gnd value=40", "R2 resistor b gnd value=1k", "Q1 npn o b gnd gain=60 current=2 base-emitter_voltage=0.8@0.262"),
			// The zener carries the base current and R2's: 5.2 mA, near where it is rated.
			want: []want{{"o", 9.9, 0.05}, {"RL.1", 248e-3, 1e-3}, {"RS.1", 510e-3, 2.5e-3}}},
		{name: "B62 Bell, Electronic Devices and Circuits 5e ex. 5.3: base bias, gain 100",
			parts: lines("BT1 battery v gnd voltage=18 resistance=0", "RB resistor v b value=470k", "RC resistor v c value=2.2k", "Q1 npn c b gnd gain=100 base-emitter_voltage=0.7@0.0037"),
			want:  []want{{"c", 9.9, 0.05}}},
		{name: "B62 Bell, Electronic Devices and Circuits 5e ex. 5.3: base bias, gain 200",
			parts: lines("BT1 battery v gnd voltage=18 resistance=0", "RB resistor v b value=470k", "RC resistor v c value=2.2k", "Q1 npn c b gnd gain=200 base-emitter_voltage=0.7@0.0074"),
			want:  []want{{"c", 1.8, 0.05}}},
		{name: "B63 Bell, Electronic Devices and Circuits 5e ex. 5.5: collector-to-base bias",
			parts: lines("BT1 battery v gnd voltage=18 resistance=0", "RB resistor c b value=270k", "RC resistor v c value=2.2k", "Q1 npn c b gnd gain=100 base-emitter_voltage=0.7@0.0035"),
			want:  []want{{"c", 10.2, 0.05}}},
		{name: "B64 Bell, Electronic Devices and Circuits 5e ex. 5.7: divider bias",
			parts: lines("BT1 battery v gnd voltage=18 resistance=0", "R1 resistor v b value=33k", "R2 resistor b gnd value=12k", "RC resistor v c value=1.2k", "RE resistor e gnd value=1k", "Q1 npn c b e gain=1e9 base-emitter_voltage=0.7@0.0041"),
			want:  []want{{"c-e", 9.0, 0.05}}},
		{name: "B66 Floyd, Electronic Devices 7e ex. 5-1",
			parts: lines("BT1 battery v gnd voltage=20 resistance=0", "BT2 battery w gnd voltage=10 resistance=0", "RB resistor w b value=47k", "RC resistor v c value=330", "Q1 npn c b gnd gain=200 base-emitter_voltage=0.7@0.0396"),
			want:  []want{{"Q1.c", 39.6e-3, 0.05e-3}, {"c", 6.94, 0.005}}},
		{name: "B67 Floyd, Electronic Devices 7e ex. 5-3: divider bias",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "R1 resistor v b value=10k", "R2 resistor b gnd value=5.6k", "RC resistor v c value=1k", "RE resistor e gnd value=560", "Q1 npn c b e gain=1e9 base-emitter_voltage=0.7@0.00516"),
			want:  []want{{"Q1.c", 5.16e-3, 0.005e-3}, {"c-e", 1.95, 0.005}}},
		{name: "B68 Floyd, Electronic Devices 7e ex. 5-4: PNP divider bias",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "R1 resistor gnd b value=22k", "R2 resistor b v value=10k", "RC resistor gnd c value=2.2k", "RE resistor e v value=1k", "Q1 pnp c b e gain=1e9 base-emitter_voltage=0.7@0.00243"),
			want:  []want{{"Q1.c", -2.43e-3, 0.006e-3}, {"e-c", 2.24, 0.005}}},
		{name: "B71 Floyd, Electronic Devices 7e ex. 5-8: collector feedback",
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "RC resistor v c value=10k", "RB resistor c b value=100k", "Q1 npn c b gnd gain=99 base-emitter_voltage=0.7@0.00085"),
			want:  []want{{"Q1.e", -0.845e-3, 0.0005e-3}, {"c", 1.545, 0.001}}},
		{name: "B79 Boylestad & Nashelsky 10e ex. 4.1: fixed bias",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "RB resistor v b value=240k", "RC resistor v c value=2.2k", "Q1 npn c b gnd gain=50 base-emitter_voltage=0.7@0.00235"),
			// The book rounds IC to 2.35 mA before it takes VCE.
			want: []want{{"Q1.b", 47.08e-6, 0.005e-6}, {"Q1.c", 2.35e-3, 0.005e-3}, {"c", 6.83, 0.01}, {"b-c", -6.13, 0.01}}},
		{name: "B82 Boylestad & Nashelsky 10e ex. 15.8: series regulator",
			parts: lines("BT1 battery v gnd voltage=20 resistance=0", "R1 resistor v z value=220", "D1 zener gnd z zener_voltage=12@0.036", "RL resistor o gnd value=1k", "Q1 npn v z o gain=50 base-emitter_voltage=0.7@0.0111"),
			want:  []want{{"o", 11.3, 0.05}, {"D1.k", 36e-3, 0.5e-3}}},
		{name: "B88 Mehta, Principles of Electronics ex. 17.8 p. 449: zener regulator, no load",
			parts: lines("BT1 battery v gnd voltage=24 resistance=0", "R1 resistor v z value=160", "D1 zener gnd z zener_voltage=12@0.075"),
			want:  []want{{"D1.k", 75e-3, 0.5e-3}}},
		{name: "B88 Mehta, Principles of Electronics ex. 17.8 p. 449: zener regulator, 200 Ω",
			parts: lines("BT1 battery v gnd voltage=24 resistance=0", "R1 resistor v z value=160", "RL resistor z gnd value=200", "D1 zener gnd z zener_voltage=12@0.015"),
			want:  []want{{"D1.k", 15e-3, 0.5e-3}, {"RL.1", 60e-3, 0.5e-3}}},
		{name: "B89 Mehta, Principles of Electronics ex. 17.12: emitter-follower regulator",
			parts: lines("BT1 battery v gnd voltage=20 resistance=0", "R1 resistor v z value=1k", "D1 zener gnd z zener_voltage=10@0.0099", "RL resistor o gnd value=1k", "Q1 npn v z o gain=100 base-emitter_voltage=0.5@0.0095"),
			want:  []want{{"o", 9.5, 0.05}, {"RL.1", 9.5e-3, 0.05e-3}}},
		{name: "B92 Mehta, Principles of Electronics ex. 17.18: shunt regulator",
			// VBE 0.7 V on a zener of 8.3 V; base current is neglected in the book.
			parts: lines("BT1 battery v gnd voltage=22 resistance=0", "RS resistor v o value=130", "D1 zener b o zener_voltage=8.3@0.0001", "RL resistor o gnd value=100", "Q1 npn o b gnd gain=100 base-emitter_voltage=0.7@0.01"),
			want:  []want{{"o", 9, 0.05}, {"RL.1", 90e-3, 0.5e-3}, {"RS.1", 100e-3, 0.5e-3}, {"Q1.c", 10e-3, 0.5e-3}}},
		{name: "B93 Mehta, Principles of Electronics ex. 9.5: germanium, gain 100",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "RB resistor v b value=1170k", "RC resistor v c value=1k", "Q1 npn c b gnd material=germanium gain=100 base-emitter_voltage=0.3@0.001"),
			// Leakage of a germanium collector, which the book leaves out, adds 1 %.
			want: []want{{"Q1.c", 1e-3, 0.015e-3}}},
		{name: "B93 Mehta, Principles of Electronics ex. 9.5: germanium, gain 50",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "RB resistor v b value=1170k", "RC resistor v c value=1k", "Q1 npn c b gnd material=germanium gain=50 base-emitter_voltage=0.3@0.0005"),
			want:  []want{{"Q1.c", 0.5e-3, 0.0075e-3}}},
		{name: "B94 Mehta, Principles of Electronics ex. 9.12 p. 208: two-supply bias",
			parts: lines("BT1 battery p gnd voltage=20 resistance=0", "BT2 battery gnd m voltage=20 resistance=0", "RB resistor b gnd value=100k", "RC resistor p c value=4.7k", "RE resistor e m value=10k", "Q1 npn c b e gain=85 base-emitter_voltage=0.7@0.00173"),
			// The book takes IE for IC, which is 1/85 more.
			want: []want{{"Q1.e", -1.73e-3, 0.005e-3}, {"c", 11.9, 0.1}, {"c-e", 14.6, 0.1}}},
		{name: "B96 Mehta, Principles of Electronics ex. 9.15: collector feedback, germanium",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "RC resistor v c value=4k", "RB resistor c b value=770k", "Q1 npn c b gnd material=germanium gain=50 base-emitter_voltage=0.3@0.0006"),
			// The book leaves the base current out of RC.
			want: []want{{"Q1.c", 0.6e-3, 0.006e-3}, {"c", 9.6, 0.1}}},
		{name: "B97 Mehta, Principles of Electronics ex. 9.27: divider bias, exact",
			parts: lines("BT1 battery v gnd voltage=15 resistance=0", "R1 resistor v b value=10k", "R2 resistor b gnd value=5k", "RC resistor v c value=1k", "RE resistor e gnd value=2k", "Q1 npn c b e gain=100 base-emitter_voltage=0.7@0.0021"),
			want:  []want{{"Q1.e", -2.11e-3, 0.006e-3}}},
		{name: "B98 Mehta, Principles of Electronics ex. 9.21: germanium, VBE 0.3 V",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v b value=50k", "R2 resistor b gnd value=10k", "RE resistor e gnd value=1k", "Q1 npn v b e material=germanium gain=1e9 base-emitter_voltage=0.3@0.0017"),
			want:  []want{{"Q1.e", -1.7e-3, 0.05e-3}}},
		{name: "B99 Mehta, Principles of Electronics ex. 9.23: loaded divider",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v b value=150k", "R2 resistor b gnd value=100k", "RC resistor v c value=4.7k", "RE resistor e gnd value=2.2k", "Q1 npn c b e gain=50 base-emitter_voltage=0.7@0.0012"),
			// The book rounds IC to 1.2 mA first and takes IE for it.
			want: []want{{"Q1.c", 1.2e-3, 0.02e-3}, {"c-e", 3.72, 0.12}}},
		{name: "B102 Mehta, Principles of Electronics ex. 6.11: blocked diode",
			parts: lines("BT1 battery v gnd voltage=2 resistance=0", "R1 resistor v a value=4k", "R2 resistor a gnd value=1k", "D1 diode a gnd forward_drop=0.7@0.01"),
			// A real junction passes some µA at 0.4 V, which the book leaves out.
			want: []want{{"a", 0.4, 0.02}, {"D1.a", 0, 0.05e-3}}},
		{name: "B103 Mehta, Principles of Electronics ex. 6.4: two diodes in series",
			// 0.7 V and 1 Ω each, written as 0.872 V at the row's current.
			parts: lines("BT1 battery v gnd voltage=10 resistance=0", "R1 resistor v a value=48", "D1 diode a m forward_drop=0.872@0.172", "D2 diode m gnd forward_drop=0.872@0.172"),
			want:  []want{{"D1.a", 172e-3, 0.5e-3}}},
		{name: "B78 Floyd, Electronic Devices 7e ex. 3-6: zener at its least load",
			parts: lines("BT1 battery v gnd voltage=24 resistance=0", "R1 resistor v z value=470", "R2 resistor z gnd value=489.16", "D1 zener gnd z zener_voltage=12@0.001"),
			want:  []want{{"R2.1", 24.5e-3, 0.05e-3}, {"D1.k", 1e-3, 0.05e-3}}},
		{name: "B83 Boylestad & Nashelsky 10e ex. 15.9: feedback regulator",
			parts: feedbackRegulator(20, "20k", "30k", "8.3@0.0043"), want: []want{{"o", 15, 0.05}}},
		{name: "B91 Mehta, Principles of Electronics ex. 17.16: feedback regulator",
			parts: feedbackRegulator(25, "2k", "1k", "6@0.0042"), want: []want{{"o", 20.1, 0.05}}},
		{name: "B106 FOSSEE Scilab set 135 ex. 5.17: current mirror with a bleed",
			parts: lines("BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v b value=15k", "R2 resistor b gnd value=2.8k", "Q1 npn b b gnd gain=200 base-emitter_voltage=0.7@0.0005", "Q2 npn c b gnd gain=200 base-emitter_voltage=0.7@0.0005", "RC resistor v c value=1k"),
			want:  []want{{"Q2.c", 0.498e-3, 0.0015e-3}}},
	} {
		t.Run(row.name, row.run)
	}
}

// feedbackRegulator is a pass transistor, whose base a second one takes down
// when a share of the output passes the zener in its emitter. The books take
// no base current; the second transistor has 4.2 to 4.3 mA.
func feedbackRegulator(volts float64, upper, lower, zener string) []string {
	return []string{fmt.Sprintf("BT1 battery v gnd voltage=%g resistance=0", volts), "R3 resistor v b value=1k",
		"Q1 npn v b o gain=1e9 base-emitter_voltage=0.7@0.02", "Q2 npn b f z gain=1e9 base-emitter_voltage=0.7@0.0043",
		"D1 zener gnd z zener_voltage=" + zener, "R1 resistor o f value=" + upper, "R2 resistor f gnd value=" + lower, "RL resistor o gnd value=1k"}
}

// vdb is the divider-biased stage of Malvino & Bates, chapter 8.
func vdb(transistor string) []string {
	return []string{"BT1 battery v gnd voltage=10 resistance=0", "R1 resistor v b value=10k", "R2 resistor b gnd value=2.2k",
		"RC resistor v c value=3.6k", "RE resistor e gnd value=1k", "Q1 npn c b e " + transistor}
}
