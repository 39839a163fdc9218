package marking

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

const (
	sourceLetters = "letter code of IEC 60062"
	sourceFigures = "three- and four-figure code, IEC 60062"
	sourceEIA     = "three-figure capacitor code with letters of EIA-198"
	sourceE96     = "two figures and a letter of the E96 code"
)

// tolerance letters of IEC 60062, either way alike (A26).
func letterTolerance(letter string) (float64, bool) {
	t, ok := map[string]float64{
		"E": 0.00005, "L": 0.0001, "P": 0.0002, "W": 0.0005, "B": 0.001, "C": 0.0025, "D": 0.005,
		"F": 0.01, "G": 0.02, "H": 0.03, "J": 0.05, "K": 0.10, "M": 0.20, "N": 0.30,
	}[letter]
	return t, ok
}

// lopsided are letters that differ either way: those of IEC 60062 (A27, from
// memory) and P and Z as EIA-198 uses them on capacitors (A42).
func lopsided(letter string) (low, high float64, ok bool) {
	v, ok := map[string][2]float64{
		"Q": {-0.10, 0.30}, "T": {-0.10, 0.50}, "S": {-0.20, 0.50}, "Z": {-0.20, 0.80}, "P": {0, 1.00},
	}[letter]
	return v[0], v[1], ok
}

var rkm = regexp.MustCompile(`^([0-9]*)([RLKkMGTmµunpF])([0-9]*)([A-Z]?)$`)

// letterCodes reads 4K7J, R47K, 47KM, 4n7, 5K11 J, also within a longer part
// number whose other words are its style.
func letterCodes(t string) []Reading {
	words := strings.Fields(strings.ReplaceAll(t, "μ", "µ"))
	for i, w := range words {
		m := rkm.FindStringSubmatch(w)
		if m == nil || (m[1] == "" && m[3] == "") {
			continue
		}
		tol := m[4]
		if tol == "" && i+1 < len(words) && len(words[i+1]) == 1 {
			tol = words[i+1]
		}
		if out := letterCode(m[1]+m[2]+m[3], m[2], tol); len(out) > 0 {
			return out
		}
	}
	return nil
}

func letterCode(code, letter, tol string) []Reading {
	kind, unit := circuit.Resistor, quantity.Ohm
	if strings.ContainsAny(letter, "µunpFm") {
		kind, unit = circuit.Capacitor, quantity.Farad
	}
	if letter == "L" { // milliohms: a shunt, some makers' use (A25, from memory)
		v, err := quantity.Parse(strings.Replace(code, "L", "R", 1), quantity.Ohm)
		if err != nil {
			return nil
		}
		return []Reading{valueReading(circuit.Resistor, quantity.Ohm, v*1e-3, "letter L for milliohms, some makers; from memory")}
	}
	v, err := quantity.Parse(code, unit)
	if err != nil {
		return nil
	}
	r := valueReading(kind, unit, v, sourceLetters)
	return []Reading{addLetter(r, tol)}
}

func addLetter(r Reading, letter string) Reading {
	if tol, ok := letterTolerance(letter); ok {
		return r.withTolerance(tol)
	}
	if low, high, ok := lopsided(letter); ok {
		return r.withLimits(low, high)
	}
	return r
}

var (
	figures    = regexp.MustCompile(`^([0-9][A-Z])?([0-9]{3,4})([A-Z])?(?:\s+([0-9.]+)\s*V)?$`)
	e96Code    = regexp.MustCompile(`^([0-9]{2})([XABCDEZYRSHF])$`)
	dielectric = regexp.MustCompile(`^([XYZ])([24567])([DEFPRSTUV])$`)
)

// figureCodes reads 104, 104K, 2A104J, 105K 330V, 4702, 01A.
func figureCodes(t string) []Reading {
	var out []Reading
	if m := figures.FindStringSubmatch(t); m != nil {
		out = append(out, capacitorCode(m)...)
		if m[1] == "" && m[3] == "" && m[4] == "" {
			out = append(out, resistorFigures(m[2])...)
		}
	}
	if m := e96Code.FindStringSubmatch(t); m != nil {
		out = append(out, e96(m[1], m[2])...)
	}
	return out
}

// capacitorCode is two figures and a power of ten in picofarads; a third
// figure 8 means ×0.01 and 9 means ×0.1 (A41, from memory).
func capacitorCode(m []string) []Reading {
	if len(m[2]) != 3 {
		return nil
	}
	mantissa, _ := strconv.Atoi(m[2][:2])
	exp := int(m[2][2] - '0')
	switch exp {
	case 8:
		exp = -2
	case 9:
		exp = -1
	case 7:
		return nil // would be 100 µF and more: no part is marked so
	}
	v, _ := strconv.ParseFloat(strconv.Itoa(mantissa)+"e"+strconv.Itoa(exp-12), 64)
	if mantissa == 0 {
		return nil
	}
	r := valueReading(circuit.Capacitor, quantity.Farad, v, sourceEIA)
	r = addCapacitorLetter(r, m[3])
	if volts, ok := voltageCode(m[1]); ok {
		r.Voltage = &volts
	}
	if volts, err := strconv.ParseFloat(m[4], 64); err == nil {
		r.Voltage = &volts
	}
	if r.Voltage != nil {
		r.Text += ", " + quantity.Format(*r.Voltage, quantity.Volt, 3)
	}
	return []Reading{r}
}

// addCapacitorLetter reads the letters of EIA-198: below 10 pF, B, C, D and F
// are picofarads, not per cent (A42).
func addCapacitorLetter(r Reading, letter string) Reading {
	pico := map[string]float64{"B": 0.1, "C": 0.25, "D": 0.5, "F": 1}
	if p, ok := pico[letter]; ok && *r.Value < 10e-12 {
		return r.withTolerance(p * 1e-12 / *r.Value)
	}
	return addLetter(r, letter)
}

// voltageCode is a figure and a letter: the decade and its figure (A43).
func voltageCode(code string) (float64, bool) {
	if len(code) != 2 {
		return 0, false
	}
	base, ok := map[byte]float64{
		'A': 1, 'B': 1.25, 'C': 1.6, 'D': 2, 'E': 2.5, 'F': 3.15, 'V': 3.5, 'G': 4, 'W': 4.5, 'H': 5, 'J': 6.3, 'N': 7.5, 'K': 8,
	}[code[1]]
	return base * math.Pow(10, float64(code[0]-'0')), ok
}

func resistorFigures(f string) []Reading {
	n := len(f) - 1
	mantissa, _ := strconv.Atoi(f[:n])
	exp := int(f[n] - '0')
	if mantissa == 0 && exp > 0 || exp > 7 {
		return nil
	}
	v := float64(mantissa) * math.Pow(10, float64(exp))
	return []Reading{valueReading(circuit.Resistor, quantity.Ohm, v, sourceFigures)}
}

func e96(index, letter string) []Reading {
	i, _ := strconv.Atoi(index)
	exp, ok := map[string]int{
		"Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5,
	}[letter]
	if !ok || i < 1 || i > 96 {
		return nil
	}
	three := int(math.Round(100 * quantity.E96.Values()[i-1]))
	v, _ := strconv.ParseFloat(strconv.Itoa(three)+"e"+strconv.Itoa(exp), 64)
	return []Reading{valueReading(circuit.Resistor, quantity.Ohm, v, sourceE96).withTolerance(0.01)}
}

// Dielectric explains a class-2 ceramic code such as X7R: its temperature
// range in °C and how far the capacitance may stray over it.
//
// Source: EIA RS-198 as tabled (A44).
func Dielectric(code string) (low, high, minus, plus float64, ok bool) {
	m := dielectric.FindStringSubmatch(code)
	if m == nil {
		return 0, 0, 0, 0, false
	}
	low = map[string]float64{"X": -55, "Y": -30, "Z": 10}[m[1]]
	high = map[string]float64{"2": 45, "4": 65, "5": 85, "6": 105, "7": 125}[m[2]]
	change := map[string][2]float64{
		"D": {-.033, .033}, "E": {-.047, .047}, "F": {-.075, .075}, "P": {-.10, .10}, "R": {-.15, .15},
		"S": {-.22, .22}, "T": {-.33, .22}, "U": {-.56, .22}, "V": {-.82, .22},
	}[m[3]]
	return low, high, change[0], change[1], true
}
