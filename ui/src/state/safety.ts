import type { Charge } from '../api/types';
import { modeOf } from '../words/modes';

/**
 * Whether a person must make the unit safe before the next reading: it is one
 * without power, something may hold a dangerous charge, and the job doesn't say
 * that it was made safe since the unit last had power. Unknown charge counts as
 * dangerous: better asked once too often.
 */
export function mustMakeSafe(charge: Charge | null, mode: string, madeSafe: string | undefined): boolean {
  if (modeOf(mode).powered || madeSafe) return false;
  return !charge || !!charge.refusal || charge.stores.some((s) => s.hazardous);
}
