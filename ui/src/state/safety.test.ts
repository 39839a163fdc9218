import { describe, expect, test } from 'vitest';
import type { Charge, Reading } from '../api/types';
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
const reading = (mode: Reading['mode']): Reading => ({ mode, red: 'a', value: '1 V' });

describe('making safe', () => {
  test.each([
    ['an unpowered reading with a dangerous charge', dangerous, 'ohms', [], null, true],
    ['a beep counts as unpowered', dangerous, 'continuity', [], null, true],
    ['a powered reading', dangerous, 'volts-dc', [], null, false],
    ['no dangerous charge', harmless, 'ohms', [], null, false],
    ['charge not known yet', null, 'ohms', [], null, true],
    ['guidance refused', { ...harmless, refusal: 'mains' }, 'ohms', [], null, true],
    ['made safe before', dangerous, 'ohms', [reading('volts-dc')], 1, false],
    [
      'made safe, unpowered readings since',
      dangerous,
      'ohms',
      [reading('volts-dc'), reading('ohms')],
      1,
      false,
    ],
    ['powered again since', dangerous, 'ohms', [reading('ohms'), reading('volts-dc')], 1, true],
    ['readings taken back since', dangerous, 'ohms', [], 3, true],
  ] as const)('%s', (_name, charge, mode, readings, since, want) => {
    expect(mustMakeSafe(charge as Charge | null, mode, [...readings], since)).toBe(want);
  });
});
