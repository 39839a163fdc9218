import { describe, expect, test } from 'vitest';
import { band, duration, length, percent, quantity } from './quantity';

describe('quantity', () => {
  test.each([
    ['a plain resistance', 4700, 'Ω', '4.7 kΩ'],
    ['rolls over when rounded', 999.96, 'Ω', '1 kΩ'],
    ['stays below when it may', 999.4, 'Ω', '999 Ω'],
    ['small', 0.000001, 'F', '1 µF'],
    ['negative', -0.0123, 'V', '−12.3 mV'],
    ['zero', 0, 'V', '0 V'],
    ['exact power', 1000, 'V', '1 kV'],
    ['smaller than the smallest prefix', 2e-14, 'A', '0.02 pA'],
    ['no unit', 290, '', '290'],
  ])('%s', (_name, value, unit, want) => {
    expect(quantity(value, unit)).toBe(want);
  });

  test('a band names both ends', () => {
    expect(band(4.2, 4.4, 'V')).toBe('4.2 V to 4.4 V');
  });

  test('a probability is never falsely certain', () => {
    expect([0, 0.001, 0.5, 0.999, 1].map((p) => percent(p).replaceAll('\u00a0', ' '))).toEqual([
      '0 %',
      '< 1 %',
      '50 %',
      '> 99 %',
      '100 %',
    ]);
  });

  test('a time is said as a person does', () => {
    expect([0.2, 40, 600, 7200].map(duration)).toEqual(['1 s', '40 s', '10 min', '2 h']);
  });
});

test.each<[string, number, number | undefined, string]>([
  ['in millimetres to a hundredth', 31, 0.618, '0.62\u00a0mm'],
  ['to a tenth where it is long', 600, 12.34, '12.3\u00a0mm'],
  ['in pixels without a scale', 30.6, undefined, '31\u00a0px'],
])('a length %s', (_name, px, mm, want) => {
  expect(length(px, mm)).toBe(want);
});
