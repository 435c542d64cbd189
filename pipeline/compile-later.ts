import { setFlagsFromString } from 'node:v8';

/** V8 of Node 20. Later ones wait longer by themselves, and name the setting otherwise. */
const EAGER = /^11\./;
/** Six times what it waits by default. Between 400 000 and a million nothing was seen to change. */
const BUDGET = 400_000;

/**
 * Has functions run for longer before they are compiled for speed. A command of a few seconds runs most of its code too seldom for that to
 * pay: a first report took a seventh less of the processor. For all threads; what was compiled before stays so.
 */
export function compileLater(version = process.versions.v8, set = setFlagsFromString): void {
  if (EAGER.test(version)) set(`--interrupt-budget=${BUDGET}`);
}
