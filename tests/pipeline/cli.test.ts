import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { clapsWav } from './synthetic-take.ts';

const MAIN = fileURLToPath(new URL('../../dist/pipeline/main.js', import.meta.url));
const BROKEN =
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: wide, width: 4, height: 3}\nstagse: [{id: bare}]\n';

let parent = '';
beforeAll(async () => {
  if (!existsSync(MAIN)) throw new Error('the command line is tested as built: run "npm run build" first');
  parent = await mkdtemp(join(tmpdir(), 'decaybook-cli-'));
});
afterAll(async () => {
  await rm(parent, { recursive: true, force: true });
});

interface Ran {
  status: number | null;
  out: string;
  err: string;
}

/** Runs the built program in the folder of this test; colours off, as nothing here is a terminal. */
function decaybook(...args: string[]): Ran {
  return decaybookWith({}, ...args);
}

function decaybookWith(variables: Record<string, string>, ...args: string[]): Ran {
  const env = { ...process.env, FORCE_COLOR: undefined, NO_COLOR: undefined, DECAYBOOK_DEBUG: '', ...variables };
  const { status, stdout, stderr } = spawnSync(process.execPath, [MAIN, ...args], {
    cwd: parent,
    encoding: 'utf8',
    env,
  });
  return { status, out: stdout, err: stderr };
}

describe('decaybook', () => {
  test('prints help with no arguments, with --help and after any command, and the version of the package', () => {
    const help = decaybook();
    expect(help).toMatchObject({ status: 0, err: '' });
    for (const command of ['new', 'signal', 'check', 'report']) expect(help.out).toContain(`decaybook ${command} DIR`);
    expect(Math.max(...help.out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(decaybook('--help')).toEqual(help);
    expect(decaybook('check', '-h')).toEqual(help);
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
    expect(decaybook('--version')).toEqual({ status: 0, out: `${version}\n`, err: '' });
  });

  test.each([
    [['chek', '.'], 'decaybook: "chek" is no command: did you mean check?\n'],
    [['frobnicate'], 'decaybook: "frobnicate" is no command: use new, signal, check, report, watch\n'],
    [['--json'], 'decaybook: no command is named: see "decaybook --help"\n'],
    [['check'], 'decaybook: "check" needs a folder: write "decaybook check my-room"\n'],
    [['check', ''], 'decaybook: a folder name is empty: write "." for the folder you are in\n'],
    [['check', '--jsn', '.'], 'decaybook: "check" has no option --jsn: did you mean --json?\n'],
    [['check', '--no-pdf', '.'], 'decaybook: "check" has no option --no-pdf: use --json, --explain, --jobs, --allow\n'],
    [
      ['check', '--allow', 'nowhere', '.'],
      'decaybook: --allow: nowhere: it is not there: name a folder that is there\n',
    ],
    [['report', '--json=yes', '.'], 'decaybook: --json takes no value: leave "=yes" out\n'],
    [['new', 'a', 'b'], 'decaybook: "new" takes one folder: name just one\n'],
    [['new', 'a', '--title'], 'decaybook: --title needs a value: write --title and the value after it\n'],
    [['signal', '.', '--seconds', 'ten'], 'decaybook: --seconds needs a number and is "ten": write --seconds 12\n'],
    [
      ['signal', '.', '--to', '24000'],
      'decaybook: no such sweep (f2_hz must lie below half of rate_hz): choose other values\n',
    ],
    [['new', 'a', '--purpose', 'mixin'], 'decaybook: --purpose cannot be "mixin": did you mean mixing?\n'],
    [
      ['new', 'a', '--room', '5x4'],
      'decaybook: --room cannot be "5x4": write length, width and height in metres, such as 5.2x3.6x2.6\n',
    ],
    [
      ['check', 'nowhere'],
      'decaybook: nowhere: it is not there: name a project folder, or make one with "decaybook new"\n',
    ],
    [
      ['report', 'nowhere', '--json'],
      'decaybook: nowhere: it is not there: name a project folder, or make one with "decaybook new"\n',
    ],
  ])('gives status 2 and one line for %j', async (args, line) => {
    expect(decaybook(...args)).toEqual({ status: 2, out: '', err: line });
    expect(existsSync(join(parent, 'a'))).toBe(false);
  });

  test('gives status 2 for a file where a folder is wanted', async () => {
    await writeFile(join(parent, 'file.yaml'), '');
    expect(decaybook('check', 'file.yaml').err).toBe('decaybook: file.yaml is a file: name the folder it is in\n');
  });

  test('lets nothing that a file name holds steer the terminal', () => {
    expect(decaybook('check', 'a\u001b[31m').err).toContain('decaybook: a?[31m: it is not there');
  });
});

describe('a fault on the way', () => {
  test('is one line with the path, the reason and the mend, and no stack trace', async () => {
    await writeFile(join(parent, 'plain'), '');
    const { status, out, err } = decaybook('new', join('plain', 'room'));
    expect({ status, out }).toEqual({ status: 1, out: '' });
    expect(err).toMatch(/^decaybook: .*plain.*: .*: mend that and run the command again\n$/);
  });

  test('shows its stack where DECAYBOOK_DEBUG asks for it', async () => {
    await writeFile(join(parent, 'plain'), '');
    const { err } = decaybookWith({ DECAYBOOK_DEBUG: '1' }, 'new', join('plain', 'room'));
    expect(err).toMatch(/\n\s+at .*\ndecaybook: /s);
  });
});

describe('decaybook new, then check', () => {
  test('makes a project that check accepts, before and after the recordings are in', async () => {
    expect(decaybook('new', 'room', '--room', '5.2x3.6x2.6', '--purpose=mixing')).toMatchObject({ status: 0, err: '' });
    const before = decaybook('check', 'room');
    expect(before).toMatchObject({ status: 0, err: '' });
    expect(before.out).toContain('Nothing recorded yet. Wanted in each stage: 2 positions with 4 good responses');
    for (const [stage, seed] of [
      ['bare', 1],
      ['treated', 2],
    ] as const) {
      await writeFile(join(parent, 'room', 'recordings', stage, 'A', '1.wav'), clapsWav({ claps: 4, seed }));
    }
    const after = decaybook('check', 'room');
    expect(after).toMatchObject({ status: 0, err: '' });
    expect(after.out).toContain(
      '  position A: 4 good responses, 4 wanted: enough\n    good          1.wav, 4 responses\n',
    );
    expect(after.out).toContain('\nNothing needs to be recorded again.\n');
  });

  test('new refuses a folder that holds a project, and says what to do', async () => {
    decaybook('new', 'twice');
    const text = readFileSync(join(parent, 'twice', 'project.yaml'), 'utf8');
    const again = decaybook('new', 'twice', '--title', 'Other');
    expect(again.status).toBe(1);
    expect(again.err).toBe(
      'decaybook: twice holds a project already, and it was left as it is: choose another folder, or write its sheet again with --sheet\n',
    );
    expect(readFileSync(join(parent, 'twice', 'project.yaml'), 'utf8')).toBe(text);
  });

  test('new --sheet writes the sheet again for what the project file says now', async () => {
    decaybook('new', 'sheet');
    const file = join(parent, 'sheet', 'project.yaml');
    await writeFile(
      file,
      readFileSync(file, 'utf8')
        .replace('length:', 'length: 5.2')
        .replace('width:', 'width: 3.6')
        .replace('height:', 'height: 2.6'),
    );
    expect(decaybook('new', 'sheet', '--sheet')).toMatchObject({ status: 0, err: '' });
    expect(readFileSync(join(parent, 'sheet', 'recording-sheet.html'), 'utf8')).toContain('5.2 x 3.6 x 2.6 m');
    expect(decaybook('new', 'elsewhere', '--sheet').status).toBe(2);
  });
});

describe('decaybook signal', () => {
  test('writes the sweep asked for beside its description, and says how to play it', async () => {
    await mkdir(join(parent, 'sweep'));
    const ran = decaybook('signal', 'sweep', '--seconds', '2', '--repeats', '1', '--level', '-20', '--tail', '1');
    expect(ran).toMatchObject({ status: 0, err: '' });
    expect(ran.out).toContain('peak -20 dB relative to full scale');
    expect((await readdir(join(parent, 'sweep'))).sort()).toEqual(['sweep.json', 'sweep.wav']);
    const described = JSON.parse(readFileSync(join(parent, 'sweep', 'sweep.json'), 'utf8'));
    expect(described).toMatchObject({ duration_s: 2, repeats: 1, level_dbfs: -20, tail_s: 1 });
  });
});

describe('decaybook check', () => {
  test('gives status 1 and a line a fault for a broken project file, and writes nothing', async () => {
    await mkdir(join(parent, 'broken'));
    await writeFile(join(parent, 'broken', 'project.yaml'), BROKEN);
    expect(decaybook('check', 'broken')).toEqual({
      status: 1,
      out: [
        'project.yaml:1:1: error: "stages" is missing: add, for example, "stages: [{id: bare}]" (the states of the room in the order they came about)',
        'project.yaml:4:16: error: "length" needs a number but is the text "wide": write, for example, 5.2 (metres)',
        'project.yaml:5:1: error: "stagse" is not known here: did you mean stages?',
        '',
      ].join('\n'),
      err: '',
    });
    expect(await readdir(join(parent, 'broken'))).toEqual(['project.yaml']);
  });

  test('--json prints one object for all folders and nothing else, with the same status', async () => {
    await mkdir(join(parent, 'one'));
    await writeFile(join(parent, 'one', 'project.yaml'), BROKEN);
    decaybook('new', 'two', '--room', '5.2x3.6x2.6');
    const { status, out, err } = decaybook('check', 'one', 'two', '--json');
    expect({ status, err }).toEqual({ status: 1, err: '' });
    const { projects } = JSON.parse(out);
    expect(projects.map((project: { folder: string; status: number }) => [project.folder, project.status])).toEqual([
      ['one', 1],
      ['two', 0],
    ]);
    expect(projects[0].results).toBeNull();
    expect(projects[0].messages[1]).toEqual({
      file: 'project.yaml',
      line: 4,
      column: 16,
      severity: 'error',
      message: '"length" needs a number but is the text "wide": write, for example, 5.2 (metres)',
    });
    expect(projects[1].results.takes).toEqual([]);
  });

  test('heads each of several projects with its folder', async () => {
    decaybook('new', 'left', '--title', 'Left room');
    decaybook('new', 'right', '--title', 'Right room');
    expect(decaybook('check', 'left', 'right').out).toMatch(/^left: Left room\n[\s\S]*\nright: Right room\n/);
  });
});
