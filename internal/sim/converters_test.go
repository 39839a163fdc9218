package sim_test

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// converter is one of the converters that settling is held against.
type converter struct {
	name  string
	parts []string
}

// blockingConverter is one transistor, its base driven by a winding until the
// drive runs out (C57), feeding a store while it is off.
func blockingConverter(volts, primary, ratio, bias, store, load float64) []string {
	return []string{
		fmt.Sprintf("BT1 battery v gnd voltage=%g resistance=0.2", volts),
		fmt.Sprintf("T1 transformer v c b1 b0 gnd s winding_p=0.2,20,%g winding_f=0.5,%g winding_s=60,%g coupling=0.99", primary, math.Ceil(40/volts), 20*ratio),
		"Q1 npn c b gnd gain=80 current=2",
		fmt.Sprintf("R1 resistor v b0 value=%g", bias), "C1 capacitor b0 gnd value=47n", "R2 resistor b1 b value=33",
		"D1 diode s out type=UF4007", fmt.Sprintf("C2 capacitor out gnd value=%g", store), fmt.Sprintf("R3 resistor out gnd value=%g", load),
	}
}

// pushPull is two transistors that turn over when their core is full (C56,
// C58); its secondary is p to q.
func pushPull(volts, flux, ratio float64) []string {
	return []string{
		fmt.Sprintf("BT1 battery v gnd voltage=%g resistance=0.1", volts),
		fmt.Sprintf("T1 transformer v c1 c2 v f1 f2 p q winding_a=0.1,20,4m winding_b=0.1,20 winding_f=0.3,%g winding_s=40,%g coupling=0.999 saturation_flux=%g",
			math.Ceil(60/volts), 20*ratio, flux),
		"Q1 npn c1 b1 gnd gain=60 current=3", "Q2 npn c2 b2 gnd gain=60 current=3",
		"R1 resistor f1 b1 value=22", "R2 resistor f2 b2 value=22", "R3 resistor v f1 value=2.2k",
		"D1 diode gnd f1 type=UF4002", "D2 diode gnd f2 type=UF4002",
	}
}

// timerFlyback is a 555 that switches a coil with two windings at s.
func timerFlyback(volts, primary, ratio, hertz float64) []string {
	return []string{
		fmt.Sprintf("BT1 battery v gnd voltage=%g resistance=0.1", volts),
		"U1 timer-555 gnd t o v ctl t d v", fmt.Sprintf("R1 resistor v d value=%g", 0.48/hertz/10e-9), fmt.Sprintf("R2 resistor d t value=%g", 0.48/hertz/10e-9),
		"C1 capacitor t gnd value=10n", "R4 resistor o g value=100",
		fmt.Sprintf("T1 transformer v c gnd s winding_p=0.3,20,%g winding_s=50,%g coupling=0.99", primary, 20*ratio),
		"Q1 mosfet-n c g gnd threshold=2 transconductance=2 current=0.5",
	}
}

// rectified stores what comes out at s in the gaps of a flyback.
func rectified(store, load float64) []string {
	return []string{"D9 diode s out type=UF4007", fmt.Sprintf("C9 capacitor out gnd value=%g", store), fmt.Sprintf("R9 resistor out gnd value=%g", load)}
}

// bridged stores what comes out between p and q.
func bridged(store, load float64) []string {
	return []string{"D9 diode p out type=UF4007", "D10 diode q out type=UF4007", "D11 diode gnd p type=UF4007", "D12 diode gnd q type=UF4007",
		fmt.Sprintf("C9 capacitor out gnd value=%g", store), fmt.Sprintf("R9 resistor out gnd value=%g", load)}
}

// cascade multiplies what swings at the net in (Cockcroft and Walton 1932).
func cascade(in string, stages int, farads, load float64) []string {
	var out []string
	low, swing := "gnd", in
	for k := range stages {
		a, b := fmt.Sprintf("x%d", k), fmt.Sprintf("y%d", k)
		if k == stages-1 {
			b = "out"
		}
		out = append(out, fmt.Sprintf("CA%d capacitor %s %s value=%g", k, swing, a, farads), fmt.Sprintf("DA%d diode %s %s type=UF4007", k, low, a),
			fmt.Sprintf("DB%d diode %s %s type=UF4007", k, a, b), fmt.Sprintf("CB%d capacitor %s %s value=%g", k, low, b, farads))
		low, swing = b, a
	}
	return append(out, fmt.Sprintf("R9 resistor out gnd value=%g", load))
}

// converters is thirty of them.
func converters() []converter {
	var all []converter
	add := func(name string, parts ...[]string) {
		c := converter{name: name}
		for _, p := range parts {
			c.parts = append(c.parts, p...)
		}
		all = append(all, c)
	}
	for k, v := range []float64{3, 4.5, 6, 9, 12} {
		add(fmt.Sprintf("blocking, %g V", v), blockingConverter(v, 150e-6+50e-6*float64(k), 10, 330*v, 150e-9, 1e6))
	}
	for k, v := range []float64{6, 12} {
		add(fmt.Sprintf("blocking, %g V, high ratio", v), blockingConverter(v, 300e-6, 20, 470*v, 68e-9, 3e6+2e6*float64(k)))
	}
	for _, v := range []float64{3, 6, 9, 12, 15} {
		add(fmt.Sprintf("push-pull, %g V", v), pushPull(v, v*60e-6, 10), bridged(4.7e-6, 220e3))
	}
	for _, v := range []float64{6, 12} {
		add(fmt.Sprintf("push-pull, %g V, slow core", v), pushPull(v, v*200e-6, 20), bridged(2.2e-6, 1e6))
	}
	for k, v := range []float64{5, 6, 9, 12, 15} {
		add(fmt.Sprintf("flyback with 555, %g V", v), timerFlyback(v, 300e-6, 8, 20e3+5e3*float64(k)), rectified(680e-9, 300e3))
	}
	for _, v := range []float64{9, 12} {
		add(fmt.Sprintf("flyback with 555, %g V, slow", v), timerFlyback(v, 1e-3, 10, 6e3), rectified(1e-6, 470e3))
	}
	for k, v := range []float64{6, 9, 12} {
		b := blockingConverter(v, 250e-6, 10, 400*v, 10e-9, 1e6)
		add(fmt.Sprintf("cascade of %d from blocking, %g V", k+1, v), b[:len(b)-3], cascade("s", k+1, 47e-9, 10e6))
	}
	for k, v := range []float64{6, 9, 12} {
		add(fmt.Sprintf("cascade of %d from push-pull, %g V", k+1, v), pushPull(v, v*60e-6, 10), []string{"R8 resistor q gnd value=1"}, cascade("p", k+1, 1e-6, 10e6))
	}
	for k, v := range []float64{6, 9, 12} {
		add(fmt.Sprintf("cascade of %d from flyback, %g V", k+1, v), timerFlyback(v, 300e-6, 8, 25e3), cascade("s", k+1, 47e-9, 10e6))
	}
	return all
}

// TestConvertersSettleAsFollowed is the study of all converters: settled
// output and period by leaps against every cycle followed, to 0.1 %, and how
// many fewer cycles that takes. It takes minutes: FOILSIDE_STUDY names the
// first one and the one after the last, "0-30" for all.
func TestConvertersSettleAsFollowed(t *testing.T) {
	all := converters()
	if len(all) != 30 {
		t.Fatalf("%d converters", len(all))
	}
	first, last := 0, 0
	if _, err := fmt.Sscanf(os.Getenv("FOILSIDE_STUDY"), "%d-%d", &first, &last); err != nil {
		t.Skip("a study: FOILSIDE_STUDY=0-30")
	}
	for k, c := range all[first:min(last, len(all))] {
		t.Run(strconv.Itoa(first+k)+" "+c.name, func(t *testing.T) { compareSettling(t, c) })
	}
}

func compareSettling(t *testing.T, c converter) {
	m := compile(t, build(t, c.parts...))
	settle := func(all bool) (*sim.Settled, sim.Cycle, time.Duration) {
		start := time.Now()
		s, err := m.Settle(t.Context(), circuit.State{}, sim.SettleOptions{FollowAll: all})
		if err != nil {
			t.Fatal(err)
		}
		out, _ := s.Net("out")
		return s, out, time.Since(start)
	}
	quick, out, took := settle(false)
	whole, want, long := settle(true)
	t.Logf("leaps: %v %.6g V, period %.6g s, %d cycles of %d, %d steps, %v; all: %v %.6g V (%+.3f %%), period %.6g s (%+.3f %%), %d cycles, %d steps, %v; ratio %.1f",
		quick.Reached, out.Average, quick.Period, quick.Followed, quick.Followed+quick.Skipped, quick.Steps, took.Round(time.Millisecond),
		whole.Reached, want.Average, 100*(out.Average/want.Average-1), whole.Period, 100*(quick.Period/whole.Period-1), whole.Followed, whole.Steps, long.Round(time.Millisecond),
		float64(whole.Followed)/float64(quick.Followed))
	if !quick.Reached || !whole.Reached {
		t.Error("not settled")
	}
	near(t, "output", out.Average, want.Average, 1e-3*want.Average)
	near(t, "period", quick.Period, whole.Period, 1e-3*whole.Period)
}

// BenchmarkASecondOfAConverter charges a storage capacitor from 12 V towards
// 500 V for a second: some hundred thousand cycles.
func BenchmarkASecondOfAConverter(b *testing.B) {
	c := build(b, "BT1 battery v gnd voltage=12 resistance=0.2", "C0 electrolytic v gnd value=100u",
		"T1 transformer v c b1 b0 gnd s1 winding_p=0.2,12,200u winding_f=0.5,6 winding_s=100,500 coupling=0.985",
		"Q1 npn c b gnd gain=60 current=2 voltage=80", "R1 resistor v b0 value=4.7k", "C1 capacitor b0 gnd value=22n", "R2 resistor b1 b value=47",
		"D1 diode s1 out type=1N4007", "C2 capacitor out gnd value=1u", "R3 resistor out gnd value=1M")
	for b.Loop() {
		w := follow(b, c, sim.TransientOptions{For: 1, Tolerance: 1e-3, Leaps: true, Watch: []circuit.NetID{"out"}})
		b.ReportMetric(last(w, "out"), "V")
	}
}
