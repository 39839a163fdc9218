package circuit

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"foilside/internal/quantity"
)

// Kind is what a part is: "resistor", "npn".
type Kind string

// The kinds of part.
const (
	Resistor      Kind = "resistor"
	Thermistor    Kind = "thermistor"
	Photocell     Kind = "photocell"
	Potentiometer Kind = "potentiometer"
	Capacitor     Kind = "capacitor"
	Electrolytic  Kind = "electrolytic"
	Inductor      Kind = "inductor"
	Transformer   Kind = "transformer"
	Diode         Kind = "diode"
	LED           Kind = "led"
	Zener         Kind = "zener"
	Bridge        Kind = "bridge"
	NPN           Kind = "npn"
	PNP           Kind = "pnp"
	JFETN         Kind = "jfet-n"
	JFETP         Kind = "jfet-p"
	MOSFETN       Kind = "mosfet-n"
	MOSFETP       Kind = "mosfet-p"
	UJT           Kind = "ujt"
	SCR           Kind = "scr"
	Triac         Kind = "triac"
	Neon          Kind = "neon"
	GasTube       Kind = "gas-tube"
	FlashTube     Kind = "flash-tube"
	Triode        Kind = "triode"
	Pentode       Kind = "pentode"
	Lamp          Kind = "lamp"
	Fuse          Kind = "fuse"
	Heater        Kind = "heater"
	Switch        Kind = "switch"
	Changeover    Kind = "changeover"
	Relay         Kind = "relay"
	Battery       Kind = "battery"
	Supply        Kind = "supply"
	Signal        Kind = "signal"
	Speaker       Kind = "speaker"
	Earphone      Kind = "earphone"
	Buzzer        Kind = "buzzer"
	Motor         Kind = "motor"
	MeterMovement Kind = "meter-movement"
	Crystal       Kind = "crystal"
	OpAmp         Kind = "opamp"
	Timer555      Kind = "timer-555"
	Regulator     Kind = "regulator"
	Optocoupler   Kind = "optocoupler"
	Connector     Kind = "connector"
	TestPoint     Kind = "test-point"
)

// Param is one parameter of a kind.
type Param struct {
	Name    string
	Units   []quantity.Unit // units it may be given in; empty: it is a word
	Words   []string        // the words allowed, where it is a word
	AtUnit  quantity.Unit   // unit of its condition ("at 5 mA"); None: takes no condition
	Default *Default        // nil: unknown unless given
	Doc     string          // one line for the parts shelf and for messages
}

// Default is a value that holds where nothing is said, and where it is from.
type Default struct {
	Value  float64
	Word   string
	Source string
}

// Info is all that is fixed about a kind.
type Info struct {
	Kind    Kind
	Letter  string     // reference letter by IEEE 315
	Noun    string     // as read in a sentence: "NPN transistor"
	Leads   []LeadName // in order; empty: the part names its own
	AnyLead bool       // leads are the part's own: connector, transformer
	Params  []Param
}

// Param returns the kind's parameter of that name.
func (i Info) Param(name string) (Param, bool) {
	for _, p := range i.Params {
		if p.Name == name {
			return p, true
		}
	}
	return Param{}, false
}

// Default returns the kind's default amount of a parameter.
func (i Info) Default(name string) (float64, bool) {
	p, ok := i.Param(name)
	if !ok || p.Default == nil {
		return 0, false
	}
	return p.Default.Value, true
}

// Lookup returns the table row of a kind. What it lists is shared and must not
// be changed.
func Lookup(k Kind) (Info, bool) {
	i, ok := byKind()[k]
	return i, ok
}

// byKind is the table by kind, made once: making it for every part would cost
// most of the time of checking a circuit.
var byKind = sync.OnceValue(func() map[Kind]Info {
	rows := map[Kind]Info{}
	for _, i := range table() {
		i.Leads, i.Params = slices.Clip(i.Leads), slices.Clip(i.Params)
		rows[i.Kind] = i
	}
	return rows
})

// Kinds lists every kind in the order of the table.
func Kinds() []Kind {
	var out []Kind
	for _, i := range table() {
		out = append(out, i.Kind)
	}
	return out
}

// LeadNames returns the leads a part of the kind must have, given its
// windings (transformer) and poles (switch and changeover: 1 where not said).
// Poles above the first have their leads named with a letter: 1.b 2.b, c.b no.b
// nc.b. A nil result means that the part names its own leads.
func LeadNames(k Kind, windings []Winding, poles int) []LeadName {
	info, ok := Lookup(k)
	if !ok || k == Connector || k == TestPoint {
		return nil
	}
	if k == Transformer {
		var out []LeadName
		for _, w := range windings {
			out = append(out, w.First(), w.Second())
		}
		return out
	}
	out := slices.Clone(info.Leads)
	for pole := 1; pole < poles; pole++ {
		for _, l := range info.Leads {
			if k == Relay && strings.HasPrefix(string(l), "coil") {
				continue
			}
			out = append(out, PoleLead(l, pole))
		}
	}
	return out
}

// PoleLead names a lead of the pole with the given number, counted from 0.
func PoleLead(l LeadName, pole int) LeadName {
	if pole == 0 {
		return l
	}
	return LeadName(fmt.Sprintf("%s.%c", l, 'a'+pole))
}

// Poles is the number of poles of a switch, changeover or relay; 1 otherwise.
func (p Part) Poles() int {
	if n, ok := p.Amount("poles"); ok && n >= 1 && n <= 12 {
		return int(n)
	}
	return 1
}
