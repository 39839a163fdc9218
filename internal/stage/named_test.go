package stage_test

import (
	"regexp"
	"strings"
	"testing"

	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// The short text knows no named parameters; these tests write some as
// NAME=VALUE: a transistor's gain, a UJT's ratio, a source's frequency.
var parameter = regexp.MustCompile(` (gain|ratio)=(\S+)| (\d+)Hz`)

func named(text string) string { return parameter.ReplaceAllString(text, "") }

func setNamed(t *testing.T, c *circuit.Circuit, text string) {
	t.Helper()
	names := map[string]string{"gain": "gain", "ratio": "intrinsic ratio", "": "frequency"}
	for _, line := range strings.Split(text, "\n") {
		for _, m := range parameter.FindAllStringSubmatch(line, -1) {
			v, err := quantity.Parse(m[2]+m[3], quantity.None)
			if err != nil {
				t.Fatal(err)
			}
			for i := range c.Parts {
				if string(c.Parts[i].Ref) == strings.Fields(line)[0] {
					c.Parts[i].Amounts[names[m[1]]] = circuit.Amount{Value: v}
				}
			}
		}
	}
}
