package specimen

import (
	"fmt"
	"math/rand/v2"
)

// inventor makes up circuits that look like circuits, though they need not do
// anything: a supply, a common, and a chain of nets in between.
type inventor struct {
	r     *rand.Rand
	nets  []string
	count map[string]int
	refs  map[string]int
	parts []CircuitPart
	used  int
}

func randomCircuit(r *rand.Rand, joints int) []CircuitPart {
	v := &inventor{r: r, count: map[string]int{}, refs: map[string]int{}}
	n := max(3, joints*10/34-2)
	for i := range n {
		v.nets = append(v.nets, fmt.Sprintf("n%d", i+1))
	}
	v.add("battery", map[string]string{"voltage": "9 V"}, "+", "supply", "-", "common")
	for v.used < joints {
		v.invent(v.used * n / max(1, joints))
	}
	v.mend()
	return v.parts
}

// near picks a net near place i of the chain, or a rail, other than those taken.
func (v *inventor) near(i int, taken ...string) string {
	for {
		n := v.nets[max(0, min(len(v.nets)-1, i+v.r.IntN(5)-2))]
		switch u := v.r.Float64(); {
		case u < 0.12:
			n = "supply"
		case u < 0.30:
			n = "common"
		}
		ok := true
		for _, t := range taken {
			ok = ok && t != n
		}
		if ok {
			return n
		}
	}
}

func (v *inventor) invent(i int) {
	a := v.near(i)
	b := v.near(i, a)
	switch u := v.r.Float64(); {
	case u < 0.44:
		tol := oneOf(v.r, "5%", "5%", "10%", "1%")
		v.add("resistor", map[string]string{"value": e12(v.r), "tolerance": tol, "power": oneOf(v.r, "0.25 W", "0.25 W", "0.5 W", "1 W")}, "1", a, "2", b)
	case u < 0.56:
		v.add("capacitor", map[string]string{"value": oneOf(v.r, "100 pF", "1 nF", "4.7 nF", "10 nF", "100 nF", "220 nF", "470 nF")}, "1", a, "2", b)
	case u < 0.68:
		v.add("electrolytic", map[string]string{"value": oneOf(v.r, "1 µF", "10 µF", "47 µF", "100 µF", "470 µF", "1000 µF"), "voltage": oneOf(v.r, "16 V", "25 V", "40 V")}, "+", a, "-", b)
	case u < 0.77:
		v.add("diode", map[string]string{"type": oneOf(v.r, "1N4148", "1N4148", "1N4003")}, "a", a, "k", b)
	case u < 0.91:
		v.add(oneOf(v.r, "npn", "npn", "pnp"), map[string]string{"type": oneOf(v.r, "BC547", "BC108", "BC557")}, "c", a, "b", b, "e", v.near(i, a, b))
	case u < 0.93:
		v.add("potentiometer", map[string]string{"value": oneOf(v.r, "1k", "10k", "47k")}, "1", a, "w", b, "2", v.near(i, a, b))
	case u < 0.95:
		v.add("inductor", map[string]string{"value": "1 mH"}, "1", a, "2", b)
	case u < 0.97:
		v.add("connector", nil, "1", a, "2", b)
	case u < 0.985:
		v.add("led", nil, "a", a, "k", b)
	default:
		v.add("switch", nil, "1", a, "2", b)
	}
}

// e12 is a value of the E12 series (IEC 60063).
func e12(r *rand.Rand) string {
	d := oneOf(r, "10", "12", "15", "18", "22", "27", "33", "39", "47", "56", "68", "82")
	switch k := r.IntN(6); k {
	case 0:
		return d + "R"
	case 1:
		return d + "0R"
	case 2:
		return d[:1] + "k" + d[1:]
	case 3:
		return d + "k"
	case 4:
		return d + "0k"
	default:
		return d[:1] + "M" + d[1:]
	}
}

func (v *inventor) add(kind string, params map[string]string, leadNets ...string) {
	letter := map[string]string{"resistor": "R", "capacitor": "C", "electrolytic": "C", "diode": "D", "led": "D", "npn": "Q", "pnp": "Q",
		"potentiometer": "RV", "inductor": "L", "switch": "S", "battery": "B", "connector": "J"}[kind]
	v.refs[letter]++
	p := CircuitPart{Ref: fmt.Sprintf("%s%d", letter, v.refs[letter]), Kind: kind, Params: params, Leads: map[string]string{}}
	for i := 0; i < len(leadNets); i += 2 {
		p.Leads[leadNets[i]] = leadNets[i+1]
		v.count[leadNets[i+1]]++
		v.used++
	}
	v.parts = append(v.parts, p)
}

// mend gives every net with a single lead a resistor to another net, to one
// in the same plight where there is one.
func (v *inventor) mend() {
	all := append([]string{"supply", "common"}, v.nets...)
	for i, n := range all {
		if v.count[n] != 1 {
			continue
		}
		partner := ""
		for j, m := range all {
			if j != i && v.count[m] > 0 && (partner == "" || v.count[m] == 1 && v.count[partner] != 1) {
				partner = m
			}
		}
		v.add("resistor", map[string]string{"value": e12(v.r)}, "1", n, "2", partner)
	}
}
