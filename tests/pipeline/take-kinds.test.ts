import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { analyseProject } from '../../pipeline/analyse-project.ts';
import { compareProject } from '../../pipeline/compare.ts';
import { SILENT } from '../../pipeline/progress.ts';
import { readProject } from '../../pipeline/read.ts';
import { reportFolder } from '../../pipeline/report.ts';
import { writeSweep } from '../../pipeline/sweep-file.ts';
import { speech } from '../../projects/synthesis/clutter.ts';
import { seededRandom } from '../../projects/synthesis/random.ts';
import { decodeWav } from '../../src/audio/decode-wav.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { loudness } from '../../src/audio/loudness.ts';
import type { TakeResult } from '../../src/report/results.ts';
import { readResponse } from '../../src/room/read-response.ts';
import { convolve } from '../../src/signal/fft.ts';
import { DEFAULT_SWEEP } from '../../src/signal/sweep.ts';
import type { StageFinding, StageValue } from '../../src/statistics/finding.ts';
import { gaussian, recordSweep, roomResponse, talk } from '../signal/sweep-recording.ts';

const RATE_HZ = 16_000;
const SWEEP = { ...DEFAULT_SWEEP, level_dbfs: -24, f1_hz: 60, f2_hz: 7000, duration_s: 4, tail_s: 1, repeats: 1 };
const scratch = mkdtempSync(join(tmpdir(), 'decaybook-kinds-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** A project folder with these recordings, and this list of takes as YAML for each stage, null for the convention of folders. */
function project(
  name: string,
  {
    recordings,
    stages,
    more = '',
  }: { recordings: Record<string, Float64Array>; stages: Record<string, string | null>; more?: string },
): string {
  const folder = join(scratch, name);
  for (const [file, samples] of Object.entries(recordings)) {
    mkdirSync(dirname(join(folder, file)), { recursive: true });
    writeFileSync(join(folder, file), encodeWav(samples, RATE_HZ, 24));
  }
  const list = Object.entries(stages).map(
    ([id, takes]) => `  - {id: ${id}${takes === null ? '' : `, takes: ${takes}`}}`,
  );
  writeFileSync(
    join(folder, 'project.yaml'),
    ['decaybook: 1', 'title: Room', 'date: 2026-05-12', more, 'stages:', ...list, ''].join('\n'),
  );
  return folder;
}

async function analysed(folder: string) {
  const read = await readProject(folder);
  expect(read.diagnostics.filter(({ severity }) => severity === 'error')).toEqual([]);
  const { takes } = await analyseProject(read);
  return { ...compareProject(read.project!, takes), takes };
}

const codes = ({ faults }: TakeResult) => faults.map(({ code }) => code);

describe('a take of kind sweep', () => {
  const response = roomResponse({ rate_hz: RATE_HZ, decay_s: 0.4, seconds: 1, seed: 1 });
  const lead = Math.round(0.02 * RATE_HZ);
  const padded = new Float64Array(response.length + lead);
  padded.set(response, lead);
  const truth = readResponse(padded, { rate_hz: RATE_HZ, zero_sample: lead, widths: ['octave'] }).bands;
  const heard = { description: SWEEP, rate_hz: RATE_HZ, response, noise_db: -30, seed: 2 };

  function expectTruth(take: TakeResult): void {
    for (const { centre_hz, t20_s } of truth.filter((band) =>
      [125, 250, 500, 1000, 2000, 4000].includes(band.centre_hz),
    )) {
      const read = take.responses[0]!.bands.find((band) => band.width === 'octave' && band.centre_hz === centre_hz)!;
      expect(Math.abs(read.t20_s! / t20_s! - 1), `${centre_hz} Hz`).toBeLessThan(0.01);
    }
  }

  it('started and stopped by hand, after talk, with 1 % of distortion and noise at -30 dB, gives T20 within 1 %', async () => {
    const samples = recordSweep({ ...heard, seconds: 22, starts_s: [13.37], distortion: 0.01 });
    talk(12, RATE_HZ, 5).forEach((x, n) => {
      samples[n]! += 0.2 * x;
    });
    const folder = project('by-hand', { recordings: { 'recordings/bare/A/1.wav': samples }, stages: { bare: null } });
    await writeSweep(folder, SWEEP);
    const [take] = (await analysed(folder)).takes;
    expect(take).toMatchObject({ kind: 'sweep', used: true });
    expect(codes(take!)).toEqual(['kind-guessed']);
    expect(take!.responses.length).toBe(1);
    expect(Math.abs(take!.responses[0]!.onset_s - 13.37)).toBeLessThan(0.001);
    expectTruth(take!);
  });

  it('recorded with a clock 100 ppm fast gives T20 within 1 %, and says so', async () => {
    const samples = recordSweep({ ...heard, seconds: 8, starts_s: [1.1], clock_ppm: 100 });
    const takes = '[{files: recordings/bare/1.wav, position: A, kind: sweep}]';
    const folder = project('clock', { recordings: { 'recordings/bare/1.wav': samples }, stages: { bare: takes } });
    await writeSweep(folder, SWEEP);
    const [take] = (await analysed(folder)).takes;
    // No finer than one period of the sweep's top over its length can be told: what it then is off by shifts the top by less than that.
    expect(Math.abs(take!.clock_ppm! - 100)).toBeLessThan(1e6 / (SWEEP.f2_hz * SWEEP.duration_s));
    expectTruth(take!);
  });

  it('counts each repeat, or their mean where the project says average', async () => {
    const samples = recordSweep({ ...heard, seconds: 14, starts_s: [1, 6] });
    for (const [average, responses] of [
      ['', 2],
      [', average: true', 1],
    ] as const) {
      const takes = `[{files: recordings/bare/1.wav, position: A, kind: sweep${average}}]`;
      const folder = project('repeats', { recordings: { 'recordings/bare/1.wav': samples }, stages: { bare: takes } });
      await writeSweep(folder, { ...SWEEP, repeats: 2 });
      expect((await analysed(folder)).takes[0]!.responses.length).toBe(responses);
    }
  });

  it('is set aside, with the mend, where the description of the sweep is missing or damaged', async () => {
    const samples = recordSweep({ ...heard, seconds: 8, starts_s: [1] });
    const folder = project('undescribed', {
      recordings: { 'recordings/bare/A/1.wav': samples },
      stages: { bare: null },
    });
    const missing = (await analysed(folder)).takes[0]!;
    expect([missing.used, ...codes(missing)]).toEqual([false, 'undescribed', 'kind-guessed']);
    expect(missing.faults[0]!.message).toContain('put it back beside project.yaml');
    writeFileSync(join(folder, 'sweep.json'), '{}');
    const damaged = (await analysed(folder)).takes[0]!;
    expect(damaged.faults[0]!.message).toContain('sweep.json does not describe a sweep');
    rmSync(join(folder, 'sweep.json'));
    await writeSweep(folder, SWEEP);
    expect((await analysed(folder)).takes[0]!.used).toBe(true);
  });
});

/** Noise switched off `repeats` times in a room of one slope, over noise 55 dB below it. */
function interrupted({ repeats, decay_s, seed }: { repeats: number; decay_s: number; seed: number }): Float64Array {
  const noise = gaussian(seed);
  const period = Math.round(2.5 * RATE_HZ);
  const played = Float64Array.from({ length: period * repeats }, (_, n) => (n % period < 1.5 * RATE_HZ ? noise() : 0));
  const room = Float64Array.from({ length: Math.round(1.5 * decay_s * RATE_HZ) }, (_, n) => {
    return noise() * 10 ** ((-3 * n) / (RATE_HZ * decay_s));
  });
  const gain = 0.05 / Math.sqrt((RATE_HZ * decay_s) / 13.8155);
  return convolve(played, room)
    .subarray(0, played.length)
    .map((x) => gain * x + 0.05 * 10 ** (-55 / 20) * noise());
}

function t20Of(stage: StageFinding): StageValue {
  return stage.values.find(
    ({ quantity, width, centre_hz }) => quantity === 't20_s' && width === 'octave' && centre_hz === 1000,
  )!;
}

const boundOf = (stage: StageFinding) =>
  t20Of(stage).budget.find(({ source }) => source === 'bound')!.standard_uncertainty;

describe('takes of kind noise-off', () => {
  const decay_s = 0.4;
  // The places differ by more than theory alone would have them differ, so that the theoretical part stands by itself in the budget.
  const elsewhere_s = 0.52;
  const recordings = {
    'recordings/bare/A/1.wav': interrupted({ repeats: 3, decay_s, seed: 1 }),
    'recordings/bare/A/2.wav': interrupted({ repeats: 2, decay_s, seed: 2 }),
    'recordings/bare/B/1.wav': interrupted({ repeats: 3, decay_s: elsewhere_s, seed: 3 }),
    'recordings/bare/B/2.wav': Float64Array.from({ length: 6 * RATE_HZ }, gaussian(4)).map((x) => 0.01 * x),
  };
  const takes = '[{files: recordings/bare/*/*.wav, kind: noise-off}]';

  it('are averaged over all decays of a position, one reading each, with the uncertainty of that many decays', async () => {
    const folder = project('noise-off', { recordings, stages: { bare: takes } });
    const { takes: found, stages } = await analysed(folder);
    const read = await readProject(folder);
    const decays = found.map(({ responses }) => responses.map(({ decays, averaged_into }) => decays ?? averaged_into));
    const into = (position: string) => expect.stringMatching(`^recordings/bare/${position}/1.wav@1.(49|5)`);
    expect(decays).toEqual([[5, into('A'), into('A')], [into('A'), into('A')], [3, into('B'), into('B')], []]);
    const value = t20Of(stages[0]!);
    expect([value.responses, value.positions]).toEqual([2, 2]);
    expect(Math.abs(value.value! - (decay_s + elsewhere_s) / 2)).toBeLessThan(value.expanded_uncertainty!);
    // The theoretical part of the spread, five decays at one place and three at the other, against that of two impulse responses, which
    // count as ten each: 1 + 1.90/n, ISO 3382-2:2008, clause 7. The places weigh in inverse to their own T.
    const asImpulses = found.map((take) => ({
      ...take,
      responses: take.responses.map(({ decays: _, ...response }) => response),
    }));
    const bounds = [found, asImpulses].map((list) => boundOf(compareProject(read.project!, list).stages[0]!));
    const weighted = (1 + 1.9 / 5) / decay_s + (1 + 1.9 / 3) / elsewhere_s;
    const expected = Math.sqrt(weighted / (1 / decay_s + 1 / elsewhere_s) / (1 + 1.9 / 10));
    expect(Math.abs(bounds[0]! / bounds[1]! / expected - 1)).toBeLessThan(0.01);
  });

  it('are wanted again where no noise is switched off', async () => {
    const { takes: found } = await analysed(project('noise-off', { recordings, stages: { bare: takes } }));
    expect([found[3]!.used, ...codes(found[3]!)]).toEqual([false, 'no-event']);
    expect(found[3]!.faults[0]!.message).toContain('cut it dead');
  });
});

const ROOM = { before: roomOf(0.9, 11), after: roomOf(0.3, 12) };

function roomOf(decay_s: number, seed: number): Float64Array {
  return roomResponse({ rate_hz: RATE_HZ, decay_s, seconds: 1.2 * decay_s, seed });
}

/** Four claps of one sample's length in a room, over noise. */
function claps(room: Float64Array, seed: number): Float64Array {
  const noise = gaussian(seed);
  const samples = Float64Array.from({ length: 9 * RATE_HZ }, () => 1e-4 * noise());
  for (let clap = 0; clap < 4; clap++) {
    const start = Math.round((0.7 + 2 * clap) * RATE_HZ);
    room.forEach((x, n) => {
      samples[start + n]! += 0.5 * x;
    });
  }
  return samples;
}

function spoken(room: Float64Array, gain: number): Float64Array {
  const dry = speech(seededRandom('passage'), { seconds: 14, rate_hz: RATE_HZ });
  const noise = gaussian(7);
  return convolve(dry, room)
    .subarray(0, dry.length)
    .map((x) => gain * x + 1e-5 * noise());
}

describe('background, calibration and passage takes', () => {
  const noise = gaussian(8);
  const RMS = 1e-3;
  const TONE = 0.05;
  const folder = project('whole', {
    recordings: {
      'recordings/before/A/claps.wav': claps(ROOM.before, 1),
      'recordings/after/A/claps.wav': claps(ROOM.after, 2),
      'recordings/before/A/read.wav': spoken(ROOM.before, 0.1),
      'recordings/after/A/read.wav': spoken(ROOM.after, 0.02),
      'recordings/before/A/quiet.wav': Float64Array.from({ length: 12 * RATE_HZ }, () => RMS * noise()),
      'recordings/before/A/tone.wav': Float64Array.from({ length: 6 * RATE_HZ }, (_, n) => {
        return TONE * Math.sin((2 * Math.PI * 1000 * n) / RATE_HZ);
      }),
    },
    stages: {
      before: `[{files: recordings/before/A/claps.wav, position: A}, {files: recordings/before/A/read.wav, position: A, kind: passage}, {files: recordings/before/A/quiet.wav, position: A, kind: background}, {files: recordings/before/A/tone.wav, position: A, kind: calibration, level: 94}]`,
      after: null,
    },
    more: 'purpose: classroom\nroom: {length: 5, width: 4, height: 2.6}',
  });

  it('come out with the claps, in results.json, in the report and as clips of one loudness', async () => {
    const { status, results } = await reportFolder(folder, { pdf: false, progress: SILENT });
    expect(status).toBe(0);
    expect(results!.takes.map(({ kind, used }) => [kind, used])).toEqual([
      ['impulse', true],
      ['background', true],
      ['passage', true],
      ['calibration', true],
      ['impulse', true],
      ['passage', true],
    ]);

    // A sine of amplitude a has a mean square of a^2 / 2; white noise of variance v has 2 v B / rate in a band of width B.
    const { background } = results!.takes[1]!;
    const offset_db = 94 - 10 * Math.log10(TONE ** 2 / 2);
    expect(Math.abs(results!.takes[3]!.calibration!.offset_db - offset_db)).toBeLessThan(0.05);
    const octave = background!.octaves.find(({ centre_hz }) => centre_hz === 1000)!;
    const level_db = 10 * Math.log10((2 * RMS ** 2 * 707) / RATE_HZ);
    expect(Math.abs(octave.pressure_level_db! - (level_db + offset_db))).toBeLessThan(0.4);
    expect(background).toMatchObject({ responses: 4, calibrated_by: 'recordings/before/A/tone.wav', steady: true });
    const direct_db = results!.takes[0]!.responses[0]!.direct_db!;
    expect(octave.relative_db! - (level_db - direct_db + 10 * Math.log10(0.005))).toBeLessThan(0.4);
    expect(background!.level_dba).toBeGreaterThan(50);

    const change = results!.changes[0]!;
    expect(change.headline.verdict).toBe('reduced');
    expect(change.passages!.length).toBe(1);
    expect(change.passages![0]!.pause_change_db!).toBeLessThan(-3);
    expect(change.passages![0]!.spectrum.length).toBeGreaterThan(15);

    const heard = results!.listening!.find(({ matched_by }) => matched_by === 'loudness')!;
    const loud = heard.clips.map(({ file }) => {
      const decoded = decodeWav(readFileSync(join(folder, 'report', file)));
      if (!decoded.ok) throw new Error(decoded.message);
      return loudness(decoded.sound.channels, { rate_hz: RATE_HZ }).integrated_lufs!;
    });
    expect(Math.abs(loud[0]! - loud[1]!)).toBeLessThan(0.1);
    expect(readdirSync(join(folder, 'report', 'listen')).length).toBe(4);

    const rows = readFileSync(join(folder, 'report', 'results.csv'), 'utf8').split('\n');
    expect(rows.filter((row) => row.includes(',background,')).length).toBe(8 * 3 + 1);
    expect(rows.filter((row) => row.includes(',passage,')).length).toBe(2 * (24 + 2));

    const page = readFileSync(join(folder, 'report', 'report.html'), 'utf8');
    for (const id of ['passages-takes', 'passages-colour-A', 'background-levels', 'background-ratings']) {
      expect(page).toContain(`id="${id}"`);
    }
    // ANSI/ASA S12.60-2010 allows classrooms 35 dB(A); this noise is far over it.
    expect(page).toMatch(/That is over 35\sdB\(A\)/);
  });

  it('are wanted again where a calibrator has no level, and where five seconds of background are not there', async () => {
    const short = project('short', {
      recordings: {
        'recordings/bare/tone.wav': Float64Array.from(
          { length: 6 * RATE_HZ },
          (_, n) => 0.1 * Math.sin((2 * Math.PI * 1000 * n) / RATE_HZ),
        ),
        'recordings/bare/quiet.wav': Float64Array.from({ length: 3 * RATE_HZ }, () => RMS * noise()),
      },
      stages: {
        bare: '[{files: recordings/bare/tone.wav, position: A, kind: calibration}, {files: recordings/bare/quiet.wav, position: A, kind: background}]',
      },
    });
    const { takes } = await analysed(short);
    expect(takes.map((take) => [take.used, ...codes(take)])).toEqual([
      [false, 'too-short'],
      [false, 'undescribed'],
    ]);
    expect(takes[0]!.faults[0]!.message).toContain('ten seconds');
    expect(takes[1]!.faults[0]!.message).toContain('write level: 94');
  });
});
