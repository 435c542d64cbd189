import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const MAIN = fileURLToPath(new URL('../../dist/pipeline/main.js', import.meta.url));

/** What some work writes to standard output and standard error, as one text. */
export async function shownBy(work: () => unknown): Promise<string> {
  let shown = '';
  const streams = [process.stdout, process.stderr];
  const writes = streams.map((stream) => stream.write);
  const note = (text: string | Uint8Array): boolean => {
    shown += String(text);
    return true;
  };
  for (const stream of streams) stream.write = note as typeof stream.write;
  try {
    await work();
  } finally {
    streams.forEach((stream, i) => {
      stream.write = writes[i]!;
    });
  }
  return shown;
}

/** What the built program shows. */
export function shownByProgram(...args: string[]): string {
  const env = { ...process.env, FORCE_COLOR: '', DECAYBOOK_DEBUG: '' };
  const { stdout, stderr } = spawnSync(process.execPath, [MAIN, ...args], { encoding: 'utf8', env });
  return stdout + stderr;
}

/** What is wrong with a line that is to tell of a fault; null where nothing is. */
export function wrongWith(line: string): string | null {
  if (/undefined|\bNaN\b|\bInfinity\b|\[object |\bnull\b/.test(line)) return 'a value that was not had is in it';
  if (/^\s+at .*[:(]/m.test(line)) return 'a stack trace is in it';
  if (/[\p{Cc}]/u.test(line)) return 'a control character is in it';
  if (/\s$|[:;,]$|^[A-Z]:/.test(line)) return 'it is not finished';
  return null;
}

/** Whether a line says what to do: a part after a colon or semicolon, or a sentence of its own. */
export function saysTheMend(line: string): boolean {
  const message = line.replace(/^.*?: (?:error|warning|note): |^decaybook: /, '');
  return /[:;] \S+( \S+)|\. [A-Z]\w+ |\?$/.test(message);
}
