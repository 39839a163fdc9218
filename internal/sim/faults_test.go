package sim_test

import (
	"math"
	"testing"

	"foilside/internal/sim"
)

// TestPublishedFaultTable holds the faults of one stage against the trouble
// table of Malvino & Bates, Electronic Principles 7e, chapter 8, and against
// "Transistor fault finding" (G. Knott). The figures of the first stand in the
// outside checks as remembered; they are confirmed there by a recomputation.
// Rows whose figure depends on the meter stand in package meter.
func TestPublishedFaultTable(t *testing.T) {
	open := math.Inf(1)
	stage := vdb("gain=200 base-emitter_voltage=0.7@0.0011")
	ninth := func() []string {
		return []string{"BT1 battery v gnd voltage=9 resistance=0", "R1 resistor v b value=47k", "R2 resistor b gnd value=10k",
			"RC resistor v c value=4.7k", "RE resistor e gnd value=1k", "Q1 npn c b e gain=200"}
	}
	for _, row := range []published{
		{name: "B47 Malvino & Bates 7e ch. 8: R1 short", parts: stage, fault: sim.Variant{sim.Short("R1", "1", "2", 0)},
			// 9.3 mA through RE: the junction drops 55 mV more than at 1.1 mA,
			// and so hard a drive leaves 20 mV across the transistor, not 50.
			want: []want{{"b", 10, 0.01}, {"e", 9.3, 0.1}, {"c", 9.4, 0.16}, {"c-e", 0.05, 0.04}}},
		{name: "B48 Malvino & Bates 7e ch. 8: R1 open", parts: stage, fault: sim.Variant{sim.Remove("R1")},
			want: []want{{"b", 0, 0.005}, {"e", 0, 0.005}, {"c", 10, 0.005}}},
		{name: "B49 Malvino & Bates 7e ch. 8: R2 open", parts: stage, fault: sim.Variant{sim.Remove("R2")},
			want: []want{{"b", 3.38, 0.05}, {"e", 2.68, 0.05}, {"c", 2.73, 0.05}}},
		{name: "B51 Malvino & Bates 7e ch. 8: RE short", parts: stage, fault: sim.Variant{sim.Short("RE", "1", "2", 0)},
			want: []want{{"b", 0.7, 0.05}, {"e", 0, 0.005}, {"c", 0.06, 0.05}}},
		{name: "B53 Malvino & Bates 7e ch. 8: RC short", parts: stage, fault: sim.Variant{sim.Short("RC", "1", "2", 0)},
			want: []want{{"b", 1.8, 0.05}, {"e", 1.1, 0.05}, {"c", 10, 0.005}}},
		{name: "B54 Malvino & Bates 7e ch. 8: RC open", parts: stage, fault: sim.Variant{sim.Remove("RC")},
			want: []want{{"b", 1.1, 0.05}, {"e", 0.4, 0.05}, {"c", 0.4, 0.05}}},
		{name: "B57 Malvino & Bates 7e ch. 8: no supply", parts: stage, state: "BT1=off",
			want: []want{{"b", 0, 1e-9}, {"e", 0, 1e-9}, {"c", 0, 1e-9}}},
		{name: "B58 M. Robinson, Fun with Transistors, fig. 6.2: all three leads joined",
			parts: []string{"BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v b value=39k", "R2 resistor b gnd value=6.8k", "RC resistor v c value=5.6k", "RE resistor e gnd value=1.2k", "Q1 npn c b e gain=200"},
			fault: sim.Variant{sim.Short("Q1", "c", "b", 0), sim.Short("Q1", "b", "e", 0)},
			want:  []want{{"b", 2.0687, 0.0005}, {"c", 2.0687, 0.0005}, {"e", 2.0687, 0.0005}}},
		{name: "E22 Knott, Transistor fault finding: R1 open", parts: ninth(), fault: sim.Variant{sim.Remove("R1")},
			want: []want{{"b", 0, 0.01}, {"e", 0, 0.01}, {"c", 9, 0.01}}},
		{name: "E23 Knott, Transistor fault finding: R2 open, saturated", parts: ninth(), fault: sim.Variant{sim.Remove("R2")},
			want: []want{{"c-e", 0, 0.15}, {"e", 1.6, 0.2}}},
		{name: "E24 Knott, Transistor fault finding: collector resistor open", parts: ninth(), fault: sim.Variant{sim.Remove("RC")},
			// "Emitter about 0.1 V, collector about base less 0.6 V."
			want: []want{{"e", 0.15, 0.05}, {"b-c", 0.6, 0.1}}},
		{name: "E27 incbtech INS038E: base joined to emitter, no collector current", parts: ninth(), fault: sim.Variant{sim.Short("Q1", "b", "e", 0)},
			want: []want{{"b-e", 0, 0.001}, {"c", 9, 0.01}}},
		{name: "E27 incbtech INS038E: collector joined to emitter", parts: ninth(), fault: sim.Variant{sim.Short("Q1", "c", "e", 0)},
			want: []want{{"c-e", 0, 0.001}}},
		{name: "E27 incbtech INS038E: emitter lead open, collector at the supply", parts: ninth(), fault: sim.Variant{sim.Lift("Q1", "e", open)},
			want: []want{{"c", 9, 0.01}, {"e", 0, 0.001}}},
	} {
		t.Run(row.name, row.run)
	}
}
