import type { Suspect } from '../api/types';

const phrases: Record<string, string> = {
  open: 'open circuit',
  short: 'short circuit',
  leaky: 'leaky',
  'value-high': 'value too high',
  'value-low': 'value too low',
  'low-gain': 'low gain',
  'high-resistance': 'high resistance',
  stuck: 'stuck',
  'shorted-turns': 'shorted turns',
  'dry-joint': 'dry joint',
  bridge: 'bridged',
  dirt: 'dirt between',
  dead: 'dead',
  none: 'no fault',
};

/** The place and the failure of a suspect, as a list shows them. */
export function suspectWords(s: Suspect): { where: string; what: string } {
  const what = phrases[s.fault] ?? s.fault;
  if (!s.part) return { where: (s.nets ?? []).join(' – '), what };
  return { where: s.part, what: s.lead ? `${what} at ${s.lead}` : what };
}

/** The words for symptoms that carry weight. */
export const seenWords: readonly string[] = [
  'normal', 'dark', 'dim', 'bright', 'stays lit', 'lit at once', 'flickers', 'flashes slowly', 'flashes fast',
  'silent', 'weak', 'distorted', 'hum', 'hot', 'stands still', 'does not stop', 'does not move', 'reads low',
  'reads high', 'too slow', 'too fast', 'blows',
]; // prettier-ignore
