package marking

import (
	"fmt"
	"regexp"
	"strings"

	"foilside/internal/circuit"
)

const (
	sourceJEDEC = "JEDEC type designation, EIA-370"
	sourcePro   = "Pro Electron type designation (US Navy NEETS module 7, p. 2-50)"
	sourceJIS   = "JIS C 7012 type designation"
	sourceOld   = "older European type designation"
	sourceShelf = "parts shelf"
)

var (
	jedec  = regexp.MustCompile(`^([1234])N([0-9]{2,5})([A-Z]*)$`)
	proEl  = regexp.MustCompile(`^([ABCR])([ABCDEFLNPQRSTUYZ])([A-Z]?)([0-9]{1,4})([A-Z]?)(?:[ -]?(.*))?$`)
	oldEur = regexp.MustCompile(`^O([ACY])([0-9]{2,3})$`)
	jis    = regexp.MustCompile(`^(2S|3S|1S)([A-K]?)([0-9]{2,4})([A-Z]*)$`)
	short  = regexp.MustCompile(`^([ABCDJK])([0-9]{3,4})([A-Z]?)$`)
	zenerV = regexp.MustCompile(`^([ABCDE])?([0-9]+V[0-9]*)$`)
)

// typeNumber reads a semiconductor's type number: from the shelf where it is
// known, else what its letters say.
func typeNumber(t string) []Reading {
	s := strings.ToUpper(strings.ReplaceAll(t, " ", ""))
	var out []Reading
	if e, ok := shelfEntry(s); ok {
		out = append(out, e.reading())
	}
	for _, read := range []func(string) []Reading{readJEDEC, readPro, readOld, readJIS, readShort} {
		for _, r := range read(s) {
			if len(out) == 0 || out[0].Type != r.Type || out[0].Kind != r.Kind {
				out = append(out, r)
			}
		}
	}
	return out
}

func typed(kind circuit.Kind, number, material, text, source string) Reading {
	return Reading{Kind: kind, Type: number, Material: material, Text: text, Source: source}
}

func readJEDEC(s string) []Reading {
	m := jedec.FindStringSubmatch(s)
	if m == nil {
		return nil
	}
	switch m[1] {
	case "1":
		return []Reading{typed(circuit.Diode, s, "", "diode; its list number says no more", sourceJEDEC)}
	case "2":
		return []Reading{
			typed(circuit.NPN, s, "", "transistor, thyristor or single-gate FET; look the number up", sourceJEDEC),
			typed(circuit.PNP, s, "", "transistor, thyristor or single-gate FET; look the number up", sourceJEDEC),
		}
	case "3":
		return []Reading{typed(circuit.MOSFETN, s, "", "four-lead device such as a dual-gate FET", sourceJEDEC)}
	default:
		return []Reading{typed(circuit.Optocoupler, s, "", "optocoupler, trade use", sourceJEDEC)}
	}
}

// readPro reads AC128, BD139, BZX79-C5V1: material, function, number.
func readPro(s string) []Reading {
	m := proEl.FindStringSubmatch(s)
	if m == nil {
		return nil
	}
	material := map[string]string{"A": "germanium", "B": "silicon", "C": "gallium arsenide", "R": "compound"}[m[1]]
	if m[2] == "Z" || strings.HasPrefix(s, "BZ") {
		return []Reading{proZener(s, m[6])}
	}
	type function struct {
		words string
		kinds []circuit.Kind
	}
	either := []circuit.Kind{circuit.NPN, circuit.PNP}
	f := map[string]function{
		"A": {"signal diode", []circuit.Kind{circuit.Diode}},
		"B": {"varicap diode", []circuit.Kind{circuit.Diode}},
		"C": {"small-signal transistor, low frequency", either},
		"D": {"power transistor, low frequency", either},
		"E": {"tunnel diode", []circuit.Kind{circuit.Diode}},
		"F": {"small-signal transistor, high frequency", either},
		"L": {"power transistor, high frequency", either},
		"N": {"optocoupler", []circuit.Kind{circuit.Optocoupler}},
		"P": {"light detector", []circuit.Kind{circuit.Photocell}},
		"Q": {"light emitter", []circuit.Kind{circuit.LED}},
		"R": {"low-power thyristor", []circuit.Kind{circuit.SCR}},
		"S": {"small switching transistor", either},
		"T": {"power thyristor", []circuit.Kind{circuit.SCR}},
		"U": {"power switching transistor", either},
		"Y": {"rectifier", []circuit.Kind{circuit.Diode}},
	}[m[2]]
	if material == "germanium" && m[2] == "C" || material == "germanium" && m[2] == "D" {
		f.kinds = []circuit.Kind{circuit.PNP, circuit.NPN} // most germanium types are PNP
	}
	var out []Reading
	for _, k := range f.kinds {
		out = append(out, typed(k, s, material, material+" "+f.words, sourcePro))
	}
	return out
}

// proZener reads the tail of a zener's number: C5V1 is 5.1 V within 5 %. The
// tolerance letters are from memory (A57).
func proZener(s, tail string) Reading {
	r := typed(circuit.Zener, s, "silicon", "silicon zener diode", sourcePro)
	m := zenerV.FindStringSubmatch(tail)
	if m == nil {
		return r
	}
	volts, err := parseVolts(m[2])
	if err != nil {
		return r
	}
	r.Value, r.Unit = &volts, "V"
	r.Amounts = map[string]float64{"zener voltage": volts}
	r.Text = fmt.Sprintf("silicon zener diode, %g V", volts)
	if tol, ok := map[string]float64{"A": .01, "B": .02, "C": .05, "D": .10, "E": .15}[m[1]]; ok {
		return r.withTolerance(tol)
	}
	return r
}

func readOld(s string) []Reading {
	m := oldEur.FindStringSubmatch(s)
	if m == nil {
		return nil
	}
	if m[1] == "C" {
		return []Reading{typed(circuit.PNP, s, "germanium", "germanium transistor, nearly always PNP", sourceOld)}
	}
	return []Reading{typed(circuit.Diode, s, "germanium", "diode", sourceOld)}
}

func readJIS(s string) []Reading {
	m := jis.FindStringSubmatch(s)
	if m == nil || (m[1] != "1S" && m[2] == "") {
		return nil
	}
	if m[1] == "1S" {
		return []Reading{typed(circuit.Diode, s, "", "diode", sourceJIS)}
	}
	if m[1] == "3S" {
		return []Reading{typed(circuit.MOSFETN, s, "", "dual-gate n-channel FET", sourceJIS)}
	}
	kind, words := jisKind(m[2])
	if kind == "" {
		return nil
	}
	return []Reading{typed(kind, s, "", words, sourceJIS)}
}

func jisKind(letter string) (circuit.Kind, string) {
	switch letter {
	case "A":
		return circuit.PNP, "PNP transistor, high frequency"
	case "B":
		return circuit.PNP, "PNP transistor, low frequency"
	case "C":
		return circuit.NPN, "NPN transistor, high frequency"
	case "D":
		return circuit.NPN, "NPN transistor, low frequency"
	case "F":
		return circuit.SCR, "thyristor"
	case "H":
		return circuit.UJT, "unijunction transistor"
	case "J":
		return circuit.JFETP, "p-channel FET"
	case "K":
		return circuit.JFETN, "n-channel FET"
	}
	return "", ""
}

// readShort reads C1815, whose "2S" is left off the body. A D-number may be
// 2SD or BD, so both are kept (A61).
func readShort(s string) []Reading {
	m := short.FindStringSubmatch(s)
	if m == nil {
		return nil
	}
	full := "2S" + s
	kind, words := jisKind(m[1])
	out := []Reading{typed(kind, full, "", words+"; the 2S is left off the body", sourceJIS+", trade use")}
	if e, ok := shelfEntry(full); ok {
		out[0] = e.reading()
	}
	if m[1] == "D" {
		out = append(out, typed(circuit.NPN, "B"+s, "silicon", "silicon power transistor, if the B is left off the body", sourcePro+", trade use"))
	}
	return out
}
