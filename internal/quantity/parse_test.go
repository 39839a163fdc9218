package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for _, row := range []struct {
		name, text string
		unit       Unit
		want       float64
	}{
		{"A11 IEC 60062 R47", "R47", Ohm, 0.47},
		{"A12 IEC 60062 4R7", "4R7", Ohm, 4.7},
		{"A13 IEC 60062 470R", "470R", Ohm, 470},
		{"A14 IEC 60062 4K7", "4K7", Ohm, 4700},
		{"A15 IEC 60062 47K", "47K", Ohm, 47e3},
		{"A16 IEC 60062 47K3", "47K3", Ohm, 47.3e3},
		{"A17 IEC 60062 470K", "470K", Ohm, 470e3},
		{"A18 IEC 60062 4M7", "4M7", Ohm, 4.7e6},
		{"A19 from memory p47", "p47", Farad, 0.47e-12},
		{"A20 from memory 4p7", "4p7", Farad, 4.7e-12},
		{"A21 from memory 4n7", "4n7", Farad, 4.7e-9},
		{"A22 from memory 47n", "47n", Farad, 47e-9},
		{"A23 from memory 4µ7", "4µ7", Farad, 4.7e-6},
		{"A23 from memory 4u7", "4u7", Farad, 4.7e-6},
		{"A24 from memory 1m0", "1m0", Farad, 1e-3},
		{"prefix and unit", "4.7 kΩ", Ohm, 4700},
		{"old ohm sign", "4.7 k\u2126", Ohm, 4700},
		{"ohm in letters", "220 ohm", Ohm, 220},
		{"kilohm in letters", "2.2 kohm", Ohm, 2200},
		{"bare number is ohms", "330", Ohm, 330},
		{"greek mu", "10 μF", Farad, 10e-6},
		{"millifarad", "1.5 mF", Farad, 1.5e-3},
		{"volts at the decimal point", "5V1", Volt, 5.1},
		{"millivolts", "652 mV", Volt, 0.652},
		{"no-break space", "500\u00a0V", Volt, 500},
		{"minus sign of typesetting", "−12 V", Volt, -12},
		{"exponent", "4.7e3 Ω", Ohm, 4700},
		{"exponent is no letter code", "4e7", Ohm, 4e7},
		{"percent", "5%", Percent, 0.05},
		{"plus-minus percent", "±10 %", Percent, 0.1},
		{"plain number", "290", None, 290},
		{"zero needs no unit", "0", Volt, 0},
		{"milliamperes a volt", "5 mA/V", Siemens, 5e-3},
		{"webers", "20 µWb", VoltSecond, 20e-6},
		{"sensitivity", "20 kΩ/V", OhmPerVolt, 20e3},
		{"hertz", "2.5 MHz", Hertz, 2.5e6},
		{"below one without a nought", ".5 W", Watt, 0.5},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Parse(row.text, row.unit)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got-row.want) > 1e-15*math.Abs(row.want) {
				t.Errorf("Parse(%q) = %g, want %g", row.text, got, row.want)
			}
		})
	}
}

func TestParseRefuses(t *testing.T) {
	for _, row := range []struct {
		name, text string
		unit       Unit
		says       string
	}{
		{"letters at random", "4x7", Ohm, "no unit of resistance"},
		{"nothing", "  ", Ohm, "nothing is written"},
		{"old microfarads", "1.5 MF", Farad, "means µF"},
		{"old microfarads spelled", "8 MFD", Farad, "means µF"},
		{"capacitance without unit", "100", Farad, "unit is missing"},
		{"another unit", "4.7 kΩ", Volt, "no unit of voltage"},
		{"comma", "4,7 kΩ", Ohm, "no comma"},
		{"leading zero", "010", Ohm, "leading zero"},
		{"word", "lots", Volt, "does not begin with a number"},
		{"too large", "1e999", Ohm, "out of range"},
		{"overflow by prefix", "1e308 TΩ", Ohm, "out of range"},
		{"percent without sign", "5", Percent, "% sign"},
		{"unit on a plain number", "290 V", None, "something after"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := Parse(row.text, row.unit)
			var q *Error
			if !errors.As(err, &q) {
				t.Fatalf("Parse(%q) gave no quantity error but %v", row.text, err)
			}
			if !strings.Contains(err.Error(), row.says) || !strings.Contains(err.Error(), row.unit.Sample()) {
				t.Errorf("%q does not say %q with a sample", err, row.says)
			}
		})
	}
}

func TestFormat(t *testing.T) {
	for _, row := range []struct {
		v      float64
		u      Unit
		digits int
		want   string
	}{
		{4700, Ohm, 3, "4.7 kΩ"},
		{999.96, Ohm, 3, "1 kΩ"},
		{0.0652, Volt, 3, "65.2 mV"},
		{-12.345, Volt, 4, "-12.35 V"},
		{0, Volt, 3, "0 V"},
		{-2.8e-19, Volt, 3, "0 V"},
		{100e-9, Farad, 3, "100 nF"},
		{4700e-6, Farad, 3, "4700 µF"},
		{15e-3, Farad, 3, "15000 µF"},
		{290, None, 3, "290"},
		{0.05, Percent, 3, "5 %"},
		{418.27, Volt, 4, "418.3 V"},
	} {
		if got := Format(row.v, row.u, row.digits); got != row.want {
			t.Errorf("Format(%g) = %q, want %q", row.v, got, row.want)
		}
	}
}

func TestCode(t *testing.T) {
	for _, row := range []struct {
		v    float64
		u    Unit
		want string
	}{
		{4700, Ohm, "4k7"}, {470, Ohm, "470R"}, {0.47, Ohm, "470m"}, {4.7, Ohm, "4R7"},
		{1e6, Ohm, "1M"}, {4.7e-6, Farad, "4µ7"}, {100e-9, Farad, "100n"}, {0, Ohm, "0R"},
	} {
		if got := Code(row.v, row.u); got != row.want {
			t.Errorf("Code(%g) = %q, want %q", row.v, got, row.want)
		}
	}
}

// What Format and Code write, Parse reads back to the same rounded number.
func TestFormatThenParse(t *testing.T) {
	units := []Unit{Volt, Ampere, Ohm, Farad, Henry, Watt, Second, Hertz, Joule, Siemens, Percent}
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(units).Draw(t, "unit")
		v := rapid.Float64Range(1, 10).Draw(t, "mantissa") * pow10(rapid.IntRange(-11, 11).Draw(t, "power"))
		if u == Farad && v >= 1e3 {
			t.Skip("a capital M or K on farads is refused on purpose")
		}
		got, err := Parse(Format(v, u, 6), u)
		if err != nil || math.Abs(got-v) > 1e-5*v {
			t.Fatalf("%g %s came back as %g (%v) from %q", v, u, got, err, Format(v, u, 6))
		}
		if u == Ohm || u == Farad {
			code, err := Parse(Code(v, u), u)
			if err != nil || math.Abs(code-v) > 1e-3*v {
				t.Fatalf("%g came back as %g (%v) from %q", v, code, err, Code(v, u))
			}
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"4k7", "1e3", "µ", "R", "-", "5 %", "1.5 MF"} {
		f.Add(s, byte(Ohm))
	}
	f.Fuzz(func(t *testing.T, s string, u byte) {
		v, err := Parse(s, Unit(u%byte(Metre+1)))
		if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
			t.Fatalf("%q parsed to %v", s, v)
		}
	})
}
