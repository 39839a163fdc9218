package job

import (
	"foilside/internal/circuit"
	"foilside/internal/quantity"
)

// Mode is a meter function.
type Mode string

// The modes of a reading.
const (
	VoltsDC    Mode = "volts-dc"
	VoltsAC    Mode = "volts-ac"
	Ohms       Mode = "ohms"
	Continuity Mode = "continuity"
	Junction   Mode = "junction"
	AmpsDC     Mode = "amps-dc"
)

// Modes lists the meter functions.
func Modes() []string {
	return []string{"volts-dc", "volts-ac", "ohms", "continuity", "junction", "amps-dc"}
}

// Unit is the unit of a mode's readings; continuity has words instead.
func (m Mode) Unit() quantity.Unit {
	switch m {
	case Ohms:
		return quantity.Ohm
	case AmpsDC:
		return quantity.Ampere
	case Continuity:
		return quantity.None
	default:
		return quantity.Volt
	}
}

// Words of a reading's value.
const (
	overrange = "overrange"
	joined    = "joined"
	separate  = "separate"
)

// SeenWords are the words of a symptom that carry weight.
func SeenWords() []string {
	return []string{
		"normal", "dark", "dim", "bright", "stays lit", "lit at once", "flickers",
		"flashes slowly", "flashes fast", "silent", "weak", "distorted", "hum", "hot",
		"stands still", "does not stop", "does not move", "reads low", "reads high",
		"too slow", "too fast", "blows",
	}
}

// MeterClasses are the classes of meters.
func MeterClasses() []string { return []string{"digital", "valve", "analogue"} }

// MeterParams are what a person may say of a meter besides its class.
func MeterParams() []circuit.Param {
	amount := func(name, doc string, units ...quantity.Unit) circuit.Param {
		return circuit.Param{Name: name, Doc: doc, Units: units}
	}
	return []circuit.Param{
		amount("input", "input resistance on volts", quantity.Ohm),
		amount("sensitivity", "of an analogue meter: input resistance for each volt of the range", quantity.OhmPerVolt),
		amount("range", "full scale on volts that it is set to", quantity.Volt),
		amount("rated", "highest voltage it may be put to", quantity.Volt),
		amount("accuracy", "limits on volts, either way", quantity.Percent),
		amount("digits", "counts of the last figure added to the limits", quantity.None),
		amount("open circuit", "voltage of its ohms function with nothing connected", quantity.Volt),
		amount("test current", "of its ohms function into a short", quantity.Ampere),
		amount("ohms accuracy", "limits on ohms, either way", quantity.Percent),
		amount("highest ohms", "above which it shows overrange", quantity.Ohm),
		amount("junction current", "of its junction function", quantity.Ampere),
		amount("junction limit", "above which its junction function shows overrange", quantity.Volt),
		amount("joined below", "resistance under which continuity says joined", quantity.Ohm),
		amount("series resistance", "that it adds on amps", quantity.Ohm),
		amount("highest amps", "full scale of its highest current range", quantity.Ampere),
		amount("amps accuracy", "limits on amps, either way", quantity.Percent),
		amount("bandwidth", "frequency at which its volts-ac function shows 3 dB too little", quantity.Hertz),
		amount("probe", "ratio of a high-voltage probe before it, like 1000", quantity.None),
		{Name: "red on ohms", Doc: "polarity of its red lead on ohms", Words: []string{"positive", "negative"}},
		{Name: "responding", Doc: "what its volts-ac function answers to", Words: []string{"rms", "average"}},
	}
}

// settingsOf are the words a state may set a kind to; a control takes a number
// from 0 to 1 instead. Nil: the kind can't be set.
func settingsOf(k circuit.Kind) []string {
	switch k {
	case circuit.Battery, circuit.Supply, circuit.Signal:
		return []string{"on", "off"}
	case circuit.Switch:
		return []string{"open", "closed"}
	case circuit.Changeover:
		return []string{"no", "nc"}
	}
	return nil
}
