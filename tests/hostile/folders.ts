import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  ftruncateSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { smallTake, writeSmallProject } from '../pipeline/small-project.ts';
import type { Draw } from './draw.ts';

/** Stands in every file outside a project: where it turns up, something was read that should not be. */
export const SECRET = 'SECRET-OF-A-NEIGHBOUR';

/** A project folder and, beside it, what is none of the project's business. */
export interface Place {
  project: string;
  outside: string;
}

/** One thing that may be wrong with a folder. */
type Twist = (place: Place, draw: Draw) => void;

const put = (folder: string, name: string, content: string | Uint8Array): void => {
  mkdirSync(dirname(join(folder, name)), { recursive: true });
  writeFileSync(join(folder, name), content);
};
const link = (folder: string, name: string, target: string): void => {
  mkdirSync(dirname(join(folder, name)), { recursive: true });
  rmSync(join(folder, name), { recursive: true, force: true });
  symlinkSync(target, join(folder, name));
};
const pipe = (folder: string, name: string): void => {
  mkdirSync(dirname(join(folder, name)), { recursive: true });
  rmSync(join(folder, name), { recursive: true, force: true });
  execFileSync('mkfifo', [join(folder, name)]);
};
/** A file of holes: it has a length and takes no room. */
const huge = (folder: string, name: string, bytes: number): void => {
  put(folder, name, '');
  const file = openSync(join(folder, name), 'r+');
  ftruncateSync(file, bytes);
  closeSync(file);
};
const says = (folder: string, more: string): void => {
  const path = join(folder, 'project.yaml');
  writeFileSync(path, `${readFileSync(path, 'utf8')}${more}`);
};

const TAKES = 'recordings/bare/A';
const KEPT_FOLDERS = [
  '.decaybook',
  '.decaybook/kept',
  '.decaybook/kept/content-v2',
  '.decaybook/kept/index-v5',
  '.decaybook/kept/tmp',
];
/** Names that some system or program takes for something else. */
export const ODD_NAMES = [
  'new\nline.wav',
  'tab\tand\u0007bell.wav',
  '\u001b[31mred.wav',
  '\u{1f44f}.wav',
  'n\u0303.wav',
  '\u00f1.wav',
  '-rf.wav',
  '--json.wav',
  'con.wav',
  'nul.wav',
  'aux.wav',
  'dot..wav',
  'trailing .wav',
  ' .wav',
  '01.WAV',
  '1.Wav',
  '\u202egnp.wav',
  '<img src=x onerror=alert(1)>.wav',
  '"quote\'s".wav',
  '&amp;.wav',
  '$(touch pwned).wav',
  '`id`.wav',
  ';x.wav',
  'a|b.wav',
  '*.wav',
  '?.wav',
  '[1].wav',
  '{a,b}.wav',
  '%2e%2e%2f.wav',
  '__proto__.wav',
  'constructor.wav',
  `${'n'.repeat(251)}.wav`,
  `${'\u{1f44f}'.repeat(60)}.wav`,
  '\ufffe.wav',
  '..wav',
  'a\\b.wav',
] as const;

export const TWISTS: Readonly<Record<string, Twist>> = {
  'link to a file outside': ({ project, outside }) => link(project, `${TAKES}/out.wav`, join(outside, 'secret.wav')),
  'link to a folder outside': ({ project, outside }) => link(project, 'recordings/bare/B', outside),
  'links in a circle': ({ project }) => link(project, `${TAKES}/circle`, '..'),
  'link to itself': ({ project }) => link(project, `${TAKES}/self.wav`, 'self.wav'),
  'link to nothing': ({ project }) => link(project, `${TAKES}/none.wav`, 'nothing.wav'),
  'link to a device': ({ project }, draw) =>
    link(project, `${TAKES}/zero.wav`, draw.pick(['/dev/zero', '/dev/full', '/proc/self/mem'])),
  'project file is a link': ({ project, outside }) => link(project, 'project.yaml', join(outside, 'project.yaml')),
  'sweep is a link': ({ project, outside }, draw) =>
    link(project, 'sweep.json', draw.pick([join(outside, 'secret.json'), '/dev/zero'])),
  'materials are a link': ({ project, outside }) => link(project, 'materials.yaml', join(outside, 'secret.yaml')),
  'logo is a link': ({ project, outside }, draw) => {
    link(project, 'logo.svg', draw.pick([join(outside, 'secret.svg'), '/dev/zero']));
    says(project, 'branding: { logo: logo.svg }\n');
  },
  'logo in a linked folder': ({ project, outside }) => {
    link(project, 'art', outside);
    says(project, 'branding: { logo: art/secret.svg }\n');
  },
  'report is a link': ({ project, outside }) => link(project, 'report', outside),
  'report is a file': ({ project }) => put(project, 'report', 'mine'),
  'earlier issues are a link': ({ project, outside }) =>
    link(project, 'report/issues.json', join(outside, 'secret.json')),
  'earlier results are a link': ({ project, outside }) =>
    link(project, 'report/results.json', join(outside, 'secret.json')),
  'kept results are a link': ({ project, outside }, draw) => link(project, draw.pick(KEPT_FOLDERS), outside),
  'kept results are a file': ({ project }, draw) => put(project, draw.pick(KEPT_FOLDERS), 'x'),
  'pipe among the takes': ({ project }) => pipe(project, `${TAKES}/pipe.wav`),
  'pipe for a project file': ({ project }) => pipe(project, 'project.yaml'),
  'pipe for a sweep': ({ project }) => pipe(project, 'sweep.json'),
  'pipe for materials': ({ project }, draw) => pipe(project, draw.pick(['materials.yaml', 'materials.csv'])),
  'pipe for a logo': ({ project }) => {
    pipe(project, 'logo.svg');
    says(project, 'branding: { logo: logo.svg }\n');
  },
  'pipe for a photo': ({ project }) => pipe(project, 'photos/bare/a.jpg'),
  'pipe in the report': ({ project }, draw) =>
    pipe(project, `report/${draw.pick(['issues.json', 'results.json', 'report.html', 'x'])}`),
  'pipe among kept results': ({ project }, draw) =>
    pipe(project, `.decaybook/${draw.pick(['report.lock', 'kept/index-v5/aa', 'x', 'report-old-abcdef'])}`),
  'folder called as a take': ({ project }) => put(project, `${TAKES}/folder.wav/inner.wav`, smallTake(5)),
  'folders for files': ({ project }, draw) => {
    const name = draw.pick([
      'project.yaml',
      'sweep.json',
      'materials.yaml',
      'report/issues.json',
      'report/results.json',
    ]);
    rmSync(join(project, name), { recursive: true, force: true });
    mkdirSync(join(project, name), { recursive: true });
  },
  'odd names': ({ project }, draw) => {
    for (const name of draw.many(6, () => draw.pick(ODD_NAMES)))
      put(project, `${TAKES}/${name}`, smallTake(1 + draw.int(3)));
  },
  'odd folders': ({ project }, draw) => put(project, `recordings/bare/${draw.pick(ODD_NAMES)}/01.wav`, smallTake(4)),
  'names that are no text': ({ project }) => {
    const name = Buffer.concat([
      Buffer.from(join(project, TAKES, 'x')),
      Buffer.from([0xff, 0xfe, 0xc3]),
      Buffer.from('.wav'),
    ]);
    writeFileSync(name, smallTake(6));
  },
  'unreadable take': ({ project }) => chmodSync(join(project, TAKES, '01.wav'), 0),
  'unreadable folder': ({ project }) => chmodSync(join(project, 'recordings/treated'), 0),
  'unreadable project file': ({ project }) => chmodSync(join(project, 'project.yaml'), 0),
  'unreadable kept results': ({ project }) => {
    mkdirSync(join(project, '.decaybook'), { recursive: true });
    chmodSync(join(project, '.decaybook'), 0);
  },
  'missing recordings': ({ project }) => rmSync(join(project, 'recordings'), { recursive: true }),
  'missing project file': ({ project }) => rmSync(join(project, 'project.yaml'), { recursive: true, force: true }),
  'deep folders': ({ project }) => put(project, `recordings/bare/${'d/'.repeat(200)}x.wav`, 'x'),
  'many files': ({ project }, draw) => {
    const place = draw.pick(['photos/bare', 'other', 'recordings/bare/A/x/y']);
    for (let i = 0; i < 2000; i++) put(project, `${place}/${i}.${draw.pick(['txt', 'gif'])}`, '');
  },
  'huge files': ({ project }, draw) => {
    const name = draw.pick([
      `${TAKES}/h.wav`,
      `${TAKES}/h.mp3`,
      'sweep.json',
      'materials.csv',
      'logo.svg',
      'photos/bare/h.jpg',
      'project.yaml',
      'report/issues.json',
      'report/results.json',
    ]);
    huge(project, name, draw.pick([130_000_000, 700_000_000, 5_000_000_000]));
    if (name === 'logo.svg') says(project, 'branding: { logo: logo.svg }\n');
  },
  'picture that unfolds': ({ project }, draw) =>
    put(project, 'photos/bare/bomb.png', pictureBomb(draw.pick([20_000, 60_000]))),
};

/** A PNG of so many pixels each way, all of one colour, in some kilobytes. */
function pictureBomb(side: number): Uint8Array {
  const chunk = (name: string, content: Uint8Array): Uint8Array => {
    const bytes = Buffer.alloc(12 + content.length);
    bytes.writeUInt32BE(content.length, 0);
    bytes.write(name, 4, 'latin1');
    bytes.set(content, 8);
    bytes.writeUInt32BE(crc32(bytes.subarray(4, 8 + content.length)), 8 + content.length);
    return bytes;
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(side, 0);
  head.writeUInt32BE(side, 4);
  head.set([1, 0, 0, 0, 0], 8);
  const rows = deflateSync(Buffer.alloc((Math.ceil(side / 8) + 1) * Math.min(side, 20_000)), { level: 9 });
  const start = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return new Uint8Array(
    Buffer.concat([start, chunk('IHDR', head), chunk('IDAT', rows), chunk('IEND', new Uint8Array())]),
  );
}

/** As PNG asks (ISO/IEC 15948, annex D). */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

/** Makes a small project beside files that are none of its business, and does the named things to it. */
export function hostileFolder(base: string, twists: readonly string[], draw: Draw): Place {
  const place = { project: join(base, 'project'), outside: join(base, 'outside') };
  writeSmallProject(place.project);
  for (const name of ['secret.json', 'secret.yaml', 'project.yaml', 'secret.wav', 'a/deep.txt', 'report.html'])
    put(place.outside, name, SECRET);
  put(place.outside, 'secret.svg', `<svg xmlns="http://www.w3.org/2000/svg"><text>${SECRET}</text></svg>`);
  for (const twist of twists) TWISTS[twist]!(place, draw);
  return place;
}

/** Everything in a folder, one line each: kind, mode, length, time, link or digest. What the tool may write is left out. */
export function snapshot(folder: string, leaveOut: readonly string[] = []): string[] {
  const lines: string[] = [];
  const walk = (path: Buffer, shown: string): void => {
    const entry = lstatSync(path);
    if (leaveOut.includes(shown)) return;
    const kind = entry.isDirectory() ? 'folder' : entry.isSymbolicLink() ? 'link' : entry.isFile() ? 'file' : 'other';
    const content =
      kind === 'link'
        ? readlinkSync(path, 'utf8')
        : kind === 'file' && entry.size < 5_000_000
          ? createHash('sha256').update(readFileSync(path)).digest('hex')
          : '';
    // A folder's own time and length change when the tool makes its folders in it.
    const times = kind === 'folder' ? '' : `${entry.size} ${entry.mtimeMs}`;
    lines.push(`${shown} ${kind} ${entry.mode.toString(8)} ${times} ${content}`);
    if (kind !== 'folder') return;
    for (const name of readdirSync(path, 'buffer'))
      walk(Buffer.concat([path, Buffer.from('/'), name]), `${shown}/${name.toString('latin1')}`);
  };
  walk(Buffer.from(folder), '');
  return lines.sort();
}
