import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

/** The built program; `make build` makes it. */
export const binary = process.env['FOILSIDE'] ?? resolve(import.meta.dirname, '../../bin/foilside');

/** A folder of its own for one test, taken away at the end. */
export class Workplace {
  readonly folder = mkdtempSync(join(tmpdir(), 'foilside-'));
  private readonly running: ChildProcess[] = [];

  constructor() {
    if (!existsSync(binary)) throw new Error('the program is not built; run `make build` first');
  }

  /** Runs a verb to its end. */
  run(...args: string[]): string {
    return execFileSync(binary, args, { cwd: this.folder, encoding: 'utf8' });
  }

  /** Serves a bench and resolves to its address, which holds the token. */
  serve(...args: string[]): Promise<string> {
    const child = spawn(binary, [...args, '--no-open'], { cwd: this.folder });
    this.running.push(child);
    return new Promise((found, failed) => {
      let said = '';
      const hear = (data: Buffer): void => {
        said += data.toString();
        const address = /http:\/\/\S+/.exec(said)?.[0];
        if (address) found(address);
      };
      child.stdout?.on('data', hear);
      child.stderr?.on('data', hear);
      child.on('exit', (code) => failed(new Error(`foilside ended with ${code}: ${said}`)));
    });
  }

  async close(): Promise<void> {
    const ended = this.running.map((c) => new Promise((done) => c.on('exit', done)));
    this.running.forEach((c) => c.kill('SIGINT'));
    await Promise.all(ended);
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** Asks a bench's API from outside the browser, as a second meter on the bench would. */
export async function ask<T>(address: string, path: string): Promise<T> {
  const [origin, token] = address.split('/#');
  const response = await fetch(origin + path, { headers: { Authorization: `Bearer ${token}` } });
  if (!response.ok) throw new Error(`${path}: ${await response.text()}`);
  return (await response.json()) as T;
}
