package stage

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

// mainsHertz is taken where no frequency is given, and said.
const mainsHertz = 50

// sayRectifier: the reservoir charges to √2·Vrms less the junctions in the way;
// the ripple is I/(f·C) with f the number of pulses a second (Malvino & Bates,
// Electronic Principles, ex. 4-1 to 4-9).
func (f *finder) sayRectifier(d *draft, from, back, plus, minus int, pulses, junctions int) {
	diodes := f.refs(f.coreDiodes(d)...)
	first := map[Kind]string{
		BridgeRectifier: "%s %s both half-waves on the same way round, two junctions at a time",
		FullWave:        "%s %s one half-wave each from the two ends of the tapped winding",
		HalfWave:        "%s %s one half-wave and blocks the other",
	}[d.kind]
	first = fmt.Sprintf(first, diodes, verb(f.coreDiodes(d), "passes", "pass"))
	rms, ok := f.rmsBetween(from, back)
	peak := math.Sqrt2*rms - 0.7*float64(junctions)
	if ok && peak > 0 {
		first += fmt.Sprintf(", which gives %s at most from %s", d.figure("peak voltage", peak, quantity.Volt, fmt.Sprintf("√2 · %s − %d · 0.7 V", voltText(rms), junctions)), voltText(rms))
	}
	c, parts := f.reservoirFarads(plus, minus)
	if len(parts) == 0 {
		d.text = first + ". There is no reservoir, so that the output falls to nothing between the pulses."
		return
	}
	hertz := f.sourceHertz(from) * float64(pulses)
	second := fmt.Sprintf("%s holds the voltage between the pulses", f.refs(parts...))
	if c > 0 && ok {
		i, r := 0.1, f.directLoad(plus, minus)
		what := "for each 100 mA that is drawn"
		if ok && r > 0 && peak > 0 {
			i = peak / r
			what = fmt.Sprintf("with the load of %s", ohmText(r))
		}
		ripple := i / (hertz * c)
		if ripple < math.Max(peak, 1) {
			second += fmt.Sprintf("; it ripples by %s peak to peak %s at %s", d.figure("ripple", ripple, quantity.Volt,
				fmt.Sprintf("I / (f · C) = %s / (%s · %s)", quantity.Format(i, quantity.Ampere, 3), hertzText(hertz), quantity.Format(c, quantity.Farad, 3))), what, hertzText(hertz))
		} else {
			second += ", but it is too small to hold it under this load"
		}
	}
	d.text = first + ". " + second + "."
}

// coreDiodes lists the junctions of a rectifier.
func (f *finder) coreDiodes(d *draft) []int {
	var out []int
	for _, p := range d.members {
		k := twoLead(f.c.Parts[p].Kind)
		if d.role[p] == Core && (k == diode || f.isKind(p, "bridge")) {
			out = append(out, p)
		}
	}
	return out
}

// reservoirFarads is the capacitance between two poles.
func (f *finder) reservoirFarads(plus, minus int) (float64, []int) {
	sum := 0.0
	var parts []int
	for _, b := range f.leads(capac, plus) {
		if o := b.other(plus); o == minus || o == f.common {
			sum += b.value
			parts = append(parts, b.parts...)
		}
	}
	return sum, parts
}

func (f *finder) directLoad(plus, minus int) float64 {
	for _, b := range f.between(resist, plus, minus) {
		return b.value
	}
	return 0
}

// sourceHertz is the frequency of what feeds a net, 50 Hz where unknown.
func (f *finder) sourceHertz(net int) float64 {
	check := func(n int) (float64, bool) {
		for _, b := range f.leads(source, n) {
			if v, ok := f.c.Parts[b.parts[0]].Amount("frequency"); ok && !f.steady(b) {
				return v, true
			}
		}
		return 0, false
	}
	if v, ok := check(net); ok {
		return v
	}
	for _, b := range f.leads(winding, net) {
		for _, w := range f.windings(b.parts[0]) {
			for _, n := range []int{w.a, w.b} {
				if v, ok := check(n); ok {
					return v
				}
			}
		}
	}
	return mainsHertz
}

// sayMultiplier: n sections give n times the peak, less n junctions.
func (f *finder) sayMultiplier(d *draft, n, input int) {
	first := fmt.Sprintf("On one half-wave each capacitor of the chain takes the charge of the one before it through its diode, and %d of them stand in series", n)
	if d.kind == Doubler {
		first = "One capacitor is charged on each half-wave, and the two voltages stand in series"
	}
	rms, ok := f.rms(input)
	second := fmt.Sprintf("Unloaded the output reaches %d times the peak of the input", n)
	if v := float64(n) * (math.Sqrt2*rms - 0.7); ok && v > 0 {
		second += fmt.Sprintf(", here %s", d.figure("output", v, quantity.Volt, fmt.Sprintf("%d · (√2 · %s − 0.7 V)", n, voltText(rms))))
	}
	d.text = first + ". " + second + "; it falls quickly when current is drawn."
}

// sayDetector: the time constant lies between the periods of carrier and
// modulation (Boylestad & Nashelsky; common practice).
func (f *finder) sayDetector(d *draft, to, back int) {
	d.text = fmt.Sprintf("%s passes the tops of one half of the carrier, so that the voltage behind it follows the envelope. ", f.refs(f.coreDiodes(d)...))
	c, parts := f.reservoirFarads(to, back)
	r := 0.0
	for _, b := range f.leads(resist, to) {
		if f.held(b.other(to)) {
			r = b.value
		}
	}
	if c > 0 && r > 0 {
		d.text += fmt.Sprintf("%s smooths the carrier away with a time constant of %s.", f.refs(parts...), d.figure("time constant", r*c, quantity.Second, "R · C"))
		return
	}
	d.text += "The capacitor behind it smooths the carrier away."
}

// sayZener: I = (Vin − Vz)/R (Malvino & Bates, Electronic Principles, ex. 5-1).
func (f *finder) sayZener(d *draft, chain []*branch, feed *branch, net, foot int) {
	d.text = fmt.Sprintf("%s lets through whatever current keeps its voltage, and %s drops the rest of the supply", f.chainRefs(chain), f.refs(feed.parts...))
	volts, ok := f.zenerVolts(chain)
	if ok {
		d.text += fmt.Sprintf(", so that the output stays at %s", d.figure("output", volts, quantity.Volt, "zener voltage of "+f.chainRefs(chain)))
	}
	in := feed.other(net)
	if ok && f.known[in] && f.known[foot] && feed.value > 0 {
		if i := (math.Abs(f.volts[in]-f.volts[foot]) - volts) / feed.value; i > 0 {
			d.text += fmt.Sprintf(". %s flows through %s, and no more than that can be drawn.", d.figure("available current", i, quantity.Ampere, fmt.Sprintf("(%s − %s) / %s", voltText(math.Abs(f.volts[in]-f.volts[foot])), voltText(volts), ohmText(feed.value))), f.refs(feed.parts...))
			return
		}
		d.note("the supply is not above the zener's voltage, so that it can't regulate")
	}
	d.text += ". More than flows through that resistor can't be drawn without losing the voltage."
}

func (f *finder) chainRefs(chain []*branch) string {
	var parts []int
	for _, b := range chain {
		parts = append(parts, b.parts...)
	}
	return f.refs(parts...)
}

func (f *finder) sayShunt(d *draft, x *device, z, feed *branch) {
	d.text = fmt.Sprintf("When the output rises, %s turns %s on and that draws the surplus through %s", f.refs(z.parts...), f.refs(x.part), f.refs(feed.parts...))
	if f.known[x.o] {
		d.text += fmt.Sprintf(". The output stays at %s.", d.figure("output", f.volts[x.o], quantity.Volt, "Vz + Vbe (Malvino & Bates, ex. 24-1), or Vbe · (1 + R1/R2)"))
		return
	}
	d.text += ". The output stays where the transistor just conducts."
}

func (f *finder) saySeries(d *draft, r regulating) {
	pass := f.refs(r.pass.parts...)
	volts, ok := f.volts[r.out], f.known[r.out]
	switch {
	case r.tracks:
		d.text = fmt.Sprintf("%s holds the middle between this output and another supply's at common, so that %s follows that supply with the opposite sign", f.refs(r.opamp), pass)
	case r.opamp >= 0:
		d.text = fmt.Sprintf("%s compares part of the output with the reference of %s and drives %s until both agree", f.refs(r.opamp), f.chainRefs(r.reference), pass)
	case len(r.errorAmp) > 0:
		d.text = fmt.Sprintf("%s compares part of the output with %s and takes drive away from %s when it is too high", f.refs(r.errorAmp[0].part), f.chainRefs(r.reference), pass)
	default:
		d.text = fmt.Sprintf("%s holds the control of %s, and its reference lead follows one junction lower", f.chainRefs(r.reference), pass)
	}
	if ok {
		how := "Vz − Vbe"
		switch {
		case r.tracks:
			how = "−V · R1/R2"
		case r.opamp >= 0 || len(r.errorAmp) == 2:
			how = "Vz · (1 + R1/R2)"
		case len(r.errorAmp) == 1:
			how = "(Vz + Vbe) · (1 + R1/R2)"
		}
		d.text += fmt.Sprintf(". The output stays at %s", d.figure("output", volts, quantity.Volt, how+" (Boylestad & Nashelsky, ex. 15.8 to 15.10)"))
	} else {
		d.text += ". The output stays where the two agree"
	}
	if f.known[r.in] && ok && math.Abs(f.volts[r.in]) > math.Abs(volts) {
		d.text += fmt.Sprintf(", and %s %s the remaining %s.", pass, verb(r.pass.parts, "carries", "carry"), d.figure("drop over the pass transistor", math.Abs(f.volts[r.in]-volts), quantity.Volt, "input − output"))
		return
	}
	d.text += ", and the pass transistor carries what is left of the input."
}

func (f *finder) sayThreeTerminal(d *draft, i, out, com int) {
	d.text = fmt.Sprintf("%s compares its output with a reference inside and holds it still", f.refs(i))
	if v, ok := f.regulated(i, out, com); ok {
		d.text += fmt.Sprintf(" at %s", d.figure("output", v, quantity.Volt, "as its type or its divider sets"))
	}
	d.text += ". Its input must stand some 2 V higher, and the capacitors beside it keep it from oscillating."
}

// saySmoothing: the corner of R and C is 1/(2πRC), that of L and C 1/(2π√LC).
func (f *finder) saySmoothing(d *draft, b, c *branch) {
	what := "keeps what the one side draws from the other"
	if d.kind != Decoupling {
		what = "takes the ripple away"
	}
	d.text = fmt.Sprintf("%s with %s %s", f.refs(b.parts...), f.refs(c.parts...), what)
	switch {
	case b.sort == resist && corner(b, c) > 0:
		d.text += fmt.Sprintf(". Whatever is faster than %s is weakened on the way.", d.figure("corner frequency", corner(b, c), quantity.Hertz, "1 / (2π · R · C)"))
	case b.sort == induct && b.value > 0 && c.value > 0:
		d.text += fmt.Sprintf(". Whatever is faster than %s is weakened on the way.", d.figure("corner frequency", resonance(b.value, c.value), quantity.Hertz, "1 / (2π · √(L · C))"))
	default:
		d.text += ". The slower the change, the more of it gets through."
	}
}

func resonance(l, c float64) float64 { return 1 / (2 * math.Pi * math.Sqrt(l*c)) }

func (f *finder) sayDecoupling(d *draft, rail int) {
	sum := 0.0
	for _, p := range d.members {
		v, _ := f.c.Parts[p].Amount("value")
		sum += v
	}
	how := "is"
	if len(d.members) > 1 {
		how = "are"
	}
	d.text = fmt.Sprintf("%s %s a short way for alternating current between %s and common. ", f.refs(d.members...), how, f.names[rail])
	if sum > 0 {
		d.text += fmt.Sprintf("Sudden draughts of current come from the %s here instead of from the source.", d.figure("capacitance", sum, quantity.Farad, "sum of "+f.refs(d.members...)))
		return
	}
	d.text += "Sudden draughts of current come from here instead of from the source."
}

func (f *finder) sayDivider(d *draft, up, down *branch, net int) {
	d.text = fmt.Sprintf("%s and %s share the voltage in proportion to their resistance. ", f.refs(up.parts...), f.refs(down.parts...))
	high, low := up.other(net), down.other(net)
	if up.value > 0 && down.value > 0 {
		ratio := down.value / (up.value + down.value)
		if f.known[high] && f.known[low] {
			v := f.volts[low] + (f.volts[high]-f.volts[low])*ratio
			d.text += fmt.Sprintf("Unloaded the tap %s stands at %s.", f.names[net], d.figure("tap", v, quantity.Volt, "V · R2 / (R1 + R2)"))
			return
		}
		d.text += fmt.Sprintf("Unloaded the tap %s gets %s of it.", f.names[net], d.figure("share", ratio, quantity.Percent, "R2 / (R1 + R2)"))
		return
	}
	d.text += fmt.Sprintf("The tap is %s.", f.names[net])
}

func (f *finder) sayChain(d *draft, b *branch) {
	d.text = fmt.Sprintf("%s in series share the voltage in proportion to their resistance. ", f.refs(b.parts...))
	if b.value > 0 && f.known[b.a] && f.known[b.b] {
		d.text += fmt.Sprintf("%s flows through all of them.", d.figure("current", math.Abs(f.volts[b.a]-f.volts[b.b])/b.value, quantity.Ampere, "V / (R1 + R2 + …)"))
		return
	}
	d.text += "Their taps are places to measure at."
}

// sayTaps gives the voltages of the taps of a chain.
func (f *finder) sayTaps(d *draft, chain []*branch, taps []int) {
	var parts []int
	sum := 0.0
	for _, b := range chain {
		parts = append(parts, b.parts...)
		sum += b.value
	}
	d.text = fmt.Sprintf("%s in a row share the voltage in proportion to their resistance. ", f.refs(parts...))
	from, to := chain[0].other(taps[0]), taps[len(taps)-1]
	if sum <= 0 || !f.known[from] || !f.known[to] {
		d.text += "Each tap serves a stage of its own."
		return
	}
	var at []string
	below := 0.0
	for i, b := range chain[:len(chain)-1] {
		below += b.value
		v := f.volts[from] + (f.volts[to]-f.volts[from])*below/sum
		at = append(at, fmt.Sprintf("%s at %s", f.names[taps[i]], d.figure("tap "+string(f.names[taps[i]]), v, quantity.Volt, "V · R2 / (R1 + R2)")))
	}
	d.text += "Unloaded the taps stand thus: " + words(at) + "."
}

// sayGasRegulator: the tube keeps its maintaining voltage.
func (f *finder) sayGasRegulator(d *draft, b, feed *branch) {
	d.text = fmt.Sprintf("The gas in %s carries whatever current keeps its voltage, and %s drops the rest of the supply. ", f.refs(b.parts...), f.refs(feed.parts...))
	if v, ok := f.amount(b.parts[0], "maintaining voltage"); ok {
		d.text += fmt.Sprintf("The output stays at %s once it has struck.", d.figure("output", v, quantity.Volt, "maintaining voltage of "+f.refs(b.parts...)))
		return
	}
	d.text += "It strikes at a higher voltage than it then keeps."
}
