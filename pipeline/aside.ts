import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { mkdir, readdir, rm, stat } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { digest } from './digest.ts';

/** Where nobody can be asked who made it, what a run left behind is removed when it is so old. */
const LEFTOVER_MS = 3_600_000;
/** Process numbers mean something on the machine that gave them only. */
const HOST = digest(hostname()).slice(0, 6);
/** After the name: the machine and the process that made it, then what tells those of one process apart. */
const OWNER = /^-(?:([0-9a-f]{6})-(\d+)-)?[A-Za-z0-9]{6}$/;

/**
 * Makes a folder for this run alone, `name` and its owner in its own name, so that a later run can tell that nobody owns it any more.
 * Folders above it are made too. Returns its path; throws what the system refuses with. It is made without waiting: a signal then finds it
 * there, or not yet begun, and `removeOwn` misses none.
 */
export async function makeAside(parent: string, name: string): Promise<string> {
  await mkdir(parent, { recursive: true });
  return mkdtempSync(join(parent, `${name}-${HOST}-${process.pid}-`));
}

/**
 * Removes folders that `makeAside` made for runs that are over: those of this machine whose process has ended, and, of any other,
 * those an hour old. What cannot be removed stays.
 */
export async function removeOrphans(parent: string, name: string): Promise<void> {
  for (const entry of await readdir(parent).catch(() => [])) {
    const owner = ownerOf(entry, name);
    if (owner === null) continue;
    const path = join(parent, entry);
    if (owner === 'unknown' ? await isOld(path) : !isRunning(owner)) await removed(path);
  }
}

/** Removes, before this very process ends, what it made with `makeAside`. What stays is removed by the next run. */
export function removeOwn(parent: string, name: string): void {
  try {
    for (const entry of readdirSync(parent)) if (isOwn(entry, name)) removeWhileWritten(join(parent, entry));
  } catch {
    // There is none.
  }
}

/** How often, and how long apart, a folder is removed in which files still appear. */
const REMOVALS = { most: 40, apart_ms: 25 };

/** Removes a folder into which other threads may still be writing what they had begun: it is looked through again until it is gone. */
function removeWhileWritten(folder: string): void {
  const pause = new Int32Array(new SharedArrayBuffer(4));
  for (let removal = 0; removal < REMOVALS.most && existsSync(folder); removal++) {
    if (removal > 0) Atomics.wait(pause, 0, 0, REMOVALS.apart_ms);
    try {
      rmSync(folder, { recursive: true, force: true });
    } catch {
      // Something came while it was removed.
    }
  }
}

/** Removes a folder; what cannot be removed stays for a later run. */
export async function removed(path: string): Promise<void> {
  await rm(path, { recursive: true, force: true, maxRetries: 3 }).catch(() => undefined);
}

/** Whether this very process made a folder of that name. */
export function isOwn(entry: string, name: string): boolean {
  return ownerOf(entry, name) === process.pid;
}

/** The process that made a folder; `unknown` where that is not to be told here, null where it is none of that name. */
function ownerOf(entry: string, name: string): number | 'unknown' | null {
  if (!entry.startsWith(name)) return null;
  const found = OWNER.exec(entry.slice(name.length));
  if (found === null) return null;
  return found[1] === HOST ? Number(found[2]) : 'unknown';
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (fault) {
    return (fault as NodeJS.ErrnoException).code === 'EPERM';
  }
}

async function isOld(path: string): Promise<boolean> {
  return stat(path).then(
    ({ mtimeMs }) => Date.now() - mtimeMs > LEFTOVER_MS,
    () => false,
  );
}
