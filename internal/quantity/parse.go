package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Error says why a text is no quantity of the wanted unit.
type Error struct {
	Text   string // what was given
	Unit   Unit   // what was asked for
	Reason string // what is wrong with it
}

// Error names the text, the reason and a well-formed example.
func (e *Error) Error() string {
	return fmt.Sprintf("%q is not %s: %s (write it like %s)", e.Text, e.Unit.Word(), e.Reason, e.Unit.Sample())
}

// number has no leading zeros before another digit: some readers of YAML take
// 010 for octal 8, so it has no safe meaning.
var (
	number     = regexp.MustCompile(`^[+-]?(?:0|[1-9][0-9]*|)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?`)
	letterCode = regexp.MustCompile(`^([+-]?)([0-9]*)([A-Za-zµ])([0-9]+)$`)
)

// Parse reads text as a quantity of unit u and returns it in SI base units.
// A bare number is taken for u = Ohm and None only, and zero for every unit.
//
// Errors:  *Error.
// Source:  letter codes by IEC 60062, prefixes by ISO 80000-1.
func Parse(text string, u Unit) (float64, error) {
	s := normal(text)
	fail := func(reason string) (float64, error) {
		return 0, &Error{Text: text, Unit: u, Reason: reason}
	}
	if s == "" {
		return fail("nothing is written")
	}
	if strings.Contains(s, ",") {
		return fail("write a point for the decimal mark, and no comma")
	}
	if v, ok := parseLetterCode(s, u); ok {
		return finite(v, fail)
	}
	digits := number.FindString(s)
	if digits == "" || !strings.ContainsAny(digits, "0123456789") {
		return fail("it does not begin with a number")
	}
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return fail("the number is out of range")
	}
	rest := strings.TrimSpace(s[len(digits):])
	if rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		return fail("a leading zero has no safe meaning")
	}
	k, reason := factor(rest, u, v == 0)
	if reason != "" {
		return fail(reason)
	}
	return finite(scale(v, k, digits), fail)
}

// scale multiplies through the decimal text, so that "4.7 kΩ" is exactly the
// double nearest to 4700 and equal values written differently compare equal.
func scale(v, k float64, digits string) float64 {
	e := math.Round(math.Log10(k))
	if !strings.ContainsAny(digits, "eE") && math.Abs(math.Pow(10, e)-k) <= 1e-9*k {
		if exact, err := strconv.ParseFloat(digits+"e"+strconv.Itoa(int(e)), 64); err == nil {
			return exact
		}
	}
	return v * k
}

func finite(v float64, fail func(string) (float64, error)) (float64, error) {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return fail("the number is out of range")
	}
	return v, nil
}

// folded turns the several micro, ohm and space characters into one each.
var folded = strings.NewReplacer(
	"μ", "µ", "\u2126", "Ω", "\u00a0", " ", "\u202f", " ", "\u2009", " ",
	"−", "-", "⋅", "·", "±", "",
)

func normal(s string) string { return strings.TrimSpace(folded.Replace(s)) }

// factor returns what the unit text multiplies by, or why it can't be taken.
func factor(rest string, u Unit, zero bool) (k float64, reason string) {
	if rest == "" {
		return bareFactor(u, zero)
	}
	if u == None {
		return 0, "it has something after the number: " + strconv.Quote(rest)
	}
	if u == Farad && oldMicrofarad(rest) {
		return 0, "on old parts " + rest + " means µF, by the rules it is another size; write µF, nF or pF"
	}
	for _, p := range prefixes {
		after, ok := strings.CutPrefix(rest, p.symbol)
		if !ok || (p.exp != 0 && !infoOf(u).prefix) {
			continue
		}
		if after == "" && p.symbol != "" && bareSymbolTaken(u) {
			return pow10(p.exp), ""
		}
		if isUnit(after, u) {
			if u == Percent {
				return 1e-2, ""
			}
			return pow10(p.exp), ""
		}
		if m, ok := milliPerVolt(p, after, u); ok {
			return m, ""
		}
	}
	return 0, strconv.Quote(rest) + " is no unit of " + strings.TrimPrefix(strings.TrimPrefix(u.Word(), "a "), "an ")
}

func bareFactor(u Unit, zero bool) (float64, string) {
	switch {
	case u == None || u == Ohm || zero:
		return 1, ""
	case u == Percent:
		return 0, "the % sign is missing"
	default:
		return 0, "the unit is missing"
	}
}

// bareSymbolTaken tells the units whose prefix may stand alone: 100n, 47k.
func bareSymbolTaken(u Unit) bool { return u == Ohm || u == Farad || u == Henry }

func oldMicrofarad(rest string) bool {
	switch rest {
	case "MF", "MFD", "mfd", "Mfd", "MMF", "MMFD", "mmfd", "mmf", "M", "KF", "K":
		return true
	}
	return false
}

// milliPerVolt reads mA/V and µA/V for a conductance: prefix, then A/V.
func milliPerVolt(p prefix, after string, u Unit) (float64, bool) {
	return pow10(p.exp), u == Siemens && after == "A/V"
}

func isUnit(s string, u Unit) bool {
	info := infoOf(u)
	if s == info.symbol {
		return true
	}
	for _, n := range info.names {
		if s == n {
			return true
		}
	}
	return false
}

// parseLetterCode reads 4k7, R47, 4u7, 5V1: the letter stands at the decimal
// point. It leaves "4e7" to the number reader.
func parseLetterCode(s string, u Unit) (float64, bool) {
	m := letterCode.FindStringSubmatch(s)
	if m == nil || u == None || u == Percent || (len(m[2]) > 1 && m[2][0] == '0') {
		return 0, false
	}
	info := infoOf(u)
	if info.letter == 0 {
		return 0, false
	}
	exp, ok := 0, m[3][0] == info.letter
	if !ok {
		exp, ok = codeExponent(m[3], u)
	}
	if !ok {
		return 0, false
	}
	whole := m[2]
	if whole == "" {
		whole = "0"
	}
	v, err := strconv.ParseFloat(m[1]+whole+"."+m[4]+"e"+strconv.Itoa(exp), 64)
	return v, err == nil
}

// codeExponent is the power of ten of a letter inside a letter code.
func codeExponent(letter string, u Unit) (int, bool) {
	if u == Farad && (letter == "M" || letter == "K" || letter == "k" || letter == "G") {
		return 0, false
	}
	for _, p := range prefixes {
		if p.symbol == letter && p.code {
			return p.exp, true
		}
	}
	return 0, false
}
