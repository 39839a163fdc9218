import type { Charge, Reading } from '../api/types';
import { modeOf } from '../words/modes';

/**
 * Whether a person must make the unit safe before the next reading: it is one
 * without power, something may hold a dangerous charge, and nobody has said
 * that it was made safe since the unit last had power. Unknown charge counts as
 * dangerous: better asked once too often.
 */
export function mustMakeSafe(
  charge: Charge | null,
  mode: string,
  readings: readonly Reading[],
  safeSince: number | null,
): boolean {
  if (modeOf(mode).powered) return false;
  if (charge && !charge.refusal && !charge.stores.some((s) => s.hazardous)) return false;
  if (safeSince === null || safeSince > readings.length) return true;
  return readings.slice(safeSince).some((r) => modeOf(r.mode).powered);
}
