// Generated from internal/httpapi by its tests; do not edit.

export interface Alignment {
  /** what an automatic map rests on, in words */
  confidence?: string;
  found: 'automatic' | 'points';
  lens: Lenses;
  /** row by row, component pixel to foil pixel, undistorted */
  matrix: [number, number, number, number, number, number, number, number, number];
  /** in the order of the job's pairs */
  pairs: PairFit[];
  residual_mm?: number;
  residual_px: number;
  /** absent where the pairs don't tell it */
  spread?: Spread;
}

export interface Answer {
  /** of the doubtful place */
  at: [number, number];
  joined: boolean;
}

export interface Beyond {
  probability: number;
  text: string;
}

export interface Brushed {
  /** what is there; false: bare board */
  copper: boolean;
  path: ([number, number])[];
  /** of the brush, foil pixels */
  width: number;
}

export interface Charge {
  cautions: string[];
  /** why no guidance is given */
  refusal?: string;
  steps: string[];
  stores: Store[];
}

export interface Check {
  black: string;
  black_at: [number, number];
  /** what may mislead here, and what to do about it */
  caution?: string;
  /** the places in doubt that it is about */
  doubts: ([number, number])[];
  expect: 'joined' | 'separate';
  probability_joined: number;
  /** the lead that stands there, R1.2, or the place: joint 412, 318 */
  red: string;
  /** on the foil photo */
  red_at: [number, number];
  /** parts of few ohms that a beep may come through */
  through: string[];
  why: string;
}

export interface Checking {
  /** the one to take now; absent where none tells anything more */
  check?: Check;
  /** the checks may stop */
  enough: boolean;
  /** what makes the nets sure if every answer is as expected */
  list: Check[];
  /** answers that can't be used, or that contradict the rest */
  problems: string[];
  /** probability that every net is right */
  right: number;
  /** why the list doesn't make the nets sure */
  unsettled?: string;
  /** checks that it takes without the photograph's word */
  verify_neighbours: number;
  /** how many are expected to be wrong */
  wrong_nets: number;
}

export interface Circuit {
  common: string;
  nets: CircuitNet[];
  problems: Trouble[];
}

export interface CircuitNet {
  /** the copper nets that make it */
  copper: string[];
  id: string;
  leads: LeadPlace[];
}

export interface Command {
  answer?: Answer;
  /** for brush */
  brushed?: Brushed;
  /** what is set, added, replaced or taken away */
  do: 'unit' | 'common' | 'scale' | 'pair' | 'sample' | 'brush' | 'cut' | 'join' | 'answer' | 'further' | 'net' | 'wire' | 'part' | 'state' | 'meter' | 'reading' | 'symptom' | 'safe' | 'work' | 'hand';
  hand?: Hand;
  /** of the list's item to replace or take away; absent: add */
  index?: number;
  meter?: Meter;
  net?: NetName;
  pair?: Pair;
  part?: Part;
  reading?: Reading;
  /** take it away */
  remove?: boolean;
  sample?: Sample;
  scale?: Scale;
  state?: State;
  /** for cut and join */
  stroke?: Stroke;
  symptom?: Symptom;
  /** for unit and common; for safe, what the meter showed at last */
  text?: string;
  /** the reference or name that is replaced or taken away */
  was?: string;
  wire?: Wire;
  work?: Work;
}

export interface Copper {
  /** the place most worth checking first */
  doubtful: Doubtful[];
  height: number;
  joints: Joint[];
  labels: Labels;
  /** label n is net n-1 */
  nets: Net[];
  /** of the foil photo */
  width: number;
}

export interface Deed {
  /** chance that the unit works afterwards */
  cure: number;
  seconds: number;
  text: string;
}

export interface DemoReading {
  value: string;
}

export interface Doubtful {
  /** one place on either piece to put the test leads */
  between: [[number, number], [number, number]];
  /** the same twice where it is taken as joined */
  nets: [string, string];
  probability_joined: number;
  x: number;
  y: number;
}

export interface Event {
  /** 0 to 1 */
  done?: number;
  /** of the job, with changed */
  revision?: number;
  /** changed: the job has a new revision; the others tell of one long work */
  type: 'changed' | 'progress' | 'done' | 'failed';
  /** what is being done, or why it failed */
  what?: string;
  /** which work: align, copper, expect … */
  work?: string;
}

export interface Expected {
  cautions: string[];
  hazard: Hazard;
  high?: number;
  /** continuity only */
  joined?: boolean;
  /** 95 % band over the tolerances */
  low?: number;
  /** absent when over-range */
  nominal?: number;
  overrange: boolean;
  unit: string;
  /** what it would be without the meter */
  unloaded?: number;
}

export interface Further {
  /** with light from behind the board */
  backlit: boolean;
  height: number;
  name: string;
  /** what to do about that */
  next: string;
  /** why it isn't used; empty: it is */
  unusable: string;
  /** 0 where it can't be read */
  width: number;
}

export interface FurtherPhoto {
  /** with light from behind the board */
  backlit: boolean;
  name: string;
}

export interface Group {
  /** what else would tell them apart */
  apart?: string;
  group: number;
  probability: number;
  text: string;
}

export interface Hand {
  down?: number;
  /** anew: all parts are placed from nothing, nothing is pinned */
  move: 'move' | 'turn' | 'mirror' | 'pin' | 'free' | 'anew';
  /** references; a group is moved as one */
  parts: string[];
  /** of a move, in grid steps of 2.5 mm */
  right?: number;
  /** of the drawing that is worked on */
  standard?: 'iec' | 'ieee';
}

export interface Hazard {
  /** one hand away */
  care: boolean;
  /** dangerous to touch */
  danger: boolean;
  energy: number;
  /** the unit must be made safe first, by the steps */
  make_safe: boolean;
  steps: string[];
  /** caution as a sentence */
  text: string;
  /** the greatest that may stand there */
  voltage: number;
}

export interface Job {
  /** brush strokes, a later one over an earlier one */
  brushed: Brushed[];
  /** the net that readings refer to */
  common: string;
  cuts: Stroke[];
  /** name of the demonstration, whose unit can be measured by the program */
  demo?: string;
  /** name of the job file */
  file: string;
  /** what turned out to be wrong with it; for after the search */
  found?: string;
  /** more photographs of the foil side */
  further: FurtherPhoto[];
  joins: Stroke[];
  /** when the unit was made safe, RFC 3339; absent where it was not, or has had power since */
  made_safe?: string;
  meters: Meter[];
  /** names given to copper */
  nets: NetName[];
  /** the same place marked on both photos */
  pairs: Pair[];
  parts: Part[];
  photos: Photo[];
  problems: Trouble[];
  readings: Reading[];
  /** what redo would bring back; empty: nothing */
  redo: string;
  /** goes up by one with every change */
  revision: number;
  samples: Sample[];
  scale?: Scale;
  states: State[];
  /** what the owner of the demonstration's unit says */
  story?: string;
  symptoms: Symptom[];
  /** what undo would take back; empty: nothing */
  undo: string;
  unit: string;
  /** links that are not copper */
  wires: Wire[];
  /** pieces of work done on the unit */
  work: Work[];
}

export interface Joint {
  net: string;
  x: number;
  y: number;
}

export interface KindInfo {
  kind: string;
  /** empty: the part names its own */
  leads: string[];
  /** reference letter */
  letter: string;
  noun: string;
  params: ParamInfo[];
  windings: boolean;
}

export interface Labels {
  height: number;
  /** row after row, how many pixels and their label (0 for none), pair by pair, each number as LEB128 */
  runs: string;
  /** photo pixels along a side of one pixel */
  step: number;
  width: number;
}

export interface Lead {
  name: string;
  place: Place;
}

export interface LeadPlace {
  component?: [number, number];
  foil?: [number, number];
  lead: string;
  part: string;
}

export interface Lens {
  centre: [number, number];
  k1: number;
  norm: number;
}

export interface Lenses {
  component: Lens;
  foil: Lens;
}

export interface LogEntry {
  text: string;
  /** RFC 3339, UTC */
  time: string;
}

export interface Marking {
  kind: string;
  notes: string[];
  source: string;
  /** in words */
  text: string;
  tolerance: string;
  type: string;
  value: string;
}

export interface Meter {
  name: string;
  params: Param[];
}

export interface Neighbour {
  /** on the net itself */
  from: [number, number];
  net: string;
  /** on the neighbour */
  to: [number, number];
  width_mm?: number;
  width_px: number;
}

export interface Net {
  area_mm2?: number;
  area_px: number;
  id: string;
}

export interface NetLook {
  /** the nearest first */
  neighbours: Neighbour[];
  net: string;
  /** absent where it has none */
  tracks?: Tracks;
}

export interface NetName {
  at: [number, number];
  name: string;
}

export interface Next {
  /** what else tells or cures, the most for its time first */
  deeds: Deed[];
  /** the fault is found as well as readings can */
  done: boolean;
  next: Proposal[];
  /** how it stands, in one sentence */
  verdict: string;
}

export interface Outcome {
  probability: number;
  /** what would then be suspected */
  suspects: string[];
  /** the outcome in words */
  text: string;
}

export interface Pair {
  component: [number, number];
  foil: [number, number];
}

export interface PairFit {
  /** left out, since it does not fit the others */
  bad: boolean;
  residual_mm?: number;
  residual_px: number;
}

export interface Param {
  name: string;
  text: string;
}

export interface ParamInfo {
  default: string;
  doc: string;
  name: string;
  sample: string;
  unit: string;
  words: string[];
}

export interface Part {
  kind: string;
  leads: Lead[];
  /** what else stands on the body */
  marking?: string;
  note?: string;
  /** as written: value 4k7, voltage 25 V */
  params: Param[];
  ref: string;
  /** type number on the body */
  type?: string;
  windings?: Winding[];
}

export interface Photo {
  hash: string;
  height: number;
  name: string;
  side: 'component' | 'foil';
  /** of the upright photo */
  width: number;
}

export interface Place {
  /** on the component-side photo */
  at?: [number, number];
  /** on the foil-side photo */
  joint?: [number, number];
  /** a net by name, or a lead: R1.2 */
  net?: string;
}

export interface Problem {
  /** what is wrong, and where */
  detail: string;
  /** each bad field of the request */
  errors?: ProblemField[];
  kind: string;
  /** what to do about it */
  next?: string;
  status: number;
}

export interface ProblemField {
  text: string;
  where: string;
}

export interface Proposal {
  /** repeats a reading that does not fit */
  again: boolean;
  black: string;
  cost_seconds: number;
  gain_bits: number;
  hazard: Hazard;
  mode: string;
  outcomes: Outcome[];
  red: string;
  state: string;
  why: string;
}

export interface Quantity {
  /** as it will be written */
  text: string;
  value: number;
}

export interface Reading {
  /** empty: the common */
  black?: string;
  meter?: string;
  mode: 'volts-dc' | 'volts-ac' | 'ohms' | 'continuity' | 'junction' | 'amps-dc';
  /** of a check with a lead lifted: lifted */
  note?: string;
  red: string;
  state?: string;
  /** as typed: 4.31 V, overrange, joined, separate */
  value: string;
}

export interface Sample {
  at: [number, number];
  copper: boolean;
}

export interface Scale {
  from: [number, number];
  mm: number;
  on: 'component' | 'foil';
  to: [number, number];
}

export interface Setting {
  part: string;
  text: string;
}

export interface Spread {
  columns: number;
  /** of a foil pixel, where the job has a scale */
  mm_per_px?: number;
  /** foil pixels that hold 95 % of the true places */
  off_px: number[];
  rows: number;
}

export interface Stage {
  /** names of the stages that feed it a signal */
  from: string[];
  /** what it is and the part that it is named for */
  name: string;
  /** what looks wrong about it */
  notes: string[];
  parts: string[];
  /** how it works, with figures computed from its parts */
  text: string;
  /** name of the stage that it is part of */
  within?: string;
}

export interface Stages {
  /** parts that belong to none */
  left: string[];
  stages: Stage[];
}

export interface State {
  name: string;
  settings: Setting[];
}

export interface Store {
  /** what the voltage is the worst of */
  because: string;
  caution: boolean;
  charge: number;
  energy: number;
  hazardous: boolean;
  part: string;
  seconds_to_safe: number | null;
  voltage: number;
}

export interface Stroke {
  from: [number, number];
  to: [number, number];
}

export interface Suspect {
  fault: string;
  group: number;
  lead?: string;
  nets?: string[];
  part?: string;
  probability: number;
  /** in words */
  text: string;
}

export interface Suspects {
  /** what outside the list would explain the readings, likeliest first */
  beyond: Beyond[];
  /** suspects that no reading allowed tells apart, likeliest first */
  groups: Group[];
  healthy: number;
  /** readings that do not fit or could not be weighed */
  notes: string[];
  /** probability that the fault is outside the model */
  outside: number;
  suspects: Suspect[];
  verdict: string;
}

export interface Symptom {
  part: string;
  seen: string;
  state?: string;
}

export interface Trace {
  high: number[];
  /** V to the common net */
  low: number[];
  net: string;
}

export interface Tracks {
  least_mm?: number;
  least_px: number;
  /** the middle of the narrowest place */
  narrow: [number, number];
  usual_mm?: number;
  usual_px: number;
}

export interface Trouble {
  part?: string;
  text: string;
}

export interface Waves {
  cautions: string[];
  /** s */
  from: number;
  /** stretches in which cycles were gone over */
  gaps: ([number, number])[];
  /** s, of the columns */
  time: number[];
  /** s */
  to: number;
  traces: Trace[];
  /** s, of the run */
  whole: number;
}

export interface Winding {
  inductance?: string;
  name: string;
  resistance?: string;
  turns: string;
}

export interface Wire {
  from: Place;
  to: Place;
}

export interface Work {
  did: string;
  /** empty: the unit as a whole */
  part: string;
  /** RFC 3339; set when it is recorded */
  time?: string;
}

