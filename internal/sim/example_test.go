package sim_test

import (
	"context"
	"fmt"

	"foilside/internal/circuit"
	"foilside/internal/sim"
)

// A divider across a battery, good and with its lower resistor open.
func Example() {
	two := func(a, b circuit.NetID) []circuit.Lead {
		return []circuit.Lead{{Name: "1", Net: a}, {Name: "2", Net: b}}
	}
	c := &circuit.Circuit{Common: "chassis", Parts: []circuit.Part{
		{Ref: "B1", Kind: circuit.Battery, Amounts: map[string]circuit.Amount{"voltage": {Value: 9}},
			Leads: []circuit.Lead{{Name: "+", Net: "supply"}, {Name: "-", Net: "chassis"}}},
		{Ref: "R1", Kind: circuit.Resistor, Amounts: map[string]circuit.Amount{"value": {Value: 10e3}}, Leads: two("supply", "middle")},
		{Ref: "R2", Kind: circuit.Resistor, Amounts: map[string]circuit.Amount{"value": {Value: 5e3}}, Leads: two("middle", "chassis")},
	}}
	model, err := sim.Compile(c, sim.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, fault := range []sim.Variant{nil, {sim.Remove("R2")}} {
		at, err := model.OperatingPoint(context.Background(), circuit.State{}, sim.Run{Variant: fault})
		if err != nil {
			fmt.Println(err)
			return
		}
		v, _ := at.Voltage("middle")
		fmt.Printf("%.3f V\n", v)
	}
	// Output:
	// 3.000 V
	// 9.000 V
}
