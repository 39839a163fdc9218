package job_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"foilside/internal/job"
)

// head makes the rows below jobs with something to refer to.
const head = `common: gnd
parts:
  R1: {kind: resistor, value: 4k7, leads: {1: a, 2: gnd}}
  B1: {kind: battery, voltage: 9 V, leads: {+: a, -: gnd}}
  S1: {kind: switch, leads: {1: a, 2: b}}
  K1: {kind: changeover, leads: {c: a, no: b, nc: gnd}}
  RV1: {kind: potentiometer, value: 10k, leads: {1: a, w: b, 2: gnd}}
`

// Each row is a text with faults, and the faults by line, column and words.
func TestNamesEveryFaultByPlace(t *testing.T) {
	part := func(s string) string { return "parts:\n  " + s + "\n" }
	for name, c := range map[string]struct {
		text string
		want []string // "line:column words"
	}{
		"unknown key":             {head + "unti: x\n", []string{`8:1 a job has no key "unti"; did you mean unit? (it takes unit,`}},
		"unknown key of a part":   {part("R1: {kind: resistor, vlaue: 4k7, leads: {1: a, 2: b}}"), []string{`2:24 part R1, a resistor, has no key "vlaue"; did you mean value?`}},
		"key of another kind":     {part("R1: {kind: resistor, gain: 100, leads: {1: a, 2: b}}"), []string{`2:24 part R1, a resistor, has no key "gain" (it takes kind, type, marking, value, tolerance, power`}},
		"unknown kind":            {part("R1: {kind: resistr, leads: {1: a, 2: b}}"), []string{`2:14 "resistr" is no kind of part; did you mean resistor?`}},
		"kind far from any":       {part("R1: {kind: bicycle, leads: {1: a, 2: b}}"), []string{`2:14 "bicycle" is no kind of part; expected resistor, thermistor`}},
		"no kind":                 {part("R1: {value: 4k7}"), []string{`2:7 part R1 has no kind`}},
		"value 4x7":               {part("R1: {kind: resistor, value: 4x7, leads: {1: a, 2: b}}"), []string{`2:31 value: "4x7" is not a resistance: "x7" is no unit of resistance (write it like 4.7 kΩ or 4k7)`}},
		"octal 010":               {part("R1: {kind: resistor, value: 010, leads: {1: a, 2: b}}"), []string{`2:31 value: "010" is not a resistance: a leading zero has no safe meaning`}},
		"below zero":              {part("R1: {kind: resistor, value: -4k7, leads: {1: a, 2: b}}"), []string{`2:31 value: "-4k7": value can't be below zero`}},
		"capacitor of nothing":    {part("C1: {kind: capacitor, value: 0, leads: {1: a, 2: b}}"), []string{`2:32 value: "0": value can't be zero`}},
		"old microfarads":         {part("C1: {kind: capacitor, value: 1.5 MF, leads: {1: a, 2: b}}"), []string{`2:32 value: "1.5 MF" is not a capacitance: on old parts MF means µF`}},
		"unit of something else":  {part("C1: {kind: capacitor, value: 10 V, leads: {1: a, 2: b}}"), []string{`2:32 value: "10 V" is not a capacitance`}},
		"word not in the list":    {part("Q1: {kind: npn, material: germanum, leads: {c: a, b: b, e: d}}"), []string{`2:29 material: "germanum" is no material; expected silicon, germanium, selenium or schottky; did you mean germanium?`}},
		"lead missing":            {part("Q1: {kind: npn, leads: {c: a, e: b}}"), []string{`2:26 lead b of Q1 is missing; an NPN transistor has leads c b e`}},
		"no leads":                {part("Q1: {kind: npn}"), []string{`2:7 the key leads is missing`}},
		"leads with nothing":      {part("Q1: {kind: npn, leads: }"), []string{`2:`}},
		"unknown lead":            {part("Q1: {kind: npn, leads: {c: a, b: b, E: d, e: d}}"), []string{`2:42 an NPN transistor has no lead "E"; it has c b e; did you mean e?`}},
		"lead on nothing":         {part("R1: {kind: resistor, leads: {1: a, 2: }}"), []string{`2:40 found nothing where a net's name is expected`}},
		"lead with two places":    {part("R1: {kind: resistor, leads: {1: a, 2: {at: [1, 2], joint: [1, 2]}}}"), []string{`2:41 found a group of keys where a net's name is expected`}},
		"lead with half a place":  {part("R1: {kind: resistor, leads: {1: a, 2: {at: [1]}}}"), []string{`2:46 found a list where a pixel is expected, like [412, 318]`}},
		"connector without leads": {part("J1: {kind: connector, leads: {}}"), []string{`2:32 part J1 has no leads; a connector needs at least one`}},
		"second pole missing":     {part("S1: {kind: switch, poles: 2, leads: {1: a, 2: b}}"), []string{`2:39 leads 1.b 2.b of S1 are missing; a switch has leads 1 2 1.b 2.b`}},
		"half a pole":             {part("S1: {kind: switch, poles: 1.5, leads: {1: a, 2: b}}"), []string{`2:29 poles: "1.5": poles must be a whole number`}},
		"winding of one lead":     {part("T1: {kind: transformer, windings: {p: {leads: [a], turns: 3}}}"), []string{`2:49 found a list where the two leads of winding p are expected`}},
		"winding without a ratio": {part("T1: {kind: transformer, windings: {p: {leads: [a, b]}}}"), []string{`2:7 winding p of T1 needs turns, or an inductance`}},
		"inductance of no winding": {part("T1: {kind: transformer, windings: {pri: {leads: [a, b], turns: 3}}, inductance: {pro: 1 mH}}"),
			[]string{`2:89 T1 has no winding "pro"; it has pri; did you mean pri?`}},
		"transformer with leads":                    {part("T1: {kind: transformer, windings: {p: {leads: [a, b], turns: 3}}, leads: {1: a}}"), []string{`2:69 part T1, a transformer, has no key "leads"`}},
		"part that is text":                         {part("R1: resistor"), []string{`2:7 found "resistor" where part R1 is expected`}},
		"parts missing":                             {"unit: x\n", []string{`1:1 warning: the key parts is missing: until there are parts, only the photographs can be worked on`}},
		"part twice":                                {head + "  R1: {kind: resistor, leads: {1: a, 2: b}}\n", []string{`8:3 "R1" stands twice`}},
		"section twice":                             {head + "common: a\n", []string{`8:1 "common" stands twice`}},
		"name with a line break":                    {part("\"R\\n1\": {kind: resistor, leads: {1: a, 2: b}}"), []string{`2:3 "R\n1" can't be a name`}},
		"state of an unknown part":                  {head + "states: {off: {B11: off}}\n", []string{`8:21 there is no part "B11"; did you mean B1?`}},
		"state of a part to come":                   {head + "states: {off: {PS7: off, X9: 0.3}}\n", []string{`8:21 warning: there is no part "PS7" yet; the setting is kept`, `8:30 warning: there is no part "X9" yet`}},
		"state of a part to come by a strange word": {head + "states: {off: {PS7: away}}\n", []string{`8:21 warning: there is no part "PS7" yet`, `8:21 "away" is no setting; expected on, off, open, closed, no or nc`}},
		"source set open":                           {head + "states: {off: {B1: open}}\n", []string{`8:20 "open" is no setting of B1, a battery; expected on or off`}},
		"switch set on":                             {head + "states: {off: {S1: on}}\n", []string{`8:20 "on" is no setting of S1, a switch; expected open or closed`}},
		"changeover set off":                        {head + "states: {off: {K1: off}}\n", []string{`8:20 "off" is no setting of K1, a changeover; expected no or nc`}},
		"control past its end":                      {head + "states: {off: {RV1: 1.2}}\n", []string{`8:21 1.2: a control's place on its track, from lead 1 to the wiper, must be from 0 to 1`}},
		"control by a word":                         {head + "states: {off: {RV1: half}}\n", []string{`8:21 found "half" where a control's place`}},
		"resistor in a state":                       {head + "states: {off: {R1: off}}\n", []string{`8:20 R1 is a resistor, which no state can set`}},
		"unknown class of meter":                    {head + "meters: {m: {class: analog}}\n", []string{`8:21 "analog" is no class of meter; expected digital, valve or analogue; did you mean analogue?`}},
		"meter without resistance":                  {head + "meters: {m: {input: 0}}\n", []string{`8:21 input: "0": input can't be zero`}},
		"symptom of an unknown part":                {head + "symptoms: [{part: LS1, seen: dark}]\n", []string{`8:19 warning: there is no part "LS1" yet, so the symptom carries no weight`}},
		"symptom without weight":                    {head + "symptoms: [{part: R1, seen: smells}]\n", []string{`8:29 warning: "smells" is kept and shown but carries no weight`}},
		"symptom nearly a word":                     {head + "symptoms: [{part: R1, seen: silet}]\n", []string{`8:29 warning: "silet" is kept and shown but carries no weight; did you mean silent?`}},
		"reading of a meter not described": {head + "readings: [{mode: ohms, red: a, meter: mine, value: 5}]\n",
			[]string{`8:40 no meter "mine" is described; describe it under meters, or leave the key away`}},
		"reading in an unknown state": {head + "readings: [{mode: ohms, red: a, state: of, value: 5}]\n", []string{`8:40 no state "of" is described`}},
		"reading at an unknown net":   {head + "readings: [{mode: ohms, red: gmd, value: 5}]\n", []string{`8:30 warning: no lead is on net "gmd"; did you mean gnd?`}},
		"unknown mode":                {head + "readings: [{mode: volts, red: a, value: 5 V}]\n", []string{`8:19 "volts" is no mode; expected volts-dc, volts-ac, ohms, continuity, junction or amps-dc`}},
		"reading in the wrong unit":   {head + "readings: [{mode: ohms, red: a, value: 5 V}]\n", []string{`8:40 value: "5 V" is not a resistance`}},
		"reading without a unit":      {head + "readings: [{mode: volts-dc, red: a, value: 5}]\n", []string{`8:44 value: "5" is not a voltage: the unit is missing`}},
		"continuity in ohms":          {head + "readings: [{mode: continuity, red: a, value: 5}]\n", []string{`8:46 value: "5" is no continuity reading; expected joined or separate`}},
		"overrange spelt wrong":       {head + "readings: [{mode: ohms, red: a, value: overange}]\n", []string{`8:40 value: "overange" is not a resistance: it does not begin with a number (write it like 4.7 kΩ or 4k7); did you mean overrange?`}},
		"reading without black":       {"parts: {}\nreadings: [{mode: ohms, red: {joint: [1, 2]}, value: 5}]\n", []string{`2:12 black is missing, and the job names no common to take for it`}},
		"work at no time":             {head + "work: [{time: yesterday, did: looked}]\n", []string{`8:15 "yesterday" is no time; write it like 2026-11-25T14:30:00Z (RFC 3339)`}},
		"photo outside the folder":    {head + "photos: {foil: ../other/b.jpg}\n", []string{`8:16 "../other/b.jpg" can't be a photo's file name: it must lie in the folder of the job's text`}},
		"photo at the root":           {head + "photos: {foil: /b.jpg}\n", []string{`8:16 "/b.jpg" can't be a photo's file name: it must lie beside the job's text`}},
		"photo over the text":         {head + "photos: {foil: job.yaml}\n", []string{`8:16 "job.yaml" can't be a photo's file name: such names are kept for the job itself`}},
		"a further photo twice":       {head + "photos: {foil: b.jpg, further: [c.jpg, {file: B.jpg, backlit: yes}]}\n", []string{`8:9 "B.jpg" stands twice among the photos`}},
		"a further photo half lit":    {head + "photos: {further: [{file: c.jpg, backlit: half}]}\n", []string{`8:43 "half" is no answer`}},
		"one photo for both sides":    {head + "photos: {component: a.jpg, foil: A.jpg}\n", []string{`8:9 both photos are "a.jpg"`}},
		"scale of no length":          {head + "scale: {from: [1, 1], to: [1, 1], mm: 5}\n", []string{`8:8 from and to are the same pixel`}},
		"scale of nothing":            {head + "scale: {from: [1, 1], to: [2, 1], mm: 0}\n", []string{`8:39 0: a distance in mm must be from 0.001 to 100000`}},
		"pixel of words":              {head + "align: [{component: [1, x], foil: [1, 2]}]\n", []string{`8:25 found "x" where a pixel's y is expected: a plain number`}},
		"pixel in octal":              {head + "align: [{component: [1, 010], foil: [1, 2]}]\n", []string{`8:25 found "010" where a pixel's y is expected: a plain number; a leading zero has no safe meaning`}},
		"pixel in hexadecimal":        {head + "align: [{component: [1, 0x10], foil: [1, 2]}]\n", []string{`8:25 found "0x10" where a pixel's y is expected: a plain number`}},
		"pixel out of this world":     {head + "align: [{component: [1, 1e300], foil: [1, 2]}]\n", []string{`8:25 1e300: a pixel's y must be from -1e+06 to 1e+06`}},
		"pixel that is no number":     {head + "align: [{component: [1, .nan], foil: [1, 2]}]\n", []string{`8:25 found ".nan" where a pixel's y is expected`}},
		"list where a group is due":   {head + "copper: [1]\n", []string{`8:9 found a list where copper is expected`}},
		"group where a list is due":   {head + "align: {component: [1, 2]}\n", []string{`8:8 found a group of keys where a list of point pairs is expected`}},
		"all faults at once": {"unti: x\nparts:\n  R1: {kind: resistor, value: 4x7, leads: {1: a}}\n  Q1: {kind: nnp}\nstates:\n  off: {B9: off}\n", []string{
			`1:1 a job has no key "unti"`, `3:31 value: "4x7"`, `3:43 lead 2 of R1 is missing`, `4:14 "nnp" is no kind of part; did you mean npn?`, `6:13 warning: there is no part "B9" yet`}},
		"empty file":         {"", []string{`1:1 the file is empty; write a job into it, like`}},
		"only a comment":     {"# nothing here\n", []string{`1:1 the file is empty`}},
		"two documents":      {head + "---\nparts: {}\n", []string{`9:1 a second document begins here`}},
		"a sentence":         {"I will write this later.\n", []string{`1:1 found "I will write this later." where a job is expected`}},
		"a list":             {"- a\n- b\n", []string{`1:1 found a list where a job is expected`}},
		"an unclosed quote":  {"parts: {}\nunit: \"Radio\n", []string{`2:7 not readable as YAML: could not find end character of double-quoted text`}},
		"an unclosed brace":  {"parts: {R1: {kind: resistor\n", []string{`1:`}},
		"a tab":              {"parts:\n\tR1: {}\n", []string{`2:`}},
		"a wrong indent":     {"unit: x\n  common: y\nparts: {}\n", []string{`1:7 not readable as YAML`}},
		"a merge key":        {"parts:\n  R1: &r {kind: resistor, leads: {1: a, 2: b}}\n  R2: {<<: *r}\n", []string{`3:8 the merge key << has no place in a job`, `3:7 part R2 has no kind`}},
		"an unknown alias":   {"parts:\n  R1: *r\n", []string{`2:7 the alias *r has no anchor`, `2:7 found nothing where part R1`}},
		"a binary file":      {"parts: {}\n\x00\x01\x02", []string{`2:1 this is no UTF-8 text`}},
		"Latin 1":            {"parts: {}\nunit: Verst\xe4rker\n", []string{`2:1 this is no UTF-8 text`}},
		"a job file as text": {"SQLite format 3\x00rest", []string{`1:1 this is a database and no text`}},
	} {
		t.Run(name, func(t *testing.T) {
			_, problems := job.ReadText([]byte(c.text), "")
			for _, want := range c.want {
				if !slices.ContainsFunc(problems, func(p job.Problem) bool { return strings.HasPrefix(said(p), want) }) {
					t.Errorf("want %s", want)
				}
			}
			if len(problems) != len(c.want) || t.Failed() {
				t.Errorf("%d problems, want %d:\n%v", len(problems), len(c.want), problems)
			}
		})
	}
}

func said(p job.Problem) string {
	s := fmt.Sprintf("%d:%d ", p.Line, p.Column)
	if p.Warning {
		s += "warning: "
	}
	return s + p.Text
}

func TestAProblemSaysWhereItIs(t *testing.T) {
	_, problems := job.ReadText([]byte("parts:\n  R1: {kind: resistor, value: 4x7, leads: {1: a, 2: b}}\n"), "amp.yaml")
	if got := problems[0].String(); !strings.HasPrefix(got, `amp.yaml:2:31: value: "4x7"`) {
		t.Errorf("got %s", got)
	}
	if got := problems[0].Path; got != "parts.R1.value" {
		t.Errorf("the path is %s", got)
	}
}

// Texts that look odd but say something clear.
func TestTakesOddSpellings(t *testing.T) {
	part := func(s string) string { return "parts: {" + s + "}" }
	value := func(name string) func(job.Document) string {
		return func(d job.Document) string {
			v, _ := d.Parts[0].Param(name)
			return fmt.Sprintf("%.4g", v)
		}
	}
	resistor := func(v string) string { return part("R1: {kind: resistor, value: " + v + ", leads: {1: a, 2: b}}") }
	capacitor := func(v string) string { return part("C1: {kind: capacitor, value: " + v + ", leads: {1: a, 2: b}}") }
	for name, c := range map[string]struct {
		text string
		got  func(job.Document) string
		want string
	}{
		"letter code":             {resistor("4k7"), value("value"), "4700"},
		"letter first":            {resistor("R47"), value("value"), "0.47"},
		"exponent":                {resistor("1e3"), value("value"), "1000"},
		"a wire of no resistance": {resistor("0"), value("value"), "0"},
		"ohm sign U+2126":         {resistor("4.7 k\u2126"), value("value"), "4700"},
		"ohm sign U+03A9":         {resistor("4.7 k\u03a9"), value("value"), "4700"},
		"micro sign U+00B5":       {capacitor("10 \u00b5F"), value("value"), "1e-05"},
		"micro sign U+03BC":       {capacitor("10 \u03bcF"), value("value"), "1e-05"},
		"letter u":                {capacitor("4u7"), value("value"), "4.7e-06"},
		"drop at a current":       {part("D1: {kind: diode, forward drop: 0.72 V at 5 mA, leads: {a: a, k: k}}"), func(d job.Document) string { a := d.Parts[0].Params[0].Amount; return fmt.Sprint(a.Value, *a.At) }, "0.72 0.005"},
		"quoted":                  {resistor(`"4k7"`), value("value"), "4700"},
		"JSON":                    {`{"parts":{"R1":{"kind":"resistor","value":"4k7","leads":{"1":"a","2":"b"}}}}`, value("value"), "4700"},
		"Windows line ends":       {"parts:\r\n  R1: {kind: resistor, value: 4k7, leads: {1: a, 2: b}}\r\n", value("value"), "4700"},
		"byte order mark":         {"\ufeff" + resistor("4k7"), value("value"), "4700"},
		"an anchor and its alias": {"parts:\n  R1: {kind: resistor, value: &v 4k7, leads: {1: a, 2: b}}\n  R2: {kind: resistor, value: *v, leads: {1: a, 2: b}}\n", func(d job.Document) string { return d.Parts[1].Params[0].Text }, "4k7"},
		"net called no":           {part("R1: {kind: resistor, leads: {1: no, 2: yes}}"), func(d job.Document) string { return string(d.Parts[0].Leads[0].Place.Net) }, "no"},
		"net called null":         {part(`R1: {kind: resistor, leads: {1: "null", 2: 12}}`), func(d job.Document) string { return string(d.Parts[0].Leads[0].Place.Net) }, "null"},
		"leads in a block":        {"parts:\n  C1:\n    kind: electrolytic\n    leads:\n      +: a\n      -: b\n", func(d job.Document) string { return string(d.Parts[0].Leads[1].Place.Net) }, "b"},
		"signs in lead names":     {part("U1: {kind: opamp, leads: {+in: a, -in: b, out: c, v+: d, v-: e}}"), func(d job.Document) string { return string(d.Parts[0].Leads[4].Name) }, "v-"},
		"two poles":               {part("S1: {kind: switch, poles: 2, leads: {1: a, 2: b, 1.b: c, 2.b: d}}"), func(d job.Document) string { return string(d.Parts[0].Leads[2].Place.Net) }, "c"},
		"empty sections":          {"parts:\nstates:\nreadings:\ncopper:\nphotos:\n", func(d job.Document) string { return fmt.Sprint(len(d.Parts)) }, "0"},
		"changeover thrown to no": {head + "states: {on: {K1: no}}", func(d job.Document) string { return string(d.States[0].Settings[0].Contact) }, "no"},
		"source that is on":       {head + "states: {on: {B1: on}}", func(d job.Document) string { return string(d.States[0].Settings[0].Form) }, "on"},
		"reading at a lead": {head + "readings: [{mode: ohms, red: R1.1, value: overrange}]", func(d job.Document) string {
			return fmt.Sprintf("%s %v", d.Readings[0].Red.Net, d.Readings[0].Value.Overrange)
		}, "R1.1 true"},
		"negative reading":          {head + "readings: [{mode: volts-dc, red: a, value: -0.31 V}]", func(d job.Document) string { return fmt.Sprint(d.Readings[0].Value.Amount.Value) }, "-0.31"},
		"negative supply":           {part("B1: {kind: supply, voltage: -12 V, leads: {+: a, -: b}}"), value("voltage"), "-12"},
		"pull-down threshold":       {part("Q1: {kind: jfet-n, threshold: -2 V, leads: {d: a, g: b, s: c}}"), value("threshold"), "-2"},
		"transfer in per cent":      {part("U1: {kind: optocoupler, transfer ratio: 50%, leads: {a: a, k: k, c: c, e: e}}"), value("transfer ratio"), "0.5"},
		"leakage as a current":      {part("C1: {kind: electrolytic, value: 1 µF, leakage: 5 µA, leads: {+: a, -: b}}"), func(d job.Document) string { return d.Parts[0].Params[1].Amount.Unit.String() }, "A"},
		"a joint on the foil":       {part("R1: {kind: resistor, leads: {1: {joint: [10, 20.5]}, 2: b}}"), func(d job.Document) string { return fmt.Sprint(*d.Parts[0].Leads[0].Place.Joint) }, "[10 20.5]"},
		"a time in another zone":    {head + "work: [{time: 2026-11-25T14:00:00+01:00, did: looked}]", func(d job.Document) string { return d.Work[0].Time.Format("15:04 MST") }, "13:00 UTC"},
		"parts in the order given":  {part("R9: {kind: resistor, leads: {1: a, 2: b}}, R1: {kind: resistor, leads: {1: a, 2: b}}"), func(d job.Document) string { return string(d.Parts[0].Ref) }, "R9"},
		"further photos":            {"photos: {further: [a.jpg, {file: b.jpg, backlit: yes}]}\nparts: {}", func(d job.Document) string { return fmt.Sprint(d.Photos.Further) }, "[{{a.jpg } false} {{b.jpg } true}]"},
		"photos in a folder":        {"photos: {foil: pictures/bottom.jpg}\nparts: {}", func(d job.Document) string { return d.Photos.Foil.File }, "pictures/bottom.jpg"},
		"text over several lines":   {"unit: |\n  Radio\n  of no brand\nparts: {}", func(d job.Document) string { return d.Unit }, "Radio\nof no brand\n"},
		"comments and blank lines":  {"# a job\n\nparts: # all of them\n\n  # the first\n  R1: {kind: resistor, leads: {1: a, 2: b}} # here\n", func(d job.Document) string { return string(d.Parts[0].Ref) }, "R1"},
		"an explicit document mark": {"%YAML 1.2\n---\nparts: {}\n...\n", func(d job.Document) string { return fmt.Sprint(len(d.Parts)) }, "0"},
	} {
		t.Run(name, func(t *testing.T) {
			d, problems := job.ReadText([]byte(c.text), "")
			if len(problems) > 0 {
				t.Fatalf("problems: %v", problems)
			}
			if got := c.got(d); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
			again, problems := job.ReadText(job.WriteText(d), "")
			if len(problems) > 0 || c.got(again) != c.want {
				t.Errorf("written and read again it is %q, %v", c.got(again), problems)
			}
		})
	}
}

// Texts made to exhaust the reader are refused by what they would cost.
func TestRefusesTextsThatRunAway(t *testing.T) {
	bomb := "parts: {}\nunit: &a0 [x, x, x, x, x, x, x, x]\n"
	for i := range 12 {
		bomb += fmt.Sprintf("k%d: &a%d [%s*a%d]\n", i, i+1, strings.Repeat(fmt.Sprintf("*a%d, ", i), 7), i)
	}
	for name, c := range map[string]struct{ text, want string }{
		"aliases of aliases":  {bomb, "too much here"},
		"deep brackets":       {"parts: " + strings.Repeat("[", 100_000), "nested too deep"},
		"deep braces":         {"parts: " + strings.Repeat("{a: ", 100_000), "nested too deep"},
		"deep dashes":         {strings.Repeat("- ", 100_000), "nested too deep"},
		"deep indents":        {deepIndent(2000), "nested too deep"},
		"deep but not so bad": {"parts: " + strings.Repeat("[", 60) + strings.Repeat("]", 60), "too much here"},
		"a huge file":         {"parts: {}\n" + strings.Repeat("# nothing\n", 1<<20), "a job text has at most"},
	} {
		t.Run(name, func(t *testing.T) {
			_, problems := job.ReadText([]byte(c.text), "")
			if !slices.ContainsFunc(problems, func(p job.Problem) bool { return strings.Contains(p.Text, c.want) }) {
				t.Errorf("want %q, got %.5v", c.want, problems[:min(3, len(problems))])
			}
		})
	}
}

func deepIndent(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

func TestListsAtMostAHundredProblems(t *testing.T) {
	var b strings.Builder
	b.WriteString("parts:\n")
	for i := range 500 {
		fmt.Fprintf(&b, "  R%d: {kind: resistor, value: 4x7, leads: {1: a, 2: b}}\n", i)
	}
	if _, problems := job.ReadText([]byte(b.String()), ""); len(problems) != 100 {
		t.Errorf("%d problems", len(problems))
	}
}
