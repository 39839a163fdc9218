package stage_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"foilside/internal/circuit"
)

// Which stage feeds which, by a part of each; < leads back.
func TestFeeds(t *testing.T) {
	want := map[string]string{
		"two-stage RC-coupled amplifier":                 "Q1>Q2",
		"bridge rectifier supply":                        "D1>Q1",
		"complementary push-pull output":                 "Q1>Q2 Q2<Q1",
		"supply with pi filter and regulator":            "D1>R1 R1>Q1",
		"germanium radio output with driver transformer": "Q1>Q2",
		"Intercom amplifier, unbranded":                  "Q1>Q2",
		"precision full-wave rectifier":                  "U1>U2",
		"differential amplifier with current tail":       "Q3>Q1",
		"schmitt light switch with relay":                "Q1>Q3",
		"triangle generator":                             "U1>U2 U2<U1",
		"valve push-pull amplifier":                      "V1>V2 V2>V3",
		"two tuned stages and a detector":                "Q1>Q2 Q2>D1",
		"electric fence unit":                            "Q1>C1",
		"royer converter":                                "Q1>D1",
		"neon sawtooth with amplifier":                   "DS1>Q1",
		"bench supply from the transformer on":           "D1>U1 U1>U2",
		"audio power amplifier with driver pair":         "Q1>Q3 Q3>Q4 Q4<Q1",
	}
	for _, c := range everything(t) {
		text, ok := want[c.Name]
		if !ok {
			continue
		}
		delete(want, c.Name)
		found := find(t, c.Circuit)
		var got []string
		for _, e := range found.Feeds {
			sign := ">"
			if e.Back {
				sign = "<"
			}
			if !e.Power {
				got = append(got, fmt.Sprintf("%d%s%d", e.From, sign, e.To))
			}
		}
		for _, w := range strings.Fields(text) {
			i := strings.IndexAny(w, "<>")
			from, _ := found.Of(circuit.PartRef(w[:i]))
			to, _ := found.Of(circuit.PartRef(w[i+1:]))
			if !slices.Contains(got, fmt.Sprintf("%d%c%d", from, w[i], to)) {
				t.Errorf("%s: no feed %s (%d to %d) among %v", c.Name, w, from, to, got)
			}
			if w[i] == '>' && found.Stages[from].Rank >= found.Stages[to].Rank {
				t.Errorf("%s: %s does not lie before %s", c.Name, w[:i], w[i+1:])
			}
		}
	}
	for name := range want {
		t.Errorf("no circuit %q", name)
	}
}
