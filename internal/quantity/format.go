package quantity

import (
	"math"
	"strconv"
	"strings"
)

// prefix is one SI prefix as read; of several spellings the first is written.
type prefix struct {
	symbol string
	exp    int
	code   bool // stands at the decimal point in a letter code
}

// prefixes are tried in this order, the empty one last. K for kilo is old
// trade use and taken; a capital M is always mega, a small m always milli.
var prefixes = []prefix{
	{"T", 12, true}, {"G", 9, true}, {"M", 6, true}, {"k", 3, true}, {"K", 3, true},
	{"m", -3, true}, {"µ", -6, true}, {"u", -6, true}, {"n", -9, true}, {"p", -12, true},
	{"", 0, false},
}

func pow10(e int) float64 { return math.Pow(10, float64(e)) }

// Format writes v with an SI prefix to the given number of significant
// digits, trailing zeros dropped: 4700 Ω is "4.7 kΩ".
func Format(v float64, u Unit, digits int) string {
	if u == Percent {
		return trimZeros(strconv.FormatFloat(100*v, 'g', digits, 64)) + " %"
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "unknown"
	}
	sign, mantissa, exp := split(v, digits, infoOf(u).prefix)
	if u == Farad && exp > -6 { // the trade says 4700 µF, not 4.7 mF
		exp = -6
		m, _ := strconv.ParseFloat(strconv.FormatFloat(math.Abs(v), 'g', digits, 64), 64)
		mantissa = strconv.FormatFloat(math.Round(m*1e12)/1e6, 'f', -1, 64)
	}
	symbol := prefixSymbol(exp) + u.String()
	if symbol == "" {
		return sign + mantissa
	}
	return sign + mantissa + " " + symbol
}

// Code writes v as a letter code of IEC 60062: 4700 Ω is "4k7", 470 Ω is
// "470R", 0.47 pF is "p47". Values that need more than four figures, and
// units that have no such code, come back as Format writes them.
func Code(v float64, u Unit) string {
	sign, mantissa, exp := split(v, 4, true)
	letter := prefixSymbol(exp)
	whole, fraction, _ := strings.Cut(mantissa, ".")
	if infoOf(u).letter == 0 || (letter != "" && fraction == "" && !bareSymbolTaken(u)) {
		return Format(v, u, 4)
	}
	if letter == "" {
		letter = string(infoOf(u).letter)
	}
	if v == 0 {
		return "0" + string(infoOf(u).letter)
	}
	return sign + whole + letter + fraction
}

// smallest is below anything that is read on a bench, in any unit: what is left
// of a zero after rounding is written as zero.
const smallest = 1e-15

// split cuts v into sign, mantissa in 1…999 and an exponent that is a multiple
// of three. The number is rounded first, so that 999.96 rolls over to 1.00 k.
func split(v float64, digits int, prefixed bool) (sign, mantissa string, exp int) {
	if math.Abs(v) < smallest {
		return "", "0", 0
	}
	if v < 0 {
		sign, v = "-", -v
	}
	text := strconv.FormatFloat(v, 'e', max(digits, 1)-1, 64)
	figures, power, _ := strings.Cut(text, "e")
	e10, _ := strconv.Atoi(power)
	if prefixed {
		exp = 3 * int(math.Floor(float64(e10)/3))
		exp = min(max(exp, -12), 12)
	}
	m, _ := strconv.ParseFloat(figures, 64)
	m *= pow10(e10 - exp)
	decimals := max(digits-1-(e10-exp), 0)
	return sign, trimZeros(strconv.FormatFloat(m, 'f', decimals, 64)), exp
}

func trimZeros(s string) string {
	if !strings.Contains(s, ".") || strings.Contains(s, "e") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

func prefixSymbol(exp int) string {
	for _, p := range prefixes {
		if p.exp == exp {
			return p.symbol
		}
	}
	return ""
}
