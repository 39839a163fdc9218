/** Moves through a list by one step, round and round; −1 stands for none yet. */
export function step(at: number, by: 1 | -1, length: number): number {
  if (length === 0) return -1;
  if (at < 0) return by > 0 ? 0 : length - 1;
  return (at + by + length) % length;
}
