import { expect, test } from 'vitest';
import type { Expected } from '../api/types';
import { goodUnit, withUnit } from './modes';

test.each([
  ['bare volts', '4.31', 'volts-dc', '4.31 V'],
  ['negative volts', '-0.2', 'volts-dc', '-0.2 V'],
  ['volts with a unit stay', '310 mV', 'volts-dc', '310 mV'],
  ['a prefix alone is left to the reader', '310m', 'volts-dc', '310m'],
  ['ohms need none', '3k9', 'ohms', '3k9'],
  ['overrange is no number', 'overrange', 'ohms', 'overrange'],
])('%s', (_name, typed, mode, want) => {
  expect(withUnit(typed, mode)).toBe(want);
});

const hazard = { voltage: 0, energy: 0, care: false, danger: false, make_safe: false, steps: [], text: '' };
const expected = (e: Partial<Expected>): Expected => ({
  unit: 'V',
  overrange: false,
  hazard,
  cautions: [],
  ...e,
});

test.each([
  ['a band', expected({ low: 4.2, high: 4.4, nominal: 4.3 }), '4.2 V to 4.4 V'],
  ['beyond the range', expected({ overrange: true }), 'over range'],
  [
    'a band that runs out of the range',
    expected({ low: 1.5, overrange: true }),
    '1.5 V or more, up to over range',
  ],
  ['a beep', expected({ joined: true, low: 0, high: 1 }), 'a beep'],
  ['no beep', expected({ joined: false, overrange: true }), 'no beep'],
])('a good unit: %s', (_name, e, want) => {
  expect(goodUnit(e)).toBe(want);
});
