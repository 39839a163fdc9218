package diagnosis

// Cost prices a reading in seconds at the bench. All figures are common
// practice; only their ratios matter.
type Cost struct {
	Place     float64 // set one probe and read
	Reverse   float64 // change the probes over
	State     float64 // turn a switch or control
	PowerUp   float64 // connect, switch on, watch for smoke
	PowerDown float64 // switch off and wait
	Safe      float64 // make safe a hazardous store and check it
	Live      float64 // the risk of a slip on a powered unit, each reading
	Caution   float64 // the same with more than 30 V about
	Danger    float64 // the same with a hazardous voltage under the leads
	Near      float64 // the same with a hazardous store elsewhere in the unit
	Lift      float64 // lift a lead, measure the part alone, solder it back

	Resolder   float64 // go over the joints of a part
	Clean      float64 // clean or reseat a contact, or the board at one place
	Substitute float64 // put a good part across a suspected one
	Cool       float64 // chill a part and watch a reading
	Tap        float64 // tap a part and watch a reading
}

// DefaultCost are the prices taken where nothing is said.
func DefaultCost() Cost {
	return Cost{Place: 6, Reverse: 3, State: 6, PowerUp: 40, PowerDown: 10, Safe: 90, Live: 3, Caution: 10, Danger: 60, Near: 60, Lift: 150,
		Resolder: 60, Clean: 60, Substitute: 45, Cool: 45, Tap: 20}
}
