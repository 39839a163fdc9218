const prefixes: ReadonlyArray<[number, string]> = [
  [-12, 'p'],
  [-9, 'n'],
  [-6, 'µ'],
  [-3, 'm'],
  [0, ''],
  [3, 'k'],
  [6, 'M'],
  [9, 'G'],
];

/**
 * Writes a number in SI base units with a prefix and the given significant
 * digits. It only shows numbers; what a person types is read by the server.
 */
export function quantity(value: number, unit: string, digits = 3): string {
  if (value === 0) return unit ? `0 ${unit}` : '0';
  const rounded = Number(value.toExponential(digits - 1));
  const exponent = Math.floor(Math.log10(Math.abs(rounded)) / 3 + 1e-12) * 3;
  const kept = Math.min(9, Math.max(-12, exponent));
  const prefix = prefixes.find(([e]) => e === kept)?.[1] ?? '';
  const mantissa = String(Number((rounded / 10 ** kept).toPrecision(digits))).replace('-', '−');
  return prefix || unit ? `${mantissa} ${prefix}${unit}` : mantissa;
}

/** Writes a band: "4.2 V to 4.4 V". */
export function band(low: number, high: number, unit: string): string {
  return `${quantity(low, unit)} to ${quantity(high, unit)}`;
}

/** Writes a probability as whole per cent, never as a false 0 or 100. */
export function percent(p: number): string {
  if (p > 0 && p < 0.005) return '<\u00a01\u00a0%';
  if (p < 1 && p > 0.995) return '>\u00a099\u00a0%';
  return `${Math.round(p * 100)}\u00a0%`;
}

/** Writes how sure something is, with more digits the nearer it is to certain. */
export function sureness(p: number): string {
  const missing = 1 - p;
  if (missing >= 0.1) return percent(p);
  const digits = missing < 1e-4 ? 2 : Math.min(2, Math.ceil(-Math.log10(missing)) - 1);
  return missing < 5e-5 ? '>\u00a099.99\u00a0%' : `${(100 * p).toFixed(digits)}\u00a0%`;
}

/** Writes a time as a person says it. */
export function duration(seconds: number): string {
  if (seconds < 90) return `${Math.max(1, Math.round(seconds))} s`;
  if (seconds < 5400) return `${Math.round(seconds / 60)} min`;
  return `${Number((seconds / 3600).toPrecision(2))} h`;
}

/** Writes a length on the board in millimetres, or where no scale is known in photo pixels. */
export function length(px: number, mm?: number): string {
  if (mm === undefined) return `${Math.round(px)}\u00a0px`;
  return `${mm < 10 ? mm.toFixed(2) : mm.toFixed(1)}\u00a0mm`;
}

/** Writes a length in photo pixels. */
export function pixels(n: number): string {
  return `${n < 10 ? n.toFixed(1) : Math.round(n)} px`;
}
