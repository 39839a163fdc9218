// Package quantity reads and writes numbers with units the way a bench does:
// "4.7 kΩ", "4k7", "R47", "100 nF", "4u7", "500 V", and the preferred-value
// series of IEC 60063.
//
// In:  text, and the unit the place asks for.
// Out: float64 in the SI base unit (volt, ampere, ohm, farad, …), or an
// *Error that says what was expected.
//
// The package never guesses: "1.5 MF" (a million farads, or an old maker's
// microfarads?) is refused with the reason.
package quantity
