package bench

import (
	"context"
	"strings"

	"foilside/internal/charge"
	"foilside/internal/circuit"
)

// Replace says how a part is worked against its rating, and what may be fitted
// instead.
func (b *Bench) Replace(ctx context.Context, ref circuit.PartRef) (charge.Replacement, error) {
	built, err := b.Circuit(ctx)
	if err != nil {
		return charge.Replacement{}, err
	}
	if _, ok := built.Circuit.Part(ref); !ok {
		var refs []string
		for _, p := range built.Circuit.Parts {
			refs = append(refs, string(p.Ref))
		}
		return charge.Replacement{}, badf("there is no part %s in the circuit; it has %s", ref, strings.Join(refs, ", "))
	}
	r, err := charge.Replace(ctx, built.Circuit, ref, charge.Options{Shelf: b.shelf})
	return r, simFault(err)
}
