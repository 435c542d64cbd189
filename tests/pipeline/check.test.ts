import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { checkFolder } from '../../pipeline/check.ts';
import { checkText } from '../../pipeline/check-text.ts';
import { PLAIN } from '../../pipeline/terminal.ts';
import type { CheckSummary } from '../../src/report/check-summary.ts';
import { clapsWav } from './synthetic-take.ts';

let parent = '';
beforeAll(async () => {
  parent = await mkdtemp(join(tmpdir(), 'decaybook-check-'));
});
afterAll(async () => {
  await rm(parent, { recursive: true, force: true });
});

const TEXT =
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\nstages: [{id: bare, title: Bare room}, {id: felt}]\n';

async function project(name: string, files: Record<string, Uint8Array | string>): Promise<string> {
  const folder = join(parent, name);
  for (const [path, content] of Object.entries({ 'project.yaml': TEXT, ...files })) {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), content);
  }
  return folder;
}

describe('checkFolder', () => {
  test('is content with good claps, and counts them', async () => {
    const folder = await project('good', { 'recordings/bare/A/1.wav': clapsWav({ claps: 4, seed: 1 }) });
    const { status, summary } = await checkFolder(folder);
    expect(status).toBe(0);
    expect(summary?.stages[0]?.positions[0]).toMatchObject({ position: 'A', good: 4, wanted: 4 });
    expect(summary?.record_again).toEqual([]);
  });

  test('wants a file that is no sound again, sets a second copy aside, and keeps a take of silence', async () => {
    const good = clapsWav({ claps: 2, seed: 2 });
    const folder = await project('bad', {
      'recordings/bare/A/1.wav': good,
      'recordings/bare/A/2.wav': clapsWav({ claps: 0, seed: 3 }),
      'recordings/bare/A/3.wav': good,
      'recordings/felt/A/1.wav': 'no sound',
    });
    const { status, summary, takes } = await checkFolder(folder);
    expect(status).toBe(1);
    const states = summary?.stages.flatMap(({ positions }) => positions.flatMap((position) => position.takes));
    expect(states?.map(({ file, state }) => `${file} ${state}`)).toEqual([
      'recordings/bare/A/1.wav good',
      'recordings/bare/A/2.wav kept',
      'recordings/bare/A/3.wav set-aside',
      'recordings/felt/A/1.wav record-again',
    ]);
    expect(summary?.record_again).toEqual(['recordings/felt/A/1.wav']);
    expect(takes.map(({ used }) => used)).toEqual([true, true, false, false]);
  });

  test('leaves out what the project file sets aside, with its reason, and then uses the copy of it', async () => {
    const good = clapsWav({ claps: 2, seed: 2 });
    const folder = await project('aside', {
      'project.yaml': `${TEXT}set_aside: [{files: recordings/bare/A/1.wav, reason: the door stood open}]\n`,
      'recordings/bare/A/1.wav': good,
      'recordings/bare/A/2.wav': good,
    });
    const { status, summary, takes } = await checkFolder(folder);
    expect(status).toBe(0);
    expect(takes.map(({ used, faults }) => [used, faults.map(({ code }) => code)])).toEqual([
      [false, ['set-aside']],
      [true, ['kind-guessed']],
    ]);
    expect(checkText(summary!, PLAIN)).toContain(
      '    set aside     1.wav\n                  set aside in the project file: the door stood open\n',
    );
  });

  test('shows what takes show beside each other under the stages, marked in words', async () => {
    const message = 'from bare to felt the gain was changed: leave it alone';
    const summary: CheckSummary = {
      wanted: { positions: 1, responses: 1, effort: 'survey' },
      stages: [
        { id: 'bare', title: 'bare', complete: 1, positions: [{ position: 'A', good: 1, wanted: 1, takes: [] }] },
      ],
      record_again: [],
      remarks: [
        {
          code: 'outlier',
          severity: 'warn',
          message: `3.wav ${'disagrees '.repeat(9)}: record it again`,
          files: ['3.wav'],
        },
        { code: 'gain-changed', severity: 'note', message, files: [] },
      ],
    };
    const lines = checkText(summary, PLAIN).split('\n');
    expect(lines.filter((line) => /^(look into|note): /.test(line))).toHaveLength(2);
    expect(lines.every((line) => line.length <= 80)).toBe(true);
    expect(lines.at(-1)).toBe('Nothing must be recorded again, but look into what is said above.');
  });

  test('writes nothing but kept results', async () => {
    const folder = await project('quiet', { 'recordings/bare/A/1.wav': clapsWav({ claps: 1 }) });
    await checkFolder(folder);
    expect((await readdir(folder)).filter((name) => name !== '.decaybook').sort()).toEqual([
      'project.yaml',
      'recordings',
    ]);
  });

  test('gives status 1 and no summary where the project file is broken', async () => {
    const folder = await project('broken', { 'project.yaml': 'title: x\n' });
    expect(await checkFolder(folder)).toMatchObject({ status: 1, summary: null, takes: [] });
  });
});

describe('checkText', () => {
  const take = { kind: 'impulse' as const, faults: [] };
  const clipped = {
    code: 'clipped' as const,
    severity: 'reject' as const,
    message: 'clipped at 1.20 s: lower the gain by about 8 dB and record again, with the microphone where it was',
  };
  const summary: CheckSummary = {
    wanted: { positions: 2, responses: 4, effort: 'survey' },
    record_again: ['recordings/bare/A/2.wav'],
    remarks: [],
    stages: [
      {
        id: 'bare',
        title: 'Bare room',
        complete: 1,
        positions: [
          {
            position: 'A',
            good: 5,
            wanted: 4,
            takes: [
              { ...take, file: 'recordings/bare/A/1.wav', state: 'good', good: 5, found: 5 },
              { ...take, file: 'recordings/bare/A/2.wav', state: 'record-again', good: 0, found: 0, faults: [clipped] },
              { ...take, file: 'recordings/bare/A/3.wav', state: 'kept', good: 0, found: 0, kind: 'passage' },
            ],
          },
          {
            position: 'B',
            good: 1,
            wanted: 4,
            takes: [{ ...take, file: 'b/1.wav', state: 'caution', good: 1, found: 2 }],
          },
        ],
      },
      { id: 'felt', title: 'felt', complete: 0, positions: [] },
    ],
  };

  test('tells stage by stage what is good, what to record again and why, within 80 columns', () => {
    const text = checkText(summary, PLAIN);
    expect(text).toBe(
      [
        'bare: Bare room',
        '  position A: 5 good responses, 4 wanted: enough',
        '    good          1.wav, 5 responses',
        '    RECORD AGAIN  2.wav',
        '                  clipped at 1.20 s: lower the gain by about 8 dB and record',
        '                  again, with the microphone where it was',
        '    kept          3.wav, passage',
        '  position B: 1 good response, 4 wanted: record 3 more',
        '    caution       1.wav, 1 of 2 responses good',
        '  1 of 2 positions complete: record at 1 more',
        '',
        'felt',
        '  no recordings yet',
        '',
        '1 take to record again.',
      ].join('\n'),
    );
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  test('says a note once, with the takes it holds for', () => {
    const note = { code: 'channel-chosen' as const, severity: 'note' as const, message: 'channel 1 of 2 is used' };
    const offset = { code: 'dc-offset' as const, severity: 'note' as const, message: 'an offset was taken away' };
    const good = { ...take, state: 'good' as const, good: 4, found: 4 };
    const takes = [
      { ...good, file: 'a/1.wav', faults: [note, offset] },
      { ...good, file: 'a/2.wav', faults: [note] },
    ];
    const positions = [{ position: 'A', good: 8, wanted: 4, takes }];
    const stages = [{ id: 'bare', title: 'bare', complete: 1, positions }];
    expect(checkText({ ...summary, record_again: [], stages }, PLAIN)).toContain(
      '\n\nNotes\n  2 takes: channel 1 of 2 is used\n  a/1.wav: an offset was taken away\n\nNothing needs',
    );
  });

  test('says the same in the same words with colour', () => {
    const colour = (text: string): string => `\u001b[31m${text}\u001b[39m`;
    const painted = checkText(summary, { good: colour, caution: colour, bad: colour, strong: colour, faint: colour });
    expect(painted).not.toBe(checkText(summary, PLAIN));
    expect(painted.replaceAll('\u001b[31m', '').replaceAll('\u001b[39m', '')).toBe(checkText(summary, PLAIN));
  });
});
