import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  realpathSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { readdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { lock } from 'proper-lockfile';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { launchBrowser, NO_BROWSER } from '../../pipeline/browser.ts';
import { cannotWrite } from '../../pipeline/cannot-write.ts';
import { check } from '../../pipeline/check.ts';
import { readCommandLine } from '../../pipeline/command-line.ts';
import { decodeAudio } from '../../pipeline/decode.ts';
import { faultText } from '../../pipeline/fault-text.ts';
import { newCommand } from '../../pipeline/new.ts';
import { LARGEST_RECORDING_BYTES, openTake } from '../../pipeline/normalise.ts';
import { printWithAny } from '../../pipeline/pdf.ts';
import { report } from '../../pipeline/report-command.ts';
import { sandboxNote } from '../../pipeline/sandbox-note.ts';
import { signalCommand } from '../../pipeline/signal.ts';
import { swapIn } from '../../pipeline/swap.ts';
import { readSweep } from '../../pipeline/sweep-file.ts';
import { systemReason } from '../../pipeline/system-reason.ts';
import { wrap } from '../../pipeline/terminal.ts';
import { writeFiles } from '../../pipeline/write-files.ts';
import { readCalibration } from '../../src/audio/calibration.ts';
import { decodeWav } from '../../src/audio/decode-wav.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { type FaultFindings, faultMessage } from '../../src/audio/fault-messages.ts';
import type { FaultCode } from '../../src/audio/faults.ts';
import { memoryRefusal } from '../../src/audio/reading-memory.ts';
import { sweepResponses } from '../../src/audio/sweep-responses.ts';
import { wavChunks } from '../../src/audio/wav-chunks.ts';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { readMaterialsCsv, readMaterialsYaml } from '../../src/room/own-materials.ts';
import { flag, refusal } from '../../src/room/refusal.ts';
import { DEFAULT_SWEEP } from '../../src/signal/sweep.ts';
import { smallTake } from '../pipeline/small-project.ts';
import { SAID_BY_READING } from '../project/said-by-reading.ts';
import { recordSweep, roomResponse } from '../signal/sweep-recording.ts';
import { type Sentence, sentencesIn } from './sentences.ts';
import { saysTheMend, shownBy, shownByProgram, wrongWith } from './shown.ts';

/**
 * Every sentence that tells of a fault is called forth here, and looked at as it is shown. The sentences are read off the sources, so one
 * that is added without a case below makes the last test fail.
 */

/** Names of the messages of src/project/messages.ts that were made. */
const made = vi.hoisted(() => new Set<string>());
vi.mock('../../src/project/messages.ts', async (original) => {
  const messages = await original<Record<string, unknown>>();
  const noted = ([name, message]: [string, unknown]): [string, unknown] => {
    if (typeof message !== 'function') return [name, message];
    return [
      name,
      (...found: unknown[]) => {
        made.add(name);
        return message(...found);
      },
    ];
  };
  return Object.fromEntries(Object.entries(messages).map(noted));
});
vi.mock('@audio/decode-aac', () => {
  throw new Error('not installed');
});

/** Everything shown so far. */
let all = '';
const scratch = realpathSync(mkdtempSync(join(tmpdir(), 'decaybook-errors-')));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** Files in a folder of their own; a text that begins with -> is a link. Returns the folder. */
function folderOf(name: string, files: Record<string, string | Uint8Array>): string {
  const folder = join(scratch, name);
  mkdirSync(folder, { recursive: true });
  for (const [file, content] of Object.entries(files)) {
    const path = join(folder, file);
    mkdirSync(dirname(path), { recursive: true });
    if (typeof content === 'string' && content.startsWith('->')) symlinkSync(content.slice(2), path);
    else writeFileSync(path, content);
  }
  return folder;
}

const HEAD = 'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\n';
const PROJECT = `${HEAD}stages:\n  - id: bare\n`;
const quiet = { json: false, pdf: false, jobs: 1 };
const checked = (name: string, files: Record<string, string | Uint8Array>) => () =>
  shownBy(() => check([folderOf(name, files)], quiet));
const reported = (name: string, files: Record<string, string | Uint8Array>) => () =>
  shownBy(() => report([folderOf(name, files)], quiet));
const typed = (...args: string[]) => {
  const line = readCommandLine(args);
  return line.ask === 'nothing' ? line.message : '';
};
const thrown = (work: () => unknown) => async () => {
  try {
    await work();
    return '';
  } catch (fault) {
    return faultText(fault);
  }
};
const systemFault = (code: string) => Object.assign(new Error(code), { code, path: '/room' });

/** A WAV file with its header altered: at byte, as a 16 or 32 bit number. */
function wavWith(...changes: [at: number, bytes: 2 | 4, value: number][]): Uint8Array {
  const wav = Buffer.from(encodeWav(new Float64Array(100), 8000, 16));
  for (const [at, bytes, value] of changes) wav.writeUIntLE(value, at, bytes);
  return new Uint8Array(wav);
}
function floatWav(value: number): Uint8Array {
  const wav = Buffer.from(wavWith([20, 2, 3], [32, 2, 4], [34, 2, 32]));
  wav.writeFloatLE(value, 44 + 40);
  return new Uint8Array(wav);
}
const decoded = (bytes: Uint8Array) => {
  const sound = decodeWav(bytes);
  return sound.ok ? '' : sound.message;
};
const coded = (name: string) =>
  new Uint8Array(readFileSync(fileURLToPath(new URL(`../reference/coded-audio/${name}`, import.meta.url))));
const unreadable = async (bytes: Uint8Array) => {
  const sound = await decodeAudio(bytes);
  return sound.ok ? '' : sound.message;
};
const letters = (text: string) => new Uint8Array(Buffer.from(text, 'latin1'));
const tone = (samples: number, amplitude: number, noise = 0) => {
  return Float64Array.from({ length: samples }, (_, i) => amplitude * Math.sin(i * 0.785) + noise * Math.sin(i * i));
};
const calibrated = (samples: Float64Array) => {
  const found = readCalibration(samples, { rate_hz: 8000, level_db: 94 });
  return found.ok ? '' : found.reason;
};

/** What each fault of a take is told of, for every way its sentence goes. A fault that is added and not here does not compile. */
const FAULTS: { [Code in FaultCode]: FaultFindings[Code][] } = {
  unreadable: [{ message: 'cannot be opened: permission denied' }],
  'too-short': [{ after_s: 0.2 }, { seconds: 0.4 }, { cutInto: true }, { background_s: 2 }],
  'no-event': [{}, { wanted: 'switch-off' }, { reason: 'the sweep was not found: play it again' }],
  silent: [{}],
  clipped: [
    { overshoot_db: 2, below_full_scale_db: 0 },
    { overshoot_db: 2, below_full_scale_db: 3 },
  ],
  'automatic-gain': [{ rise_db: 5, from_s: 0.2, to_s: 0.5 }],
  'noise-gate': [
    { level_db: -50, to_silence: true },
    { level_db: -50, to_silence: false },
  ],
  'events-too-close': (['double-hit', 'next-event', 'other-sound', 'covered'] as const).map((kind) => {
    return { kind, after_s: 0.3 };
  }),
  dropout: [{ at_s: 1, seconds: 0.01 }],
  duplicate: [{ other: 'recordings/bare/A/01.wav' }],
  'set-aside': [{ reason: 'the door stood open' }],
  'rate-too-low': [{ rate_hz: 4000 }],
  undescribed: [{ missing: 'sweep' }, { missing: 'level' }, { missing: 'level', reason: 'no tone: hold it longer' }],
  'lossy-coding': [
    { cutoff_hz: null, coding: 'MP3' },
    { cutoff_hz: 16_000, coding: 'WAV' },
  ],
  'mains-hum': [{ mains_hz: 50, lift_db: 8 }],
  'low-range': [{ range_db: 20 }],
  'no-bass': (['clap', 'balloon', null] as const).map((source) => ({ source, below_hz: 180 })),
  'dc-offset': [{ share: 0.02 }],
  'channel-chosen': [{ channel: 1, channels: 2 }],
  'kind-guessed': [{ kind: 'sweep' }],
};
/** Said of what changes nothing, or in the words of the project file: no mend is needed. */
const WITHOUT_MEND = new Set<FaultCode>(['set-aside', 'dc-offset', 'channel-chosen']);

const REFUSALS = [...Object.values(refusal), ...Object.values(flag)] as ((found: unknown) => string)[];

/** What was done, and what is shown of it. */
const CASES: [name: string, shown: () => string | Promise<string>][] = [
  ['no command', () => typed('--json')],
  ['a page printed as root', () => sandboxNote(0).map(formatDiagnostic).join('\n')],
  ['a command that is none', () => `${typed('chek')}\n${typed('frobnicate')}`],
  ['a value for a switch', () => typed('report', '--json=yes', '.')],
  ['an option that is none', () => typed('check', '--jsn', '.')],
  ['an option without its value', () => typed('new', 'a', '--title')],
  ['no folder', () => typed('check')],
  ['two folders for one', () => typed('new', 'a', 'b')],
  ['an empty folder', () => typed('check', '')],
  ['a pattern that fits nothing', () => shownByProgram('check', `${scratch}/none-*`)],
  ['a number of threads that is none', () => shownByProgram('check', '--jobs', '0', scratch)],
  ['a port that is none', () => shownByProgram('watch', '--port', '99999', scratch)],
  ['a file for a folder', () => shownByProgram('check', join(folderOf('file', { a: '' }), 'a'))],
  ['a folder that is not there', () => shownByProgram('report', join(scratch, 'nowhere'))],
  ['a folder to allow that is not there', () => shownByProgram('check', '--allow', join(scratch, 'nowhere'), scratch)],

  [
    'a purpose that is none',
    () => shownBy(() => newCommand('a', { values: new Map([['purpose', 'x']]), sheet: false })),
  ],
  ['a near purpose', () => shownBy(() => newCommand('a', { values: new Map([['purpose', 'mixin']]), sheet: false }))],
  ['a room that is none', () => shownBy(() => newCommand('a', { values: new Map([['room', '5x4']]), sheet: false }))],
  [
    'a new project over another',
    () => shownBy(() => newCommand(folderOf('taken', { 'project.yaml': '' }), { values: new Map(), sheet: false })),
  ],
  [
    'a new project',
    () => shownBy(() => newCommand(join(scratch, 'fresh'), { values: new Map([['title', 'A']]), sheet: false })),
  ],
  ['a sheet for no project', () => shownBy(() => newCommand(join(scratch, 'no'), { values: new Map(), sheet: true }))],

  ['a sweep of no number', () => shownBy(() => signalCommand(scratch, new Map([['seconds', 'ten']])))],
  ['a sweep that cannot be', () => shownBy(() => signalCommand(scratch, new Map([['to', '40000']])))],
  ['a sweep of no octave', () => shownBy(() => signalCommand(scratch, new Map([['from', '17000']])))],
  ['a sweep that is all fades', () => shownBy(() => signalCommand(scratch, new Map([['seconds', '0.01']])))],
  [
    'a damaged description of a sweep',
    () => shownBy(() => signalCommand(folderOf('sweep-a', { 'sweep.json': '{' }), new Map())),
  ],
  [
    'another sweep',
    () => {
      const folder = folderOf('sweep-b', {});
      return shownBy(async () => {
        await signalCommand(folder, new Map([['seconds', '1']]));
        await signalCommand(folder, new Map([['seconds', '2']]));
      });
    },
  ],
  ['a sweep in no folder', () => shownBy(() => signalCommand(join(scratch, 'no'), new Map()))],
  [
    'a description of a sweep that is a link, a folder, or of a later version',
    async () => {
      const later = JSON.stringify({ format: 'decaybook-sweep/2' });
      const folders = [
        folderOf('sweep-c', { 'sweep.json': '->other.json' }),
        folderOf('sweep-d', { 'sweep.json/x': '' }),
        folderOf('sweep-e', { 'sweep.json': later }),
      ];
      const found = await Promise.all(folders.map(readSweep));
      return found.map((one) => ('fault' in one ? formatDiagnostic(one.fault) : '')).join('\n');
    },
  ],

  ['no project file', checked('none', {})],
  ['a project file of another name', checked('misnamed', { 'project.yml': PROJECT })],
  ['a project file that is a folder', checked('no-file', { 'project.yaml/lost.txt': 'x' })],
  ['a project file that is a link', checked('link', { 'project.yaml': '->other.yaml' })],
  ['a project file that is no text', checked('binary', { 'project.yaml': new Uint8Array([0xff, 0xfe, 0]) })],
  ['a folder of the tool that is a link', checked('own', { 'project.yaml': PROJECT, report: `->${scratch}` })],
  ['a file for a folder of the tool', checked('own-file', { 'project.yaml': PROJECT, report: 'mine' })],
  ['a link out of the folder', checked('out', { 'project.yaml': PROJECT, 'recordings/bare/A/1.wav': '->/etc/hosts' })],
  ['a logo that is not there', checked('logo', { 'project.yaml': `${PROJECT}branding: {logo: logo.svg}\n` })],
  ['a photo of another kind', checked('photo-a', { 'project.yaml': PROJECT, 'photos/bare/1.heic': '' })],
  [
    'a photo that is not there',
    checked('photo-b', { 'project.yaml': `${PROJECT}    photos: [{file: photos/1.jpg}]\n` }),
  ],
  [
    'a photo that cannot be read, and takes that were made twice',
    reported('photo-c', {
      'project.yaml': PROJECT,
      'photos/bare/1.jpg': 'no photo',
      'recordings/bare/A/1.wav': smallTake(1),
      'recordings/bare/A/2.wav': smallTake(1),
    }),
  ],
  ['materials behind a link', checked('materials-a', { 'project.yaml': PROJECT, 'materials.yaml': '->other.yaml' })],
  [
    'materials that are none',
    () =>
      [
        readMaterialsYaml('rows: []', 'materials.yaml'),
        readMaterialsCsv('a,b\n', 'materials.csv'),
        readMaterialsYaml(
          'materials: [{id: my-board, name: b, use: lining, absorption: {500: 0.1}, source: s, colour: red}, {id: My Board}]',
          'materials.yaml',
        ),
        readMaterialsYaml(
          `materials:\n${'  - {id: my-board, name: board, use: lining, absorption: {500: 0.1}, source: leaflet}\n'.repeat(2)}`,
          'materials.yaml',
        ),
      ]
        .flatMap(({ diagnostics }) => diagnostics.map(formatDiagnostic))
        .join('\n'),
  ],
  [
    'a surface of a material that is in no table',
    checked('surface', {
      'project.yaml': PROJECT.replace('}', ', surfaces: [{name: walls, area: 40, material: moon-rock}]}'),
    }),
  ],
  ['no recording that can be used', reported('unusable', { 'project.yaml': PROJECT, 'recordings/bare/A/1.wav': 'x' })],
  [
    'a report of a later version, with damaged issues',
    reported('later', {
      'project.yaml': PROJECT,
      'recordings/bare/A/1.wav': smallTake(1),
      'report/results.json': JSON.stringify({ format: 'decaybook-results/2', tool: { version: '2.1.0' } }),
      'report/issues.json': '{',
    }),
  ],
  [
    'a report that was moved away',
    checked('moved', {
      'project.yaml': PROJECT,
      '.decaybook/report-old-abcdef/report.html': 'earlier',
    }),
  ],
  [
    'a report that cannot be put back',
    async () => {
      const { reportNotPutBack, cannotBeWritten, folderUnreadable, projectFileUnreadable } = await import(
        '../../src/project/messages.ts'
      );
      const reason = systemReason(systemFault('EROFS'));
      return [reportNotPutBack, cannotBeWritten, folderUnreadable, projectFileUnreadable]
        .map((message) => `project.yaml: error: ${message(reason)}`)
        .join('\n');
    },
  ],

  [
    'a channel that is not there',
    checked('channel', {
      'project.yaml': `${PROJECT}    takes: [{files: 1.wav, position: A, channel: 3}]\n`,
      '1.wav': smallTake(1),
    }),
  ],
  [
    'a recording that is too large, or gone',
    async () => {
      const take = { file: 'x.wav', stage: 'bare', position: 'A', kind: null, channel: null, sha256: null };
      const path = join(folderOf('large', {}), 'x.wav');
      const gone = await openTake(dirname(path), take);
      writeFileSync(path, '');
      const { truncateSync } = await import('node:fs');
      truncateSync(path, LARGEST_RECORDING_BYTES + 1);
      const large = await openTake(dirname(path), take);
      rmSync(path);
      return [gone, large].map((one) => ('fault' in one ? one.fault.message : '')).join('\n');
    },
  ],
  ['a file with nothing in it', () => unreadable(new Uint8Array())],
  ['a file of no known kind', () => unreadable(letters('no sound at all'))],
  ['a file of a kind that is not read', () => unreadable(letters('FORM\0\0\0\0AIFFCOMM'))],
  ['a decoder that is not there', () => unreadable(coded('tone.aac'))],
  ['a damaged file', () => unreadable(coded('tone.flac').fill(0, 60))],
  ['half a file', () => unreadable(coded('tone.flac').subarray(0, 9000))],
  ['a sound that is too long', () => memoryRefusal({ frames: 1e9, channels: 2 })!],

  ['a WAV file of a few bytes', () => String(wavChunks(letters('RIFF')))],
  [
    'no WAV file',
    () => [letters('x'.repeat(20)), letters('RIFF    AVI        '), new Uint8Array()].map(wavChunks).join('\n'),
  ],
  ['a WAV file without a format', () => String(wavChunks(letters('RIFF    WAVEdata\x02\0\0\0ab')))],
  ['a WAV file without either', () => String(wavChunks(letters('RIFF    WAVE')))],
  ['a WAV file whose format is cut short', () => String(wavChunks(letters('RIFF    WAVEfmt \x10\0\0\0')))],
  ['a WAV file without data', () => String(wavChunks(wavWith().subarray(0, 36)))],
  ['a WAV file that is cut short', () => String(wavChunks(wavWith().subarray(0, 100)))],
  ['a WAV file of no channels', () => decoded(wavWith([22, 2, 0]))],
  ['a WAV file of too many channels', () => decoded(wavWith([22, 2, 9999]))],
  ['a WAV file of no rate', () => decoded(wavWith([24, 4, 0]))],
  ['a WAV file in an unknown coding', () => decoded(wavWith([20, 2, 99]))],
  ['a WAV file that contradicts itself', () => decoded(wavWith([32, 2, 7]))],
  ['a WAV file of no sound', () => decoded(encodeWav(new Float64Array(0), 8000, 16))],
  ['a WAV file with no number in it', () => decoded(floatWav(Number.NaN))],
  ['a WAV file with a number beyond measure', () => decoded(floatWav(1e30))],

  ['no steady tone', () => calibrated(new Float64Array(8000))],
  ['a tone that is clipped', () => calibrated(tone(40_000, 1.2).map((x) => Math.max(-1, Math.min(1, x))))],
  ['a tone among noise', () => calibrated(tone(40_000, 0.1, 0.3))],

  ['no browser', () => NO_BROWSER],
  [
    'a browser that does not start, and one that may not',
    async () => {
      const executable = join(
        folderOf('browser', { chrome: '#!/bin/sh\necho No usable sandbox >&2; exit 1\n' }),
        'chrome',
      );
      const { chmodSync } = await import('node:fs');
      chmodSync(executable, 0o755);
      const found = { executable, origin: 'environment', env: {} } as const;
      const printed = await printWithAny('<p>', {
        date: '2026-05-12',
        browsers: (async function* () {
          yield found;
        })(),
      });
      const line = await thrown(() => launchBrowser({ ...found, executable: join(scratch, 'nothing') }))();
      return ['missing' in printed ? printed.missing : '', /\(Error: (.*)\): please/.exec(line)?.[1] ?? ''].join('\n');
    },
  ],

  [
    'a disk that is full',
    () => faultText(cannotWrite(systemFault('ENOSPC'), { what: 'report/', needed_bytes: 2e6, free_bytes: 1e5 })),
  ],
  [
    'all that a system refuses',
    () => {
      const codes =
        'EACCES EPERM ENOENT ENOTDIR EISDIR EIO ENOSPC EDQUOT EROFS EMFILE ENAMETOOLONG ELOOP EBUSY EFBIG'.split(' ');
      return [
        ...codes.map((code) => faultText(systemFault(code))),
        ...codes.map((code) => faultText(cannotWrite(systemFault(code), { what: '/room/report/' }))),
      ].join('\n');
    },
  ],
  ['a fault of the tool', () => faultText(new TypeError('x is not a function'))],
  [
    'a file that cannot be written aside',
    thrown(() =>
      swapIn(folderOf('swap', { 'report/a': '' }), 'report', (aside) =>
        writeFiles(
          aside,
          new Map([
            ['a/b', new Uint8Array()],
            ['a', new Uint8Array()],
          ]),
          'room/report',
        ),
      ),
    ),
  ],
];

describe('what a user is told', () => {
  beforeAll(() => {
    if (!existsSync(fileURLToPath(new URL('../../dist/pipeline/main.js', import.meta.url))))
      throw new Error('the command line is tested as built: run "npm run build" first');
  });

  it.each(CASES)(
    'of %s is whole, with the mend, and fits a terminal',
    async (_name, shown) => {
      const text = await shown();
      expect(text.trim()).not.toBe('');
      all += `${text.replace(/\n {2,}/g, ' ')}\n`;
      const lines = text.split('\n').filter((line) => line.trim() !== '');
      for (const line of lines) {
        expect(wrongWith(line.trimEnd()), line).toBe(null);
        if (/: (error|warning): |^decaybook: /.test(line)) expect(saysTheMend(line), line).toBe(true);
        for (const part of wrap(line, { rest: '  ' }).split('\n')) {
          if (part.trim().includes(' ')) expect(part.length, part).toBeLessThanOrEqual(80);
        }
      }
    },
    30_000,
  );

  it('of a fault of a take names what was found and the mend', () => {
    for (const code of Object.keys(FAULTS) as FaultCode[]) {
      for (const found of FAULTS[code] as never[]) {
        const { message } = faultMessage(code, found);
        all += `${message}\n`;
        expect(wrongWith(message), message).toBe(null);
        if (!WITHOUT_MEND.has(code)) expect(saysTheMend(message), message).toBe(true);
      }
    }
  });

  it('of a recorded sweep that cannot be used names what is wrong and the mend', () => {
    const rate_hz = 32_000;
    const description = { ...DEFAULT_SWEEP, f1_hz: 60, f2_hz: 12_000, duration_s: 3, tail_s: 1, repeats: 1 };
    const response = roomResponse({ rate_hz, decay_s: 0.3, seconds: 0.8, seed: 17 });
    const told = (starts_s: number[], seconds: number, clock_ppm = 0) => {
      const samples = recordSweep({
        description,
        rate_hz,
        seconds,
        starts_s,
        response,
        noise_db: -30,
        seed: 18,
        clock_ppm,
      });
      return sweepResponses(samples, { rate_hz, description }).faults;
    };
    const low = sweepResponses(new Float64Array(8000), { rate_hz: 8000, description: { ...description, f1_hz: 2000 } });
    const faults = [told([-0.5], 6), told([1], 3.8), told([], 5), told([1.5], 7, 350), low.faults].flat();
    expect(new Set(faults.map(({ message }) => message)).size).toBe(5);
    for (const { message } of faults) {
      all += `${message}\n`;
      expect(wrongWith(message), message).toBe(null);
      expect(saysTheMend(message), message).toBe(true);
    }
  });

  it('of a number that is refused is the reason, in one line', () => {
    for (const reason of REFUSALS) {
      const message = reason(reason === (refusal.range as unknown) ? { range_db: 20, needed_db: 35 } : 12);
      all += `${message}\n`;
      expect(wrongWith(message), message).toBe(null);
    }
  });

  it('while another run replaces the report is to let that end', async () => {
    const folder = folderOf('locked', {});
    mkdirSync(join(folder, '.decaybook'));
    const release = await lock(join(folder, '.decaybook'), {
      lockfilePath: join(folder, '.decaybook', 'report.lock'),
      stale: 60_000,
      update: 1000,
    });
    const told = await thrown(() => swapIn(folder, 'report', async () => undefined))();
    await release();
    all += `${told}\n`;
    expect(told).toMatch(/report\/ cannot be replaced, as another run is replacing it: let that end and run/);
  }, 30_000);
});

/** Files whose sentences tell of no fault, or of none that a user sees, and why. */
const NO_FAULTS: Record<string, string> = {
  'bundled-browser.ts': 'every fault in it means that there is no such browser',
  'change-table.ts': 'what changed',
  'check-planning.ts': 'what to record next',
  'check-text.ts': 'the outcome of check',
  'check.ts': 'progress',
  'fresh-report.ts': 'why a step ran, for --explain',
  'fonts.ts': 'style sheet',
  'interrupt.ts': 'held where runs are ended',
  'keep.ts': 'why a step ran, for --explain',
  'page.ts': 'style sheet',
  'reason-to-make.ts': 'why a step ran, for --explain',
  'recording-sheet.ts': 'drawing',
  'report-summary.ts': 'the outcome of report',
  'report-text.ts': 'the outcome of report',
  'serve-report.ts': 'page',
  'watch.ts': 'held where it is watched',
  'what-moved.ts': 'what is different',
  'write-bundle.ts': 'part of the build',
};
/** Progress, help; and sentences that no input known calls forth: they guard the tool against itself and the packages it is built on. */
const GUARDS = [
  'the new project file does not parse: {}',
  'the package of decaybook is not above its own files',
  'Listening to {} {}',
  'Listening: {} of {} takes, {}',
  'Writing the report and printing it',
  'the sweep to play, as sweep.wav, and sweep.json, which says what it is',
  'it gives no reason',
  'it states a sample rate of {}',
  'its format chunk cannot be read',
  'its compressed sound cannot be decoded',
  'the browser {} is version {}; {} or newer is needed',
];
const FILES_BESIDE = [
  'src/audio/calibration.ts',
  'src/audio/decode-wav.ts',
  'src/audio/fault-messages.ts',
  'src/audio/reading-memory.ts',
  'src/audio/sweep-responses.ts',
  'src/audio/wav-chunks.ts',
  'src/room/own-materials.ts',
  'src/room/refusal.ts',
];

describe('no sentence is left out', () => {
  it('of those in the sources', async () => {
    const names = (await readdir(fileURLToPath(new URL('../../pipeline/', import.meta.url)))).sort();
    const files = names.filter((name) => name.endsWith('.ts') && !Object.hasOwn(NO_FAULTS, name));
    const sentences: Sentence[] = [];
    for (const file of [...files.map((name) => `pipeline/${name}`), ...FILES_BESIDE]) {
      sentences.push(...(await sentencesIn(file)));
    }
    expect(sentences.length).toBeGreaterThan(100);
    const flat = all.replace(/\s+/g, ' ');
    const help = shownByProgram('--help').replace(/\s+/g, ' ');
    const left = sentences.filter(
      ({ text, isIn }) => !GUARDS.includes(text) && !isIn(flat) && !isIn(all) && !isIn(help),
    );
    expect(left.map(({ file, text }) => `${file}: ${text}`)).toEqual([]);
  });

  it('of those about the project file and its folder that only reading calls forth', () => {
    expect(SAID_BY_READING.filter((name) => !made.has(name))).toEqual([]);
  });
});
