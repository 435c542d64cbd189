import { isDeepStrictEqual } from 'node:util';
import { printable } from '../src/project/diagnostic.ts';
import { DEFAULT_SWEEP, type SweepDescription, sweepDescriptionSchema } from '../src/signal/sweep.ts';
import { EXIT } from './exit.ts';
import { faultText } from './fault-text.ts';
import { readSweep, SWEEP_JSON, SWEEP_WAV, writeSweep } from './sweep-file.ts';
import { told } from './terminal.ts';

/** What may be asked for; the rest is as DEFAULT_SWEEP has it. */
export type SignalOptions = Partial<
  Pick<SweepDescription, 'f1_hz' | 'f2_hz' | 'duration_s' | 'tail_s' | 'rate_hz' | 'level_dbfs' | 'repeats'>
>;

/** The options of the command line, and what each sets. */
const OPTION_SETS: Record<string, keyof SignalOptions> = {
  seconds: 'duration_s',
  repeats: 'repeats',
  tail: 'tail_s',
  from: 'f1_hz',
  to: 'f2_hz',
  rate: 'rate_hz',
  level: 'level_dbfs',
};

/** As `signal`, from the values on the command line; one that is no number is a wrong command line. */
export async function signalCommand(folder: string, values: ReadonlyMap<string, string>): Promise<number> {
  const options: SignalOptions = {};
  for (const [name, text] of values) {
    const value = text.trim() === '' ? Number.NaN : Number(text);
    if (!Number.isFinite(value))
      return fail(EXIT.usage, `--${name} needs a number and is "${printable(text)}": write --${name} ${usual(name)}`);
    options[OPTION_SETS[name]!] = value;
  }
  return signal(folder, options);
}

function usual(option: string): number {
  return DEFAULT_SWEEP[OPTION_SETS[option]!];
}

/**
 * Runs `signal`: writes the sweep to play as a 24 bit WAV, and its description beside it, into a folder that exists. A sweep of another
 * description that is already there stays, since recordings of it can only be read with it.
 *
 * @returns the exit status.
 */
export async function signal(folder: string, options: SignalOptions = {}): Promise<number> {
  const parsed = sweepDescriptionSchema.safeParse({ ...DEFAULT_SWEEP, ...options });
  if (!parsed.success) {
    const first = parsed.error.issues[0]!;
    return fail(EXIT.usage, `no such sweep (${[...first.path, first.message].join(': ')}): choose other values`);
  }
  const sweep = parsed.data;
  const there = await readSweep(folder);
  if ('fault' in there)
    return fail(EXIT.failed, `${folder}: ${there.fault.file} ${there.fault.message}, or move it away`);
  if (there.sweep !== null && !isDeepStrictEqual(there.sweep, sweep)) {
    return fail(
      EXIT.failed,
      `${folder} holds another sweep, which its recordings are read with, and it was left as it is: move ${SWEEP_JSON} away first`,
    );
  }
  try {
    await writeSweep(folder, sweep);
  } catch (fault) {
    return fail(EXIT.failed, faultText(fault));
  }
  process.stdout.write(summary(folder, sweep));
  return EXIT.done;
}

function summary(folder: string, sweep: SweepDescription): string {
  const { f1_hz, f2_hz, duration_s, tail_s, lead_in_s, level_dbfs, repeats, rate_hz } = sweep;
  const total_s = Math.round(lead_in_s + repeats * (duration_s + tail_s));
  const times = repeats === 1 ? 'once' : `${repeats} times`;
  return [
    `Wrote the sweep to ${folder}.`,
    '',
    `  ${SWEEP_WAV}   ${f1_hz} Hz to ${f2_hz} Hz in ${duration_s} s, ${times}, ${tail_s} s of silence after each, ${total_s} s in all`,
    `              ${rate_hz} Hz, 24 bit, peak ${level_dbfs} dB relative to full scale`,
    `  ${SWEEP_JSON}  its description: keep it in the project folder, takes of kind sweep are read with it`,
    '',
    'Start recording, play the file to its end, wait five seconds, stop recording. Switch off effects and automatic gain on',
    'both machines. Begin with the volume low: the sweep goes on for seconds at one strength and can hurt ears and tweeters.',
    '',
  ].join('\n');
}

function fail(status: number, message: string): number {
  process.stderr.write(`${told(`decaybook: ${message}`, process.stderr)}\n`);
  return status;
}
