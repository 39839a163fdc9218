package meter_test

import (
	"context"
	"fmt"

	"foilside/internal/meter"
	"foilside/internal/sim"
)

// A meter of 10 MΩ on a divider of two times 1 MΩ.
func Example() {
	model, err := sim.Compile(divider(10, 1e6, 1e6), sim.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	q := meter.Query{Mode: meter.VoltsDC, Red: sim.OnNet("mid"), Black: sim.OnNet("gnd")}
	e, err := meter.Expect(context.Background(), model, q, meter.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("reads %.3f V, without the meter %.3f V\n", *e.Nominal, *e.Unloaded)
	// Output: reads 4.762 V, without the meter 5.000 V
}
