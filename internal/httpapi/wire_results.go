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
	Confidence string     `json:"confidence,omitempty" doc:"what an automatic map rests on, in words"`
	Pairs      []PairFit  `json:"pairs" doc:"in the order of the job's pairs"`
	Spread     *Spread    `json:"spread,omitempty" doc:"absent where the pairs don't tell it"`
}

// Spread is how far the map may be off, in the middles of a grid of cells over
// the component photo, row by row.
type Spread struct {
	Columns int       `json:"columns"`
	Rows    int       `json:"rows"`
	OffPx   []float64 `json:"off_px" doc:"foil pixels that hold 95 % of the true places"`
	MMPerPx float64   `json:"mm_per_px,omitempty" doc:"of a foil pixel, where the job has a scale"`
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
	Width    int        `json:"width" doc:"of the foil photo"`
	Height   int        `json:"height"`
	Labels   Labels     `json:"labels"`
	Nets     []Net      `json:"nets" doc:"label n is net n-1"`
	Joints   []Joint    `json:"joints"`
	Doubtful []Doubtful `json:"doubtful" doc:"the place most worth checking first"`
}

// Labels tells which net each pixel is on, of a smaller copy of the foil photo.
type Labels struct {
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Step   int    `json:"step" doc:"photo pixels along a side of one pixel"`
	Runs   []byte `json:"runs" doc:"row after row, how many pixels and their label (0 for none), pair by pair, each number as LEB128"`
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
	Nets              [2]string `json:"nets" doc:"the same twice where it is taken as joined"`
	ProbabilityJoined float64   `json:"probability_joined"`
	Between           [2]Point  `json:"between" doc:"one place on either piece to put the test leads"`
}

// NetLook is one net of the copper looked at closely. Lengths in millimetres
// are there where the job has a scale.
type NetLook struct {
	Net        string      `json:"net"`
	Tracks     *Tracks     `json:"tracks,omitempty" doc:"absent where it has none"`
	Neighbours []Neighbour `json:"neighbours" doc:"the nearest first"`
}

// Tracks tells how wide a net's tracks are, pads left out.
type Tracks struct {
	UsualPx float64  `json:"usual_px"`
	UsualMM *float64 `json:"usual_mm,omitempty"`
	LeastPx float64  `json:"least_px"`
	LeastMM *float64 `json:"least_mm,omitempty"`
	Narrow  Point    `json:"narrow" doc:"the middle of the narrowest place"`
}

// Neighbour is a net that faces another, and where they come nearest.
type Neighbour struct {
	Net     string   `json:"net"`
	WidthPx float64  `json:"width_px"`
	WidthMM *float64 `json:"width_mm,omitempty"`
	From    Point    `json:"from" doc:"on the net itself"`
	To      Point    `json:"to" doc:"on the neighbour"`
}

// Checking is how the continuity checks of the copper stand.
type Checking struct {
	Check            *Check   `json:"check,omitempty" doc:"the one to take now; absent where none tells anything more"`
	List             []Check  `json:"list" doc:"what makes the nets sure if every answer is as expected"`
	Right            float64  `json:"right" doc:"probability that every net is right"`
	WrongNets        float64  `json:"wrong_nets" doc:"how many are expected to be wrong"`
	Enough           bool     `json:"enough" doc:"the checks may stop"`
	VerifyNeighbours int      `json:"verify_neighbours" doc:"checks that it takes without the photograph's word"`
	Unsettled        string   `json:"unsettled,omitempty" doc:"why the list doesn't make the nets sure"`
	Problems         []string `json:"problems" doc:"answers that can't be used, or that contradict the rest"`
}

// Check is one continuity check.
type Check struct {
	Red         string   `json:"red" doc:"the lead that stands there, R1.2, or the place: joint 412, 318"`
	Black       string   `json:"black"`
	RedAt       Point    `json:"red_at" doc:"on the foil photo"`
	BlackAt     Point    `json:"black_at"`
	Expect      string   `json:"expect" enum:"joined,separate"`
	Probability float64  `json:"probability_joined"`
	Why         string   `json:"why"`
	Caution     string   `json:"caution,omitempty" doc:"what may mislead here, and what to do about it"`
	Through     []string `json:"through" doc:"parts of few ohms that a beep may come through"`
	Doubts      []Point  `json:"doubts" doc:"the places in doubt that it is about"`
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

// Further is one more photograph of the foil side and whether it is used.
type Further struct {
	FurtherPhoto
	Width    int    `json:"width" doc:"0 where it can't be read"`
	Height   int    `json:"height"`
	Unusable string `json:"unusable" doc:"why it isn't used; empty: it is"`
	Next     string `json:"next" doc:"what to do about that"`
}

// Waves is a stretch of waveforms as a chart shows it.
type Waves struct {
	From     float64      `json:"from" doc:"s"`
	To       float64      `json:"to" doc:"s"`
	Whole    float64      `json:"whole" doc:"s, of the run"`
	Time     []float64    `json:"time" doc:"s, of the columns"`
	Traces   []Trace      `json:"traces"`
	Gaps     [][2]float64 `json:"gaps" doc:"stretches in which cycles were gone over"`
	Cautions []string     `json:"cautions"`
}

// Trace is one net over a stretch of time: in each column the least and the
// greatest that it reaches.
type Trace struct {
	Net  string    `json:"net"`
	Low  []float64 `json:"low" doc:"V to the common net"`
	High []float64 `json:"high"`
}

// WaveWish says what to follow over time and which stretch of it to show.
type WaveWish struct {
	For     string
	Watch   []string
	State   string
	Settled bool
	Leaps   bool
	From    float64
	To      float64
}

// Stages are the functional groups of the circuit, along the signal.
type Stages struct {
	Stages []Stage  `json:"stages"`
	Left   []string `json:"left" doc:"parts that belong to none"`
}

// Stage is one functional group.
type Stage struct {
	Name   string   `json:"name" doc:"what it is and the part that it is named for"`
	Parts  []string `json:"parts"`
	From   []string `json:"from" doc:"names of the stages that feed it a signal"`
	Within string   `json:"within,omitempty" doc:"name of the stage that it is part of"`
	Text   string   `json:"text" doc:"how it works, with figures computed from its parts"`
	Notes  []string `json:"notes" doc:"what looks wrong about it"`
}

// Expected is what a good unit reads.
type Expected struct {
	Unit      string   `json:"unit"`
	Nominal   *float64 `json:"nominal,omitempty" doc:"absent when over-range"`
	Low       *float64 `json:"low,omitempty" doc:"95 % band over the tolerances"`
	High      *float64 `json:"high,omitempty"`
	Unloaded  *float64 `json:"unloaded,omitempty" doc:"what it would be without the meter"`
	Overrange bool     `json:"overrange"`
	Joined    *bool    `json:"joined,omitempty" doc:"continuity only"`
	Hazard    Hazard   `json:"hazard"`
	Cautions  []string `json:"cautions"`
}

// Hazard is what could hurt at a place. It never says that a place is safe.
type Hazard struct {
	Voltage  float64  `json:"voltage" doc:"the greatest that may stand there"`
	Energy   float64  `json:"energy"`
	Care     bool     `json:"care" doc:"one hand away"`
	Danger   bool     `json:"danger" doc:"dangerous to touch"`
	MakeSafe bool     `json:"make_safe" doc:"the unit must be made safe first, by the steps"`
	Steps    []string `json:"steps"`
	Text     string   `json:"text" doc:"caution as a sentence"`
}

// Proposal is a reading worth taking next.
type Proposal struct {
	Mode        string    `json:"mode"`
	Red         string    `json:"red"`
	Black       string    `json:"black"`
	State       string    `json:"state"`
	Again       bool      `json:"again" doc:"repeats a reading that does not fit"`
	GainBits    float64   `json:"gain_bits"`
	CostSeconds float64   `json:"cost_seconds"`
	Why         string    `json:"why"`
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
	Next    []Proposal `json:"next"`
	Done    bool       `json:"done" doc:"the fault is found as well as readings can"`
	Deeds   []Deed     `json:"deeds" doc:"what else tells or cures, the most for its time first"`
	Verdict string     `json:"verdict" doc:"how it stands, in one sentence"`
}

// Deed is something to do that is no reading: lift a lead, clean a contact.
type Deed struct {
	Text    string  `json:"text"`
	Seconds float64 `json:"seconds"`
	Cure    float64 `json:"cure" doc:"chance that the unit works afterwards"`
}

// Suspect is a fault not yet excluded.
type Suspect struct {
	Part        string   `json:"part,omitempty"`
	Nets        []string `json:"nets,omitempty"`
	Lead        string   `json:"lead,omitempty"`
	Fault       string   `json:"fault"`
	Text        string   `json:"text" doc:"in words"`
	Probability float64  `json:"probability"`
	Group       int      `json:"group"`
}

// Suspects lists the suspects, most likely first.
type Suspects struct {
	Suspects []Suspect `json:"suspects"`
	Groups   []Group   `json:"groups" doc:"suspects that no reading allowed tells apart, likeliest first"`
	Healthy  float64   `json:"healthy"`
	Outside  float64   `json:"outside" doc:"probability that the fault is outside the model"`
	Beyond   []Beyond  `json:"beyond" doc:"what outside the list would explain the readings, likeliest first"`
	Verdict  string    `json:"verdict"`
	Notes    []string  `json:"notes" doc:"readings that do not fit or could not be weighed"`
}

// Beyond is a fault outside the list that would explain the readings.
type Beyond struct {
	Text        string  `json:"text"`
	Probability float64 `json:"probability"`
}

// Group is suspects that no reading allowed tells apart.
type Group struct {
	Group       int     `json:"group"`
	Probability float64 `json:"probability"`
	Text        string  `json:"text"`
	Apart       string  `json:"apart,omitempty" doc:"what else would tell them apart"`
}

// Store is one store of charge.
type Store struct {
	Part          string   `json:"part"`
	Voltage       float64  `json:"voltage"`
	Energy        float64  `json:"energy"`
	Charge        float64  `json:"charge"`
	SecondsToSafe *float64 `json:"seconds_to_safe"`
	Hazardous     bool     `json:"hazardous"`
	Caution       bool     `json:"caution"`
	Because       string   `json:"because" doc:"what the voltage is the worst of"`
}

// Charge is every store of charge and how to make the unit safe.
type Charge struct {
	Stores   []Store  `json:"stores"`
	Steps    []string `json:"steps"`
	Refusal  string   `json:"refusal,omitempty" doc:"why no guidance is given"`
	Cautions []string `json:"cautions"`
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
	Text      string   `json:"text" doc:"in words"`
	Source    string   `json:"source"`
	Notes     []string `json:"notes"`
}

// Quantity is a typed quantity as understood.
type Quantity struct {
	Value float64 `json:"value"`
	Text  string  `json:"text" doc:"as it will be written"`
}

// DemoReading is what the meter shows on a demonstration's unit, as a person
// would write it down.
type DemoReading struct {
	Value string `json:"value"`
}
