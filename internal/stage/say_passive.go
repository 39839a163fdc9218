package stage

import (
	"fmt"
	"math"

	"foilside/internal/quantity"
)

// sayMeter: full scale V = I·(Rs + Rm); a shunt's V/R adds to the current.
func (f *finder) sayMeter(d *draft, m *branch) {
	name := f.refs(m.parts...)
	fs, ok := f.c.Parts[m.parts[0]].Amount("full scale")
	rm, _ := f.amount(m.parts[0], "resistance")
	series, ends := f.plainSeries(m)
	d.text = fmt.Sprintf("%s shows the current that flows through it", name)
	if f.bridged(m) {
		d.text = fmt.Sprintf("%s lies between the taps of two dividers and shows how far they are out of balance. ", name)
		d.text += "It reads nothing when the arms have the same ratio."
		return
	}
	if ok && series > 0 && ends {
		d.text += fmt.Sprintf(". With the resistors before it full scale is %s.", d.figure("full scale", fs*(series+rm), quantity.Volt, "I · (Rs + Rm)"))
		return
	}
	if ok {
		d.text += fmt.Sprintf(". It stands at full scale with %s.", quantity.Format(fs, f.c.Parts[m.parts[0]].Amounts["full scale"].Unit, 3))
		return
	}
	d.text += ". The resistors about it set its range."
}

// plainSeries is the resistance in series with a meter.
func (f *finder) plainSeries(m *branch) (float64, bool) {
	sum := 0.0
	for _, n := range []int{m.a, m.b} {
		if f.held(n) || f.degree(n) != 2 {
			continue
		}
		for _, b := range f.leads(resist, n) {
			sum += b.value
		}
	}
	return sum, sum > 0
}

// bridged tells whether a meter lies between two dividers.
func (f *finder) bridged(m *branch) bool {
	arms := func(n int) bool {
		to := map[int]bool{}
		for _, b := range f.leads(resist, n) {
			to[b.other(n)] = true
		}
		return len(to) >= 2
	}
	return !f.held(m.a) && !f.held(m.b) && arms(m.a) && arms(m.b)
}

func (f *finder) sayIndicator(d *draft, b *branch, series []*branch, ends [2]int) {
	name := f.refs(b.parts...)
	r := ohms(series)
	if b.sort == gas {
		d.text = fmt.Sprintf("%s lights when the voltage across it reaches its striking voltage, and %s keeps its current small. ", name, f.chainRefs(series))
		if v, ok := f.amount(b.parts[0], "striking voltage"); ok {
			d.text += fmt.Sprintf("It strikes at about %s.", d.figure("striking voltage", v, quantity.Volt, "of its type"))
			return
		}
		d.text += "It shows that a high voltage stands there; dark, it proves nothing."
		return
	}
	d.text = fmt.Sprintf("%s lights while there is voltage, and %s limits its current", name, f.chainRefs(series))
	if f.known[ends[0]] && f.known[ends[1]] && r > 0 {
		if i := (math.Abs(f.volts[ends[0]]-f.volts[ends[1]]) - f.forward(b)) / r; i > 0 {
			d.text += fmt.Sprintf(". It draws %s.", d.figure("current", i, quantity.Ampere, "(V − Vf) / R"))
			return
		}
	}
	d.text += ". Dark, it proves nothing."
}

func (f *finder) sayCoilFilter(d *draft, l *branch, caps []*branch) {
	d.text = fmt.Sprintf("%s and %s pass some frequencies and hold back others", f.refs(l.parts...), f.chainRefs(caps))
	c := caps[0].value
	for _, x := range caps {
		c = math.Max(c, x.value)
	}
	if l.value > 0 && c > 0 {
		d.text += fmt.Sprintf(". They part at %s.", d.figure("corner or resonance", resonance(l.value, c), quantity.Hertz, "1 / (2π · √(L · C))"))
		return
	}
	d.text += ". The larger the two, the lower the frequency at which they part."
}

func (f *finder) sayFilter(d *draft, r, c *branch, pass string) {
	slow, fast := "slow changes pass and fast ones are short-circuited", "fast changes pass and slow ones are held back"
	what := slow
	if pass == "high" {
		what = fast
	}
	d.text = fmt.Sprintf("With %s and %s %s", f.refs(r.parts...), f.refs(c.parts...), what)
	if v := corner(r, c); v > 0 {
		d.text += fmt.Sprintf(". The two part at %s.", d.figure("corner frequency", v, quantity.Hertz, "1 / (2π · R · C)"))
		return
	}
	d.text += ". Resistance and capacitance set where the two part."
}
