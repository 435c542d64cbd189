import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { SILENT } from '../../pipeline/progress.ts';
import { type Reported, reportFolder } from '../../pipeline/report.ts';
import { packageFolder } from '../../pipeline/resources.ts';
import { SCENARIOS } from '../../projects/synthesis/scenarios.ts';
import { synthesiseRecordings } from '../../projects/synthesise.ts';
import type { Results } from '../../src/report/results.ts';

const OCTAVES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
const scratch = mkdtempSync(join(tmpdir(), 'decaybook-flow-'));
const studio = join(scratch, 'narration-studio');
const quiet = { pdf: false, progress: SILENT };

const fingerprints = (folder: string) =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .sort()
    .filter((name) => statSync(join(folder, name)).isFile())
    .map(
      (name) =>
        `${name} ${createHash('sha256')
          .update(readFileSync(join(folder, name)))
          .digest('hex')}`,
    );

let first: Reported;
let results: Results;

beforeAll(async () => {
  for (const { folder } of SCENARIOS) {
    cpSync(join(packageFolder(), 'projects', folder), join(scratch, folder), {
      recursive: true,
      filter: (path) => !/[\\/](report|recordings|\.decaybook)$/.test(path),
    });
  }
  await synthesiseRecordings(scratch);
  first = await reportFolder(studio, quiet);
  results = first.results!;
}, 120_000);

afterAll(() => rmSync(scratch, { recursive: true, force: true }));

describe('reportFolder', () => {
  it('makes the whole report folder', () => {
    expect(first.status).toBe(0);
    const names = readdirSync(join(studio, 'report')).sort();
    expect(names).toEqual(['charts', 'issues.json', 'listen', 'report.html', 'results.csv', 'results.json']);
    const charts = readdirSync(join(studio, 'report', 'charts'));
    expect(charts).toContain('decay-by-band.svg');
    expect(charts).toContain('decay-by-band.vl.json');
    expect(readdirSync(join(studio, 'report', 'listen')).length).toBe(2 * results.changes.length);
  });

  // The recordings are synthesised with these decay times (projects/synthesis/scenarios.ts), so the truth is known. From 4 kHz
  // on the neighbouring octaves differ by 15 to 30 %: the skirts of any class 1 filter let the slower one in, and what the
  // band then truly decays with is between the two.
  it('holds the true decay time within its stated interval', () => {
    const truths = SCENARIOS[0]!.stages;
    const held = results.stages.flatMap((stage) =>
      stage.values
        .filter(({ quantity, width, value }) => quantity === 'tfull_s' && width === 'octave' && value !== null)
        .filter(({ centre_hz }) => centre_hz !== 'mid' && centre_hz <= 2000)
        .map(({ centre_hz, value, expanded_uncertainty }) => {
          const truth = truths.find(({ id }) => id === stage.id)!.decay_s[OCTAVES_HZ.indexOf(centre_hz as number)]!;
          return Math.abs(value! - truth) <= expanded_uncertainty!;
        }),
    );
    expect(held.length).toBeGreaterThanOrEqual(20);
    // 95 % intervals: of 24, four misses or more come up in 2.9 % of seeds (binomial).
    expect(held.filter((one) => !one).length).toBeLessThanOrEqual(3);
  });

  it('claims a change only in the direction in which there was one', () => {
    const truths = SCENARIOS[0]!.stages;
    const claimed = results.changes.flatMap((change) =>
      change.values
        .filter(({ verdict }) => verdict === 'reduced' || verdict === 'increased')
        .filter(({ quantity, width, centre_hz }) => quantity === 'tfull_s' && width === 'octave' && centre_hz !== 'mid')
        .map(({ centre_hz, verdict }) => {
          const band = OCTAVES_HZ.indexOf(centre_hz as number);
          const [before, after] = [change.from, change.to].map(
            (id) => truths.find((stage) => stage.id === id)!.decay_s[band]!,
          );
          return (verdict === 'reduced') === after! < before!;
        }),
    );
    expect(claimed.length).toBeGreaterThanOrEqual(12);
    expect(claimed).not.toContain(false);
  });

  it('sets the spoiled takes aside with the reason, and goes on', () => {
    const speech = results.takes.find(({ file }) => file === 'recordings/ceiling/A/03.wav')!;
    const set = [...speech.faults, ...speech.responses.flatMap(({ faults }) => faults)];
    expect(set.map(({ code }) => code)).toContain('events-too-close');
    const clipped = results.takes.find(({ file }) => file === 'recordings/curtains/B/03.wav')!;
    const found = [...clipped.faults, ...clipped.responses.flatMap(({ faults }) => faults)];
    expect(found.map(({ code }) => code)).toContain('clipped');
    expect(clipped.responses.some(({ used }) => used)).toBe(false);
  });

  it('gives the same bytes again, from kept results and from none, and leaves the recordings as they are', async () => {
    const bedroom = join(scratch, 'bedroom-vocals');
    const recordings = fingerprints(join(bedroom, 'recordings'));
    await reportFolder(bedroom, quiet);
    const reported = fingerprints(join(bedroom, 'report'));
    await reportFolder(bedroom, quiet);
    expect(fingerprints(join(bedroom, 'report'))).toEqual(reported);
    rmSync(join(bedroom, '.decaybook'), { recursive: true });
    await reportFolder(bedroom, quiet);
    expect(fingerprints(join(bedroom, 'report'))).toEqual(reported);
    expect(fingerprints(join(bedroom, 'recordings'))).toEqual(recordings);
  }, 60_000);

  it('leaves an earlier report whole when the project can no longer be reported', async () => {
    const before = fingerprints(join(studio, 'report'));
    const file = join(studio, 'project.yaml');
    const good = readFileSync(file, 'utf8');
    writeFileSync(file, good.replace('purpose: speech-recording', 'purpose: speech-recordin'));
    const failed = await reportFolder(studio, quiet);
    expect(failed.status).toBe(1);
    expect(failed.messages.map(({ file, line, severity }) => [file, line, severity])).toContainEqual([
      'project.yaml',
      10,
      'error',
    ]);
    expect(fingerprints(join(studio, 'report'))).toEqual(before);
    writeFileSync(file, good);
  });

  it('gives a plan, and no finding, for a project without recordings', async () => {
    const folder = join(scratch, 'empty');
    cpSync(join(packageFolder(), 'projects', 'bedroom-vocals', 'project.yaml'), join(folder, 'project.yaml'));
    const { status, results: none } = await reportFolder(folder, quiet);
    expect(status).toBe(0);
    expect(none!.changes).toEqual([]);
    expect(existsSync(join(folder, 'report', 'report.html'))).toBe(true);
  });

  it('cannot report a project whose recordings are all unusable, and says why for each', async () => {
    const folder = join(scratch, 'unusable');
    cpSync(join(packageFolder(), 'projects', 'bedroom-vocals', 'project.yaml'), join(folder, 'project.yaml'));
    cpSync(join(folder, 'project.yaml'), join(folder, 'recordings', 'before', 'desk', 'text.wav'));
    const { status, messages } = await reportFolder(folder, quiet);
    expect(status).toBe(1);
    expect(messages.map(({ file }) => file)).toEqual(expect.arrayContaining(['recordings/before/desk/text.wav']));
    expect(existsSync(join(folder, 'report'))).toBe(false);
  });
});
