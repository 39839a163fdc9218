import type { Expected } from '../api/types';
import { band, quantity } from './quantity';

/** The meter functions: what to set, the unit read, whether the unit is powered. */
export interface Mode {
  id: string;
  name: string;
  unit: string;
  powered: boolean;
  placeholder: string;
}

export const modes: readonly Mode[] = [
  { id: 'ohms', name: 'Ohms', unit: 'Ω', powered: false, placeholder: '3.9k' },
  { id: 'continuity', name: 'Continuity', unit: '', powered: false, placeholder: '' },
  { id: 'junction', name: 'Junction', unit: 'V', powered: false, placeholder: '0.62' },
  { id: 'volts-dc', name: 'Volts DC', unit: 'V', powered: true, placeholder: '4.31' },
  { id: 'volts-ac', name: 'Volts AC', unit: 'V', powered: true, placeholder: '1.2' },
  { id: 'amps-dc', name: 'Amps DC', unit: 'A', powered: true, placeholder: '12 mA' },
];

export function modeOf(id: string): Mode {
  return modes.find((m) => m.id === id) ?? { id, name: id, unit: '', powered: true, placeholder: '' };
}

/** How the person sets the meter, in one phrase. */
export function meterSetting(id: string): string {
  const settings: Record<string, string> = {
    ohms: 'Ω, lowest range that does not overrun',
    continuity: 'continuity, with the beep',
    junction: 'diode function',
    'volts-dc': 'V DC, highest range first',
    'volts-ac': 'V AC, highest range first',
    'amps-dc': 'A DC, meter in series',
  };
  return settings[id] ?? id;
}

/** The typed value with the mode's unit added where the person left it out. */
export function withUnit(text: string, mode: string): string {
  const typed = text.trim();
  const unit = modeOf(mode).unit;
  if (unit === '' || unit === 'Ω' || typed === '') return typed;
  return /^[+\-−]?[\d.,]+$/.test(typed) ? `${typed} ${unit}` : typed;
}

/** What a good unit reads, in words. */
export function goodUnit(e: Expected): string {
  if (e.joined !== undefined && e.joined !== null) return e.joined ? 'a beep' : 'no beep';
  const [low, high] = [e.low ?? null, e.high ?? null];
  if (e.overrange && low === null) return 'over range';
  if (low === null)
    return e.nominal === undefined || e.nominal === null ? 'not known' : quantity(e.nominal, e.unit);
  if (high === null) return `${quantity(low, e.unit)} or more, up to over range`;
  return band(low, high, e.unit);
}
