package quantity

// Unit is the SI base unit that a number is counted in.
type Unit uint8

// The units that a job text knows.
const (
	None    Unit = iota // a plain number: gain, turns, a ratio
	Percent             // parsed to a ratio: 5 % is 0.05
	Volt
	Ampere
	Ohm
	Farad
	Henry
	Watt
	Second
	Hertz
	Joule
	Coulomb
	Siemens    // mutual conductance; mA/V is read as mS
	VoltSecond // saturation flux linkage; Wb is read as V·s
	OhmPerVolt // sensitivity of an analogue meter
	Celsius
	Metre
)

// unitInfo is what reading and writing need to know of a unit.
type unitInfo struct {
	symbol string   // as written
	names  []string // further spellings that are read
	word   string   // in a message: "a resistance"
	sample string   // an example for a message
	letter byte     // the letter that IEC 60062 puts at the decimal point, 0 if none
	prefix bool     // takes SI prefixes when written
}

func infoOf(u Unit) unitInfo {
	switch u {
	case Percent:
		return unitInfo{symbol: "%", word: "a percentage", sample: "5%"}
	case Volt:
		return unitInfo{symbol: "V", names: []string{"volt", "volts"}, word: "a voltage", sample: "4.31 V", letter: 'V', prefix: true}
	case Ampere:
		return unitInfo{symbol: "A", names: []string{"amp", "amps", "ampere"}, word: "a current", sample: "20 mA", letter: 'A', prefix: true}
	case Ohm:
		return unitInfo{symbol: "Ω", names: []string{"ohm", "ohms", "Ohm", "R"}, word: "a resistance", sample: "4.7 kΩ or 4k7", letter: 'R', prefix: true}
	case Farad:
		return unitInfo{symbol: "F", names: []string{"farad"}, word: "a capacitance", sample: "100 nF or 4u7", letter: 'F', prefix: true}
	case Henry:
		return unitInfo{symbol: "H", names: []string{"henry"}, word: "an inductance", sample: "220 µH", letter: 'H', prefix: true}
	case Watt:
		return unitInfo{symbol: "W", names: []string{"watt", "watts"}, word: "a power", sample: "0.5 W", letter: 'W', prefix: true}
	case Second:
		return unitInfo{symbol: "s", names: []string{"sec", "second", "seconds"}, word: "a time", sample: "20 ms", prefix: true}
	case Hertz:
		return unitInfo{symbol: "Hz", names: []string{"hz"}, word: "a frequency", sample: "1 kHz", prefix: true}
	case Joule:
		return unitInfo{symbol: "J", names: []string{"joule"}, word: "an energy", sample: "80 mJ", prefix: true}
	case Coulomb:
		return unitInfo{symbol: "C", names: []string{"coulomb"}, word: "a charge", sample: "45 µC", prefix: true}
	case Siemens:
		return unitInfo{symbol: "S", names: []string{"A/V"}, word: "a conductance", sample: "5 mS or 5 mA/V", prefix: true}
	case VoltSecond:
		return unitInfo{symbol: "V·s", names: []string{"Vs", "V s", "Wb"}, word: "a flux linkage", sample: "20 µV·s", prefix: true}
	case OhmPerVolt:
		return unitInfo{symbol: "Ω/V", names: []string{"ohm/V", "ohms/V"}, word: "a meter sensitivity", sample: "20 kΩ/V", prefix: true}
	case Celsius:
		return unitInfo{symbol: "°C", names: []string{"C", "degC"}, word: "a temperature", sample: "25 °C"}
	case Metre:
		return unitInfo{symbol: "m", word: "a length", sample: "2.5 mm", prefix: true}
	default:
		return unitInfo{word: "a plain number", sample: "290"}
	}
}

// String is the unit's symbol; empty for a plain number.
func (u Unit) String() string { return infoOf(u).symbol }

// Word says in a message what the unit measures: "a resistance".
func (u Unit) Word() string { return infoOf(u).word }

// Sample is a well-formed quantity of the unit, for a message.
func (u Unit) Sample() string { return infoOf(u).sample }
