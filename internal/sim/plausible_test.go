package sim_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// unit writes a plausible circuit: stages of what a bench sees, one after the
// other, on one supply.
type unit struct {
	rng   *rand.Rand
	lines []string
	count int
}

// value is a resistance of two figures within a factor of three of about.
func (u *unit) value(about float64) string {
	return fmt.Sprintf("%.2g", about*math.Pow(3, 2*u.rng.Float64()-1))
}

// add numbers the references and nets of a template: a word that ends in #
// gets the number of the stage, IN and OUT the nets before and after it.
func (u *unit) add(template ...string) {
	n := fmt.Sprint(u.count)
	in, out := "s"+n, "s"+fmt.Sprint(u.count+1)
	for _, line := range template {
		line = strings.ReplaceAll(line, "#", n)
		line = strings.ReplaceAll(strings.ReplaceAll(line, "OUT", out), "IN", in)
		u.lines = append(u.lines, line)
	}
	u.count++
}

func (u *unit) gain() string { return fmt.Sprintf("gain=%.3g", 30*math.Pow(20, u.rng.Float64())) }

// stage adds one stage of a random sort.
func (u *unit) stage(volts float64) {
	r := u.value
	switch u.rng.IntN(14) {
	case 0: // common emitter, direct coupled
		u.add("RA# resistor OUT v value="+r(4.7e3), "RE# resistor e# gnd value="+r(1e3), "Q# npn OUT IN e# "+u.gain(), "RB# resistor v IN value="+r(220e3))
	case 1: // divider bias
		u.add("CI# capacitor IN b# value=1", "RA# resistor v b# value="+r(47e3), "RB# resistor b# gnd value="+r(10e3), "RC# resistor v OUT value="+r(4.7e3), "RE# resistor e# gnd value="+r(1e3), "Q# npn OUT b# e# "+u.gain())
	case 2: // emitter follower, pnp
		u.add("RE# resistor v OUT value="+r(2.2e3), "Q# pnp gnd IN OUT "+u.gain(), "RB# resistor IN gnd value="+r(100e3))
	case 3: // long-tailed pair
		u.add("RT# resistor t# gnd value="+r(10e3), "QA# npn c# IN t# "+u.gain(), "QB# npn OUT r# t# "+u.gain(), "RC# resistor v c# value="+r(10e3), "RD# resistor v OUT value="+r(10e3), "RA# resistor v r# value="+r(47e3), "RB# resistor r# gnd value="+r(47e3), "RI# resistor v IN value="+r(100e3))
	case 4: // bistable
		u.add("RA# resistor v a# value="+r(2.2e3), "RB# resistor v OUT value="+r(2.2e3), "RC# resistor a# y# value="+r(22e3), "RD# resistor OUT x# value="+r(22e3), "QA# npn a# x# gnd "+u.gain(), "QB# npn OUT y# gnd "+u.gain(), "RI# resistor IN x# value="+r(100e3))
	case 5: // zener reference with series transistor
		u.add("RZ# resistor v z# value="+r(1e3), fmt.Sprintf("DZ# zener gnd z# zener_voltage=%.2g", 0.3*volts+2.4), "Q# npn v z# OUT "+u.gain(), "RL# resistor OUT gnd value="+r(470), "RI# resistor IN z# value="+r(47e3))
	case 6: // Darlington switch with a lamp
		u.add(fmt.Sprintf("DS# lamp v c# voltage=%.3g current=0.1", volts), "QA# npn c# IN m# "+u.gain(), "QB# npn c# m# gnd "+u.gain(), "RI# resistor v IN value="+r(100e3), "RO# resistor c# OUT value="+r(10e3))
	case 7: // thyristor pair of transistors with a bleed
		u.add("RA# resistor v a# value="+r(1e3), "QP# pnp g# p# a# "+u.gain(), "QN# npn p# g# gnd "+u.gain(), "RG# resistor g# gnd value="+r(4.7e3), "RI# resistor IN g# value="+r(100e3), "RO# resistor a# OUT value="+r(10e3))
	case 8: // thyristor near its edge
		u.add("RA# resistor v a# value="+r(330), "Q# scr a# gnd g# gate_trigger_current=0.001", "RG# resistor IN g# value="+r(10e3), "RK# resistor g# gnd value="+r(1e3), "RO# resistor a# OUT value="+r(10e3))
	case 9: // current mirror
		u.add("RR# resistor v m# value="+r(10e3), "QA# npn m# m# gnd "+u.gain(), "QB# npn OUT m# gnd "+u.gain(), "RL# resistor v OUT value="+r(10e3), "RI# resistor IN m# value="+r(100e3))
	case 10: // complementary output pair with its bias
		u.add("RA# resistor v x# value="+r(4.7e3), "DA# diode x# y#", "DB# diode y# z#", "QC# npn z# IN e# "+u.gain(), "RE# resistor e# gnd value="+r(470), "QA# npn v x# OUT "+u.gain(), "QB# pnp gnd z# OUT "+u.gain(), "RL# resistor OUT gnd value="+r(100), "RI# resistor v IN value="+r(100e3))
	case 11: // junction FET
		u.add("RD# resistor v OUT value="+r(4.7e3), "RS# resistor e# gnd value="+r(1e3), "RG# resistor IN gnd value="+r(1e6), "Q# jfet-n OUT IN e#")
	case 12: // bridge and LED
		u.add("RA# resistor v p# value="+r(1e3), "D# bridge p# IN OUT gnd", "DL# led OUT q#", "RB# resistor q# gnd value="+r(1e3))
	default: // neon on a divider
		u.add("RA# resistor v n# value="+r(220e3), "DS# neon n# OUT striking_voltage=75 maintaining_voltage=60", "RB# resistor OUT gnd value="+r(10e3), "RI# resistor IN gnd value="+r(100e3))
	}
}

// TestPlausibleCircuitsAreFound: the operating point of every one of 400
// circuits of one to ten stages, at 0 V to 3 kV, from a cold start.
func TestPlausibleCircuitsAreFound(t *testing.T) {
	roads := map[sim.Road]int{}
	for seed := range 400 {
		u := &unit{rng: rand.New(rand.NewPCG(uint64(seed), 21))}
		volts := []float64{0, 1.5, 3, 9, 12, 24, 48, 300, 3000}[seed%9]
		u.lines = append(u.lines, fmt.Sprintf("BT1 battery v gnd voltage=%g", volts), "RF resistor s0 gnd value="+u.value(47e3))
		for range 1 + seed%10 {
			u.stage(volts)
		}
		c := build(t, u.lines...)
		s, err := compile(t, c).OperatingPoint(context.Background(), circuit.State{}, sim.Run{})
		if err != nil {
			t.Errorf("circuit %d at %g V: %v\n%s", seed, volts, err, strings.Join(u.lines, "\n"))
			continue
		}
		roads[s.Road()]++
		balanced(t, c, s)
	}
	t.Log(roads)
}
