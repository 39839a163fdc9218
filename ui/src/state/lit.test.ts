import { describe, expect, test } from 'vitest';
import type { Circuit, Copper, Stages } from '../api/types';
import { copperOfNet, jointsOf, netOfCopper, netOfPlace, partsOfStage } from './lit';

const lead = (part: string, name: string) => ({ part, lead: name });
const circuit: Circuit = {
  common: 'chassis',
  problems: [],
  nets: [
    { id: 'base', copper: ['N2', 'N5'], leads: [lead('R1', '2'), lead('Q1', 'b')] },
    { id: 'chassis', copper: ['N1'], leads: [lead('T1', 'primary.1')] },
  ],
};
const net = (id: string) => ({ id, area_px: 1 });
const copper: Copper = {
  labels: { width: 0, height: 0, step: 1, runs: '' },
  width: 1,
  height: 1,
  joints: [],
  doubtful: [],
  nets: ['N1', 'N2', 'N3', 'N5'].map(net),
};

describe('lighting a net', () => {
  test('copper is lit under the name of its circuit net, or its own', () => {
    expect([netOfCopper('N5', circuit), netOfCopper('N3', circuit), netOfCopper('N5', null)]).toEqual([
      'base',
      'N3',
      'N5',
    ]);
  });

  test('a piece of copper is not taken for a circuit net of the same name', () => {
    const same: Circuit = { ...circuit, nets: [{ id: 'N3', copper: ['N5'], leads: [] }] };
    expect([netOfCopper('N3', same), netOfCopper('N5', same)]).toEqual(['piece 3', 'N3']);
    expect([...copperOfNet('piece 3', copper, same)]).toEqual([2]);
  });

  test('lights every piece of copper that wires make one', () => {
    expect([...copperOfNet('base', copper, circuit)]).toEqual([1, 3]);
    expect([...copperOfNet('N3', copper, circuit)]).toEqual([2]);
    expect(copperOfNet(null, copper, circuit).size).toBe(0);
  });

  test.each([
    ['a net by name', 'base', 'base'],
    ['a lead', 'Q1.b', 'base'],
    ['a lead of a winding', 'T1.primary.1', 'chassis'],
    ['nothing of the kind', 'R9.1', undefined],
  ])('%s', (_name, place, want) => {
    expect(netOfPlace(place, circuit)?.id).toBe(want);
  });
});

describe('lighting a stage', () => {
  const stages: Stages = {
    left: [],
    stages: [
      { name: 'power source B1', parts: ['B1'], from: [], notes: [], text: '' },
      { name: 'common-emitter stage Q1', parts: ['Q1', 'R1'], from: [], notes: [], text: '' },
    ],
  };

  test('its parts are lit, and none when no stage is', () => {
    expect(partsOfStage('common-emitter stage Q1', stages)).toEqual(['Q1', 'R1']);
    expect(partsOfStage(null, stages)).toEqual([]);
    expect(partsOfStage('power source B1', null)).toEqual([]);
  });

  test('its joints are those leads that have a place on the foil photo', () => {
    const placed: Circuit = {
      ...circuit,
      nets: [
        {
          id: 'base',
          copper: [],
          leads: [
            { part: 'R1', lead: '2', foil: [3, 4] },
            lead('Q1', 'b'),
            { part: 'R1', lead: '1', foil: [5, 6] },
          ],
        },
      ],
    };
    expect(jointsOf(['Q1', 'R1'], placed)).toEqual([
      { at: [3, 4], role: 'lit-joint', label: 'R1' },
      { at: [5, 6], role: 'lit-joint', label: '' },
    ]);
    expect(jointsOf(['B1'], placed)).toEqual([]);
  });
});
