import { describe, expect, test } from 'vitest';
import type { KindInfo } from '../api/types';
import { asking, draftOf, fresh, leadsOf, nextRef, partOf, placeFrom, placeText } from './draft';

const param = (name: string) => ({ name, doc: '', unit: 'Ω', sample: '', words: [], default: '' });
const kind = (name: string, letter: string, leads: string[], windings = false): KindInfo => ({
  kind: name,
  letter,
  noun: name,
  leads,
  params: ['value', 'poles'].map(param),
  windings,
});
const npn = kind('npn', 'Q', ['c', 'b', 'e']);
const transformer = kind('transformer', 'T', [], true);
const changeover = kind('changeover', 'S', ['c', 'no', 'nc']);

describe('a draft', () => {
  test('takes the first free reference', () => {
    expect(nextRef('R', ['R1', 'R3', 'C2'])).toBe('R2');
  });

  test('asks for one lead after the other and becomes the part', () => {
    const d = fresh(npn, []);
    expect(asking(d, npn)).toBe('c');
    d.places = { c: { at: [1, 2] }, b: { joint: [3, 4] } };
    expect(asking(d, npn)).toBe('e');
    d.places['e'] = { net: 'chassis' };
    expect(asking(d, npn)).toBeNull();
    d.params = { value: ' 4k7 ', poles: undefined, other: 'x' };
    expect(partOf(d, npn)).toEqual({
      ref: 'Q1',
      kind: 'npn',
      params: [{ name: 'value', text: '4k7' }],
      leads: [
        { name: 'c', place: { at: [1, 2] } },
        { name: 'b', place: { joint: [3, 4] } },
        { name: 'e', place: { net: 'chassis' } },
      ],
    });
  });

  test('made from a part gives the same part again', () => {
    const d = fresh(npn, []);
    d.places = { c: { net: 'x' }, b: { net: 'y' }, e: { net: 'z' } };
    const part = partOf(d, npn);
    expect(partOf(draftOf(part, npn), npn)).toEqual(part);
  });

  test('of a transformer has two leads for each winding', () => {
    expect(leadsOf(fresh(transformer, []), transformer)).toEqual([
      'primary.1',
      'primary.2',
      'secondary.1',
      'secondary.2',
    ]);
  });

  test('of a contact with two poles repeats its leads', () => {
    const d = fresh(changeover, []);
    d.params['poles'] = '2';
    expect(leadsOf(d, changeover)).toEqual(['c', 'no', 'nc', 'c.b', 'no.b', 'nc.b']);
  });
});

test.each([
  ['a net', 'chassis', { net: 'chassis' }],
  ['a place on the component side', '412, 318', { at: [412, 318] }],
  ['a joint', 'joint 10.5, 7', { joint: [10.5, 7] }],
])('%s reads back as written', (_name, text, place) => {
  expect(placeFrom(text)).toEqual(place);
  expect(placeText(placeFrom(text))).toBe(text);
});
