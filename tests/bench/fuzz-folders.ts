import { execFileSync, spawnSync } from 'node:child_process';
import { chmodSync, existsSync, lstatSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageFolder } from '../../pipeline/resources.ts';
import { type Draw, drawFrom } from '../hostile/draw.ts';
import { hostileFolder, type Place, SECRET, snapshot, TWISTS } from '../hostile/folders.ts';
import { MOST_MB } from './fuzz-guard.ts';

const MAIN = join(packageFolder(), 'dist', 'pipeline', 'main.js');
const LONGEST_MS = 45_000;
const LONGEST_PROCESSOR_S = 10;
/** The process tells at its end what it used. */
const TELL = `data:text/javascript,${encodeURIComponent(
  "import { isMainThread } from 'node:worker_threads'; if (isMainThread) process.on('exit', () => { const u = process.resourceUsage(); process.stderr.write('\\nUSED ' + JSON.stringify([u.userCPUTime + u.systemCPUTime, u.maxRSS]) + '\\n'); });",
)}`;
const ROOT = process.getuid?.() === 0;
const has = (program: string): boolean => spawnSync(program, ['--version']).error === undefined;
/** As root no permission bites: a part of the cases is run as a user without rights, where the system has the means. */
export const OTHER_USER = ROOT && has('setpriv') ? ['setpriv', '--reuid=65534', '--regid=65534', '--clear-groups'] : [];
const STRACE = has('strace');

export interface FolderOutcome {
  what: string;
  fault: string | null;
  processor_ms: number;
  peak_mb: number;
  traced: boolean;
  asOther: boolean;
}

/** Runs the real command on one drawn folder, and says what is wrong with what came of it. */
export function folderCase(base: string, name: string): FolderOutcome {
  const draw = drawFrom(name);
  const twists = draw.many(draw.pick([1, 1, 2, 3]), () => draw.pick(Object.keys(TWISTS)));
  const command = draw.pick([['check'], ['check', '--json'], ['report', '--no-pdf'], ['report', '--no-pdf', '--json']]);
  const asOther = OTHER_USER.length > 0 && draw.chance(0.5);
  const traced = STRACE && draw.chance(0.2);
  const what = `${command.join(' ')}${asOther ? ' as another user' : ''}: ${twists.join(' + ')}`;
  rmSync(base, { recursive: true, force: true });
  mkdirSync(base, { recursive: true });
  const outcome = { what, processor_ms: 0, peak_mb: 0, traced, asOther };
  try {
    const place = made(base, twists, draw);
    if (asOther) execFileSync('chown', ['-hR', '65534:65534', base]);
    const before = [snapshot(place.outside), ownOf(place)];
    const trace = join(base, 'trace');
    const { status, signal, stdout, stderr } = spawnSync(
      '/usr/bin/env',
      [
        ...(traced ? ['strace', '-f', '-qq', '-s', '300', '-e', 'trace=open,openat', '-o', trace] : []),
        ...(asOther ? OTHER_USER : []),
        process.execPath,
        '--import',
        TELL,
        MAIN,
        ...command,
        place.project,
      ],
      {
        encoding: 'utf8',
        timeout: LONGEST_MS,
        killSignal: 'SIGKILL',
        env: { ...process.env, HOME: base },
        maxBuffer: 1e9,
      },
    );
    const used = /USED (.*)/.exec(stderr)?.[1];
    const [cpu_us, rss_kb] = used === undefined ? [0, 0] : (JSON.parse(used) as [number, number]);
    const told = { ...outcome, processor_ms: cpu_us / 1000, peak_mb: rss_kb / 1024 };
    const fault =
      (signal !== null ? `ended by ${signal}` : null) ??
      faultOfText(status, stdout, stderr.replace(/\nUSED .*\n/, '')) ??
      (told.peak_mb > MOST_MB ? `${told.peak_mb.toFixed(0)} MB of memory` : null) ??
      (told.processor_ms > 1000 * LONGEST_PROCESSOR_S && !traced ? `${told.processor_ms.toFixed(0)} ms` : null) ??
      difference(before[0]!, snapshot(place.outside), 'outside') ??
      difference(before[1]!, ownOf(place), 'in the project') ??
      secretIn(place, stdout + stderr) ??
      (traced ? readOutside(trace, place) : null);
    return { ...told, fault };
  } catch (error) {
    return { ...outcome, fault: `threw ${error instanceof Error ? error.stack : error}` };
  }
}

/** Some twists undo each other: the folder is made with those that can be. */
function made(base: string, twists: readonly string[], draw: Draw): Place {
  try {
    return hostileFolder(base, twists, draw);
  } catch {
    execFileSync('chmod', ['-R', 'u+rwX', base]);
    rmSync(base, { recursive: true, force: true });
    return hostileFolder(base, twists.slice(0, 1), draw);
  }
}

const ownOf = ({ project }: Place): string[] => snapshot(project, ['/report', '/.decaybook']);

function difference(before: readonly string[], after: readonly string[], where: string): string | null {
  const lines = [...before.filter((line) => !after.includes(line)), ...after.filter((line) => !before.includes(line))];
  return lines.length === 0 ? null : `changed ${where}: ${lines.slice(0, 3).join(' | ')}`;
}

function faultOfText(status: number | null, stdout: string, stderr: string): string | null {
  if (status === null || ![0, 1, 2].includes(status)) return `exit status ${status}: ${stderr.slice(-300)}`;
  const all = stdout + stderr;
  const inside =
    /a fault of the tool itself.*|TypeError.*|RangeError.*|\n {4}at .*|\bundefined\b.*|\[object .*|Warning: .*/.exec(
      all,
    );
  if (inside) return `said: ${inside[0].slice(0, 300)}`;
  if (/\p{Cc}/u.test(stdout.replaceAll('\n', ''))) return 'control letters on the terminal';
  if (status !== 0 && all.trim() === '') return 'refused without a word';
  return null;
}

function secretIn({ project }: Place, said: string): string | null {
  if (said.includes(SECRET)) return 'told what stands outside';
  const folder = join(project, 'report');
  if (!existsSync(folder) || !lstatSync(folder).isDirectory()) return null;
  let found: string | null = null;
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    const path = join(entry.parentPath, entry.name);
    if (!entry.isFile() || lstatSync(path).size > 100_000_000) continue;
    if (
      readFileSync(path, 'latin1').includes(SECRET) ||
      readFileSync(path, 'latin1').includes(Buffer.from(SECRET).toString('base64').slice(2, 20))
    )
      found = `${path} holds what stands outside`;
  }
  return found;
}

/** Which files beside the project the system was asked to open. */
function readOutside(trace: string, { outside }: Place): string | null {
  const line = readFileSync(trace, 'utf8')
    .split('\n')
    .find((one) => one.includes(`"${outside}`) && !one.includes('= -1'));
  return line === undefined ? null : `opened: ${line}`;
}

/** Makes a folder that can be removed again. */
export function removeCase(base: string): void {
  if (!existsSync(base)) return;
  chmodSync(base, 0o700);
  execFileSync('chmod', ['-R', 'u+rwX', base]);
  rmSync(base, { recursive: true, force: true });
}

/** Notes how a failing case is made again. */
export function noteCase(folder: string, { what, fault }: FolderOutcome, name: string): string {
  const file = join(folder, `${name.replaceAll(/[^a-z0-9]+/gi, '-')}.txt`);
  writeFileSync(file, `${name}\n${what}\n${fault}\n`);
  return file;
}
