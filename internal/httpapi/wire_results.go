package httpapi

// The shapes of the results on the wire. Numbers are in SI base units, lengths
// in millimetres, as CONTRACT section 3 has them.

// Alignment maps the component-side photo onto the foil-side photo.
type Alignment struct {
	Matrix     [9]float64 `json:"matrix" doc:"row by row, component pixel to foil pixel, undistorted"`
	Lens       Lenses     `json:"lens"`
	ResidualPx float64    `json:"residual_px"`
	ResidualMM *float64   `json:"residual_mm,omitempty"`
	Found      string     `json:"found" enum:"automatic,points"`
	Pairs      []PairFit  `json:"pairs" doc:"in the order of the job's pairs"`
}

// Lenses holds the lens of each photo.
type Lenses struct {
	Component Lens `json:"component"`
	Foil      Lens `json:"foil"`
}

// Lens is one radial term: a point at undistorted radius r from the centre is
// seen at r·(1 + k1·(r/norm)²).
type Lens struct {
	Centre Point   `json:"centre"`
	Norm   float64 `json:"norm"`
	K1     float64 `json:"k1"`
}

// PairFit is how well one pair fits the others.
type PairFit struct {
	ResidualPx float64  `json:"residual_px"`
	ResidualMM *float64 `json:"residual_mm,omitempty"`
	Bad        bool     `json:"bad" doc:"left out, since it does not fit the others"`
}

// Copper is the foil side as nets.
type Copper struct {
	Width    int        `json:"width" doc:"of the foil photo, and of the label picture"`
	Height   int        `json:"height"`
	Nets     []Net      `json:"nets" doc:"label n of the label picture is net n-1"`
	Joints   []Joint    `json:"joints"`
	Doubtful []Doubtful `json:"doubtful" doc:"the place most worth checking first"`
}

// Net is one conductor of the foil side.
type Net struct {
	ID      string   `json:"id"`
	AreaMM2 *float64 `json:"area_mm2,omitempty"`
	AreaPx  float64  `json:"area_px"`
}

// Joint is a soldered place.
type Joint struct {
	X   float64 `json:"x"`
	Y   float64 `json:"y"`
	Net string  `json:"net"`
}

// Doubtful is a place where two nets may be one, or one two.
type Doubtful struct {
	X                 float64   `json:"x"`
	Y                 float64   `json:"y"`
	Nets              [2]string `json:"nets"`
	ProbabilityJoined float64   `json:"probability_joined"`
}

// Circuit is what the copper and the parts make.
type Circuit struct {
	Common   string       `json:"common"`
	Nets     []CircuitNet `json:"nets"`
	Problems []Trouble    `json:"problems"`
}

// CircuitNet is one net with the leads on it.
type CircuitNet struct {
	ID     string      `json:"id"`
	Copper []string    `json:"copper" doc:"the copper nets that make it"`
	Leads  []LeadPlace `json:"leads"`
}

// LeadPlace is a lead and where to touch it.
type LeadPlace struct {
	Part      string `json:"part"`
	Lead      string `json:"lead"`
	Foil      *Point `json:"foil,omitempty"`
	Component *Point `json:"component,omitempty"`
}

// Expected is what a good unit reads.
type Expected struct {
	Unit      string  `json:"unit"`
	Nominal   float64 `json:"nominal"`
	Low       float64 `json:"low" doc:"95 % band over the tolerances"`
	High      float64 `json:"high"`
	Unloaded  float64 `json:"unloaded" doc:"what it would be without the meter"`
	Overrange bool    `json:"overrange"`
	Hazard    Hazard  `json:"hazard"`
}

// Hazard is what could hurt at a place.
type Hazard struct {
	Hazardous bool     `json:"hazardous"`
	Voltage   float64  `json:"voltage"`
	Energy    float64  `json:"energy"`
	Words     []string `json:"words" doc:"cautions as sentences"`
}

// Proposal is a reading worth taking next.
type Proposal struct {
	Mode        string    `json:"mode"`
	Red         string    `json:"red"`
	Black       string    `json:"black"`
	State       string    `json:"state"`
	Meter       string    `json:"meter,omitempty"`
	GainBits    float64   `json:"gain_bits"`
	CostSeconds float64   `json:"cost_seconds"`
	Why         string    `json:"why"`
	Expected    *Expected `json:"expected,omitempty"`
	Hazard      Hazard    `json:"hazard"`
	Outcomes    []Outcome `json:"outcomes"`
}

// Outcome is one way a reading may come out, and what it would mean.
type Outcome struct {
	Text        string   `json:"text" doc:"the outcome in words"`
	Probability float64  `json:"probability"`
	Suspects    []string `json:"suspects" doc:"what would then be suspected"`
}

// Next is the list of readings worth taking, best first.
type Next struct {
	Next []Proposal `json:"next"`
	Stop string     `json:"stop,omitempty" doc:"why no further reading is worth it"`
}

// Suspect is a fault not yet excluded.
type Suspect struct {
	Part        string   `json:"part,omitempty"`
	Nets        []string `json:"nets,omitempty"`
	Lead        string   `json:"lead,omitempty"`
	Fault       string   `json:"fault"`
	Probability float64  `json:"probability"`
	Group       int      `json:"group"`
}

// Suspects lists the suspects, most likely first.
type Suspects struct {
	Suspects []Suspect `json:"suspects"`
	Healthy  float64   `json:"healthy"`
	Outside  *float64  `json:"outside,omitempty" doc:"probability that the fault is outside the model"`
	Notes    []string  `json:"notes"`
}

// Store is one store of charge.
type Store struct {
	Part          string   `json:"part"`
	Voltage       float64  `json:"voltage"`
	Energy        float64  `json:"energy"`
	Charge        float64  `json:"charge"`
	SecondsToSafe *float64 `json:"seconds_to_safe"`
	Hazardous     bool     `json:"hazardous"`
}

// Charge is every store of charge and how to make the unit safe.
type Charge struct {
	Stores  []Store  `json:"stores"`
	Steps   []string `json:"steps"`
	Refusal string   `json:"refusal,omitempty" doc:"why no guidance is given"`
}

// KindInfo is one kind of part, for the form that places it.
type KindInfo struct {
	Kind     string      `json:"kind"`
	Letter   string      `json:"letter" doc:"reference letter"`
	Noun     string      `json:"noun"`
	Leads    []string    `json:"leads" doc:"empty: the part names its own"`
	Params   []ParamInfo `json:"params"`
	Windings bool        `json:"windings"`
}

// ParamInfo is one parameter of a kind.
type ParamInfo struct {
	Name    string   `json:"name"`
	Doc     string   `json:"doc"`
	Unit    string   `json:"unit"`
	Sample  string   `json:"sample"`
	Words   []string `json:"words"`
	Default string   `json:"default"`
}

// Marking is what a marking on a part means.
type Marking struct {
	Kind      string   `json:"kind"`
	Value     string   `json:"value"`
	Tolerance string   `json:"tolerance"`
	Type      string   `json:"type"`
	Source    string   `json:"source"`
	Notes     []string `json:"notes"`
}

// Quantity is a typed quantity as understood.
type Quantity struct {
	Value float64 `json:"value"`
	Text  string  `json:"text" doc:"as it will be written"`
}
