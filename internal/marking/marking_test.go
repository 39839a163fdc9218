package marking

import (
	"math"
	"slices"
	"strings"
	"testing"

	"foilside/internal/circuit"
)

// Published readings, by the row of the outside checks and its source.
func TestDecodeValues(t *testing.T) {
	none := math.NaN()
	for _, row := range []struct {
		name, text string
		kind       circuit.Kind // "" unless the marking alone is ambiguous
		wantKind   circuit.Kind
		value, tol float64
	}{
		{"A01 Kuphaldt, colour codes, ex. 1", "yellow-violet-orange-gold", "", circuit.Resistor, 47e3, .05},
		{"A02 Kuphaldt, colour codes, ex. 2", "green red gold silver", "", circuit.Resistor, 5.2, .10},
		{"A03 Kuphaldt, colour codes, ex. 3", "white violet black", "", circuit.Resistor, 97, .20},
		{"A04 Kuphaldt, colour codes, ex. 4", "orange orange black brown violet", "", circuit.Resistor, 3300, .001},
		{"A05 Kuphaldt, colour codes, ex. 5", "brown green grey silver red", "", circuit.Resistor, 1.58, .02},
		{"A06 Kuphaldt, colour codes, ex. 6", "blue brown green silver blue", "", circuit.Resistor, 6.15, .0025},
		{"A28 IEC 60062 rule", "4K7J", "", circuit.Resistor, 4700, .05},
		{"A28 IEC 60062 rule, K at the end", "R47K", "", circuit.Resistor, .47, .10},
		{"A28 IEC 60062 rule, K in the middle", "47KM", "", circuit.Resistor, 47e3, .20},
		{"A29 maker's part number", "MF 12.5 5K11 J", "", circuit.Resistor, 5110, .05},
		{"A30 four figures", "1001", "", circuit.Resistor, 1000, none},
		{"A30 three figures", "102", circuit.Resistor, circuit.Resistor, 1000, none},
		{"A30 473", "473", circuit.Resistor, circuit.Resistor, 47e3, none},
		{"A30 4702", "4702", "", circuit.Resistor, 47e3, none},
		{"A30 5R1", "5R1", "", circuit.Resistor, 5.1, none},
		{"A30 5R10", "5R10", "", circuit.Resistor, 5.1, none},
		{"A31 01A", "01A", "", circuit.Resistor, 100, .01},
		{"A31 18B", "18B", "", circuit.Resistor, 1500, .01},
		{"A31 12X", "12X", "", circuit.Resistor, 13, .01},
		{"A31 30A", "30A", "", circuit.Resistor, 200, .01},
		{"A31 01E", "01E", "", circuit.Resistor, 1e6, .01},
		{"A32 104", "104", "", circuit.Capacitor, 100e-9, none},
		{"A33 103", "103", "", circuit.Capacitor, 10e-9, none},
		{"A34 223", "223", "", circuit.Capacitor, 22e-9, none},
		{"A35 473J", "473J", "", circuit.Capacitor, 47e-9, .05},
		{"A36 474J", "474J", "", circuit.Capacitor, .47e-6, .05},
		{"A37 104K", "104K", "", circuit.Capacitor, .1e-6, .10},
		{"A38 105K 330V", "105K 330V", "", circuit.Capacitor, 1e-6, .10},
		{"A39 101", "101", circuit.Capacitor, circuit.Capacitor, 100e-12, none},
		{"A40 102M", "102M", "", circuit.Capacitor, 1e-9, .20},
		{"A41 479, from memory", "479", circuit.Capacitor, circuit.Capacitor, 4.7e-12, none},
		{"A41 688, from memory", "688", circuit.Capacitor, circuit.Capacitor, .68e-12, none},
		{"A43 2A104J", "2A104J", "", circuit.Capacitor, .1e-6, .05},
		{"value written out", "10 µF 25 V", "", circuit.Capacitor, 10e-6, none},
		{"A57 BZX79-C5V1", "BZX79-C5V1", "", circuit.Zener, 5.1, .05},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Decode(row.text, row.kind)
			if err != nil {
				t.Fatal(err)
			}
			r := got[0]
			if r.Kind != row.wantKind || r.Value == nil || math.Abs(*r.Value-row.value) > 1e-12*row.value {
				t.Fatalf("%q is read as %s %s", row.text, r.Kind, r.Text)
			}
			if math.IsNaN(row.tol) != (r.Tolerance == nil) || r.Tolerance != nil && math.Abs(*r.Tolerance-row.tol) > 1e-9 {
				t.Errorf("%q: tolerance in %q, want %g", row.text, r.Text, row.tol)
			}
		})
	}
}

func TestDecodeRatedVoltage(t *testing.T) {
	for text, want := range map[string]float64{"2A104J": 100, "105K 330V": 330, "10 µF 25 V": 25, "1H103K": 50} {
		got, err := Decode(text, "")
		if err != nil || got[0].Voltage == nil || math.Abs(*got[0].Voltage-want) > 1e-9 {
			t.Errorf("%q: %+v, %v; want %g V", text, got, err, want)
		}
	}
}

// Type numbers by the rows A53 to A61: what the letters alone say.
func TestDecodeTypeNumbers(t *testing.T) {
	for _, row := range []struct {
		name, text string
		kinds      []circuit.Kind // all that must be kept
		material   string
	}{
		{"A57 AC128", "AC128", []circuit.Kind{circuit.PNP}, "germanium"},
		{"A57 BC108", "BC108", []circuit.Kind{circuit.NPN}, "silicon"},
		{"A57 BD139", "BD139", []circuit.Kind{circuit.NPN}, "silicon"},
		{"A57 BY127", "BY127", []circuit.Kind{circuit.Diode}, "silicon"},
		{"A57 AD149", "AD149", []circuit.Kind{circuit.PNP}, "germanium"},
		{"A57 BT151", "BT151", []circuit.Kind{circuit.SCR}, ""},
		{"A56 unlisted transistor keeps both polarities", "BC999", []circuit.Kind{circuit.NPN, circuit.PNP}, "silicon"},
		{"A58 OC71", "OC71", []circuit.Kind{circuit.PNP}, "germanium"},
		{"A58 OA81", "OA81", []circuit.Kind{circuit.Diode}, "germanium"},
		{"A59 2SA495", "2SA495", []circuit.Kind{circuit.PNP}, ""},
		{"A59 2SC372", "2SC372", []circuit.Kind{circuit.NPN}, ""},
		{"A61 C1815", "C1815", []circuit.Kind{circuit.NPN}, "silicon"},
		{"A61 D965 is 2SD965 or BD965", "D965", []circuit.Kind{circuit.NPN, circuit.NPN}, "silicon"},
		{"A53 1N4148", "1N4148", []circuit.Kind{circuit.Diode}, "silicon"},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Decode(row.text, "")
			if err != nil {
				t.Fatal(err)
			}
			var kinds []circuit.Kind
			for _, r := range got {
				kinds = append(kinds, r.Kind)
			}
			for _, k := range row.kinds {
				if !slices.Contains(kinds, k) {
					t.Errorf("%s: %v lacks %s", row.text, kinds, k)
				}
			}
			if len(kinds) < len(row.kinds) || got[0].Material != row.material {
				t.Errorf("%s: %d readings, first material %q", row.text, len(kinds), got[0].Material)
			}
		})
	}
}

// A10: bands read backwards that make no value are turned round; a legal but
// unusual order is kept behind the preferred one.
func TestBandsFromTheOtherEnd(t *testing.T) {
	got, err := Decode("gold orange violet yellow", "")
	if err != nil || *got[0].Value != 47e3 || !strings.Contains(got[0].Text, "other end") {
		t.Errorf("gold at the near end: %+v, %v", got, err)
	}
	got, err = Decode("blue silver green brown blue", "")
	if err != nil || *got[0].Value != 6.15 {
		t.Errorf("A06 backwards: %+v, %v", got, err)
	}
}

func TestDecodeRefuses(t *testing.T) {
	for _, row := range []struct{ name, text, says string }{
		{"nothing", " ", "nothing is written"},
		{"a word among colours", "brown black pink gold", "pink"},
		{"two bands", "brown black", "three to six"},
		{"gold twice", "gold gold gold gold", "no value from either end"},
		{"letters at random", "4x7", "no code"},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, err := Decode(row.text, ""); err == nil || !strings.Contains(err.Error(), row.says) {
				t.Errorf("%q: %v does not say %q", row.text, err, row.says)
			}
		})
	}
}

// A44, A45: EIA RS-198 as tabled.
func TestDielectric(t *testing.T) {
	for code, want := range map[string][4]float64{
		"X7R": {-55, 125, -.15, .15}, "Z5U": {10, 85, -.56, .22}, "Y5V": {-30, 85, -.82, .22},
	} {
		low, high, minus, plus, ok := Dielectric(code)
		if got := [4]float64{low, high, minus, plus}; !ok || got != want {
			t.Errorf("%s: %v, want %v", code, got, want)
		}
	}
	if _, _, _, _, ok := Dielectric("C0G"); ok {
		t.Error("a class-1 code is read as class 2")
	}
}

// Every row of the shelf names parameters that its kind has, with a source.
func TestShelfFitsTheKinds(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range Shelf() {
		info, ok := circuit.Lookup(e.Kind)
		if !ok || e.Source == "" || seen[e.Type] {
			t.Errorf("%s: kind %s, source %q, listed before %v", e.Type, e.Kind, e.Source, seen[e.Type])
		}
		seen[e.Type] = true
		for name, v := range e.Amount {
			if _, ok := info.Param(name); !ok || v == 0 || math.IsNaN(v) {
				t.Errorf("%s: %s = %g is nothing a %s has", e.Type, name, v, info.Noun)
			}
		}
	}
}

func TestFindPassesOverSuffixes(t *testing.T) {
	for text, want := range map[string]string{"bc547b": "BC547B", "BC547BG": "BC547B", "1N4007": "1N4007", "2N3904TA": "2N3904"} {
		if e, ok := Find(text); !ok || e.Type != want {
			t.Errorf("%s found as %q", text, e.Type)
		}
	}
	if e, ok := Find("1N40079"); ok {
		t.Errorf("a longer number is taken for %s", e.Type)
	}
}

func FuzzDecode(f *testing.F) {
	for _, s := range []string{"brown black red gold", "104K", "BZX79-C5V1", "01A", "\x00", "R", "gold gold gold"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, err := Decode(s, "")
		if (len(got) == 0) == (err == nil) {
			t.Fatalf("%q: %d readings, %v", s, len(got), err)
		}
		for _, r := range got {
			if r.Value != nil && (math.IsNaN(*r.Value) || math.IsInf(*r.Value, 0)) {
				t.Fatalf("%q has value %v", s, *r.Value)
			}
		}
	})
}

func TestIndexAnswersByKind(t *testing.T) {
	x := NewIndex()
	if a, source, ok := x.Amount(circuit.NPN, "bc547b", "gain"); !ok || a.Value != 290 || source == "" {
		t.Errorf("gain of a BC547B: %v %q %v", a, source, ok)
	}
	if _, _, ok := x.Amount(circuit.PNP, "BC547B", "gain"); ok {
		t.Error("an NPN type answers for a PNP part")
	}
	if w, _, ok := x.Word(circuit.PNP, "OC71", "material"); !ok || w != "germanium" {
		t.Errorf("OC71 is made of %q", w)
	}
}
