import { describe, expect, test, vi } from 'vitest';
import { Trouble } from '../api/client';
import { Result } from './result.svelte';

/** A question whose answer the test gives when it likes. */
function asked() {
  const calls: { signal: AbortSignal; answer: (v: number) => void; fail: (e: unknown) => void }[] = [];
  const result = new Result(
    (signal) => new Promise<number>((answer, fail) => calls.push({ signal, answer, fail })),
  );
  return { calls, result };
}

const settled = (): Promise<void> => vi.waitFor(() => undefined).then(() => Promise.resolve());

describe('a result', () => {
  test('is asked for once for a key, and anew for another, which gives the first up', async () => {
    const { calls, result } = asked();
    result.want(1);
    result.want(1);
    result.want(2);
    expect(calls.map((c) => c.signal.aborted)).toEqual([true, false]);
    calls[1]!.answer(22);
    calls[0]!.answer(11);
    await settled();
    expect([result.value, result.loading]).toEqual([22, false]);
  });

  test('that is stopped keeps what it had, and can be asked for again', async () => {
    const { calls, result } = asked();
    result.want(1);
    calls[0]!.answer(11);
    await settled();
    result.want(2);
    result.stop();
    expect(calls[1]!.signal.aborted).toBe(true);
    calls[1]!.fail(new DOMException('gone', 'AbortError'));
    await settled();
    expect([result.value, result.loading, result.stopped, result.trouble]).toEqual([11, false, true, null]);
    result.again();
    calls[2]!.answer(22);
    await settled();
    expect([result.value, result.stopped]).toEqual([22, false]);
  });

  test('that fails says why', async () => {
    const { calls, result } = asked();
    result.want(1);
    calls[0]!.fail(new Trouble('no photo', 'add one', 'not-yet'));
    await settled();
    expect([result.value, result.trouble?.message]).toEqual([null, 'no photo']);
  });

  test('that runs not is not stopped', () => {
    const { result } = asked();
    result.stop();
    expect(result.stopped).toBe(false);
  });
});
