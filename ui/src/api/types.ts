// Generated from internal/httpapi by its tests; do not edit.

export interface Alignment {
  found: 'automatic' | 'points';
  lens: Lenses;
  /** row by row, component pixel to foil pixel, undistorted */
  matrix: [number, number, number, number, number, number, number, number, number];
  /** in the order of the job's pairs */
  pairs: PairFit[];
  residual_mm?: number;
  residual_px: number;
}

export interface Charge {
  /** why no guidance is given */
  refusal?: string;
  steps: string[];
  stores: Store[];
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
  /** what is set, added, replaced or taken away */
  do: 'unit' | 'common' | 'scale' | 'pair' | 'sample' | 'cut' | 'join' | 'part' | 'state' | 'meter' | 'reading' | 'symptom';
  /** of the list's item to replace or take away; absent: add */
  index?: number;
  meter?: Meter;
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
  /** for unit and common */
  text?: string;
  /** the reference or name that is replaced or taken away */
  was?: string;
}

export interface Copper {
  /** the place most worth checking first */
  doubtful: Doubtful[];
  height: number;
  joints: Joint[];
  /** label n of the label picture is net n-1 */
  nets: Net[];
  /** of the foil photo, and of the label picture */
  width: number;
}

export interface Doubtful {
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
  hazard: Hazard;
  high: number;
  /** 95 % band over the tolerances */
  low: number;
  nominal: number;
  overrange: boolean;
  unit: string;
  /** what it would be without the meter */
  unloaded: number;
}

export interface Hazard {
  energy: number;
  hazardous: boolean;
  voltage: number;
  /** cautions as sentences */
  words: string[];
}

export interface Job {
  /** the net that readings refer to */
  common: string;
  cuts: Stroke[];
  /** name of the job file */
  file: string;
  joins: Stroke[];
  meters: Meter[];
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
  symptoms: Symptom[];
  /** what undo would take back; empty: nothing */
  undo: string;
  unit: string;
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

export interface Lead {
  at?: [number, number];
  name: string;
  net?: string;
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
  tolerance: string;
  type: string;
  value: string;
}

export interface Meter {
  name: string;
  params: Param[];
}

export interface Net {
  area_mm2?: number;
  area_px: number;
  id: string;
}

export interface Next {
  next: Proposal[];
  /** why no further reading is worth it */
  stop?: string;
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
  /** as written: value 4k7, voltage 25 V */
  params: Param[];
  ref: string;
  windings?: Winding[];
}

export interface Photo {
  hash: string;
  height: number;
  name: string;
  side: 'component' | 'foil';
  /** of the upright photo */
  width: number;
  work_height: number;
  /** of the copy that the page shows, at most 12 megapixels */
  work_width: number;
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
  black: string;
  cost_seconds: number;
  expected?: Expected;
  gain_bits: number;
  hazard: Hazard;
  meter?: string;
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

export interface State {
  name: string;
  settings: Setting[];
}

export interface Store {
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
}

export interface Suspects {
  healthy: number;
  notes: string[];
  /** probability that the fault is outside the model */
  outside?: number;
  suspects: Suspect[];
}

export interface Symptom {
  part: string;
  seen: string;
  state?: string;
}

export interface Trouble {
  part?: string;
  text: string;
}

export interface Winding {
  inductance?: string;
  name: string;
  resistance?: string;
  turns: string;
}

