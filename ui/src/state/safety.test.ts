import { describe, expect, test } from 'vitest';
import type { Charge } from '../api/types';
import { mustMakeSafe } from './safety';

const store = (hazardous: boolean) => ({
  part: 'C1',
  voltage: 400,
  energy: 8,
  charge: 0.04,
  seconds_to_safe: null,
  hazardous,
  caution: false,
  because: '',
});
const dangerous: Charge = { stores: [store(false), store(true)], steps: ['Wait.'], cautions: [] };
const harmless: Charge = { stores: [store(false)], steps: [], cautions: [] };

describe('making safe', () => {
  test.each([
    ['an unpowered reading with a dangerous charge', dangerous, 'ohms', undefined, true],
    ['a beep counts as unpowered', dangerous, 'continuity', undefined, true],
    ['a powered reading', dangerous, 'volts-dc', undefined, false],
    ['no dangerous charge', harmless, 'ohms', undefined, false],
    ['charge not known yet', null, 'ohms', undefined, true],
    ['guidance refused', { ...harmless, refusal: 'mains' }, 'ohms', undefined, true],
    ['made safe before', dangerous, 'ohms', '2026-01-02T12:00:00Z', false],
  ] as const)('%s', (_name, charge, mode, madeSafe, want) => {
    expect(mustMakeSafe(charge as Charge | null, mode, madeSafe)).toBe(want);
  });
});
