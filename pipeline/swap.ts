import fs, { existsSync, mkdirSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { chmod, readdir, rename, stat } from 'node:fs/promises';
import { basename, join, sep } from 'node:path';
import { isOwn, makeAside, removed, removeOrphans, removeOwn } from './aside.ts';
import { CannotWrite, cannotWrite } from './cannot-write.ts';

/** Another run of the same project is waited for: it holds the lock for the time of two renames. */
const WAIT = { retries: 60, minTimeout: 50, maxTimeout: 250, factor: 1.5 };
/** A lock that was not renewed for so long was left behind by a run that was ended by force. */
const STALE_MS = 3000;
/** What was kept while a run lasted only is removed when it is so old. */
const UNFINISHED_MS = 600_000;

/**
 * Builds a folder aside and swaps it in whole: `fill` writes into a new folder beside the old one, and only when it is
 * done does the new folder take the name. When `fill` throws, the earlier folder stands untouched. Of two runs at once each
 * swaps in its own, one after the other. Throws CannotWrite where the system does not let it write.
 */
export async function swapIn(parent: string, name: string, fill: (folder: string) => Promise<void>): Promise<string> {
  const work = workFolder(parent);
  const target = join(parent, name);
  const refused = async (fault: unknown) => {
    const told = cannotWrite(fault, { what: `${target}${sep}` });
    const stands = told instanceof CannotWrite && (await exists(target));
    return stands ? new CannotWrite(`${told.message}; the earlier ${name} stands`) : told;
  };
  const aside = await makeAside(work, `${name}-new`).catch(async (fault) => {
    throw await refused(fault);
  });
  try {
    // Loaded while what fills the folder waits for something; it is asked for again, and a failure told, where it is needed.
    import('proper-lockfile').catch(() => undefined);
    await fill(aside);
    // Made for this user alone; a report is for whoever may read the project.
    await chmod(aside, 0o777 & ~process.umask());
    await locked(parent, name, async () => {
      await exchange(aside, target, { work, name });
      await removeLeftovers(work, name);
    });
  } catch (fault) {
    await removed(aside);
    throw await refused(fault);
  }
  return target;
}

/**
 * Puts back the folder that a run had moved away when it was ended by force, before its new one took the name, and removes what such
 * runs left behind. Returns whether it put something back; does nothing where the folder stands, or none was moved away.
 */
export async function restoreInterrupted(parent: string, name: string): Promise<boolean> {
  const work = workFolder(parent);
  const entries = await readdir(work).catch((): string[] => []);
  if (entries.some((entry) => entry.startsWith(`${name}-`))) await removeOrphans(work, `${name}-new`);
  for (const entry of entries.filter((one) => one.startsWith(`${name}-gone-`))) await removed(join(work, entry));
  if (entries.includes('kept')) await removeUnfinished(join(work, 'kept', 'tmp'));
  // Looked at twice: without the lock, which most runs then need not wait for, and within it, where no other run is between its renames.
  if (!entries.some((entry) => entry.startsWith(`${name}-old-`))) return false;
  return locked(parent, name, async () => {
    const there = await exists(join(parent, name));
    if (there) await removeLeftovers(work, name);
    const old = there ? undefined : (await readdir(work)).filter((entry) => entry.startsWith(`${name}-old-`)).at(-1);
    if (old !== undefined) await rename(join(work, old), join(parent, name));
    return old !== undefined;
  });
}

/** Leaves everything whole when this very process is about to end: puts back what it moved away, removes what it had begun. */
export function abandonSwap(parent: string, name: string): void {
  const work = workFolder(parent);
  try {
    const old = readdirSync(work).find((entry) => isOwn(entry, `${name}-old`));
    if (old !== undefined && !existsSync(join(parent, name))) renameSync(join(work, old), join(parent, name));
    else if (old !== undefined) renameSync(join(work, old), join(work, old.replace('-old-', '-gone-')));
  } catch {
    // The next run puts it back.
  }
  for (const one of ['new', 'gone']) removeOwn(work, `${name}-${one}`);
  const lock = lockOf(parent, name);
  if (locksHeld.delete(lock)) rmSync(lock, { recursive: true, force: true });
}

function lockOf(parent: string, name: string): string {
  return join(workFolder(parent), `${name}.lock`);
}

/** Locks that this very process holds. */
const locksHeld = new Set<string>();

/** What the lock is made with. It is made without waiting: a signal then finds it there and noted, or not yet begun. */
const LOCK_FS: object = Object.assign(Object.create(fs), {
  mkdir: (path: string, done: (fault: unknown) => void) => {
    try {
      mkdirSync(path);
    } catch (fault) {
      done(fault);
      return;
    }
    locksHeld.add(path);
    done(null);
  },
});

function workFolder(parent: string): string {
  return join(parent, '.decaybook');
}

async function locked<T>(parent: string, name: string, work: () => Promise<T>): Promise<T> {
  const lockfilePath = lockOf(parent, name);
  // A lock that another run took for left behind is no fault here: a rename onto a folder that is there fails, and nothing is lost.
  const onCompromised = () => void locksHeld.delete(lockfilePath);
  let release: () => Promise<void>;
  const { lock } = await import('proper-lockfile');
  try {
    const options = { lockfilePath, retries: WAIT, stale: STALE_MS, onCompromised, fs: LOCK_FS };
    release = await lock(workFolder(parent), options);
  } catch (fault) {
    if ((fault as NodeJS.ErrnoException).code !== 'ELOCKED') throw fault;
    throw new CannotWrite(
      `${join(parent, name)}/ cannot be replaced, as another run is replacing it: let that end and run the command again`,
    );
  }
  try {
    return await work();
  } finally {
    await release().catch(() => undefined);
    locksHeld.delete(lockfilePath);
  }
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}

async function exchange(aside: string, target: string, { work, name }: { work: string; name: string }): Promise<void> {
  const old = join(work, basename(aside).replace(`${name}-new-`, `${name}-old-`));
  const had = await rename(target, old).then(
    () => true,
    (fault: NodeJS.ErrnoException) => {
      if (fault.code === 'ENOENT') return false;
      throw fault;
    },
  );
  try {
    await rename(aside, target);
  } catch (fault) {
    if (had) await rename(old, target);
    throw fault;
  }
}

/** Removes earlier folders that were moved away, under another name first: what is half removed is never put back. */
async function removeLeftovers(work: string, name: string): Promise<void> {
  for (const entry of await readdir(work)) {
    const gone = entry.replace(`${name}-old-`, `${name}-gone-`);
    if (entry.startsWith(`${name}-old-`)) await rename(join(work, entry), join(work, gone)).catch(() => undefined);
    if (gone.startsWith(`${name}-gone-`)) await removed(join(work, gone));
  }
  await removeOrphans(work, `${name}-new`);
}

/** What is kept is written aside too; a run that was ended by force leaves that behind. */
async function removeUnfinished(folder: string): Promise<void> {
  for (const entry of await readdir(folder).catch((): string[] => [])) {
    const { mtimeMs } = await stat(join(folder, entry)).catch(() => ({ mtimeMs: Date.now() }));
    if (Date.now() - mtimeMs > UNFINISHED_MS) await removed(join(folder, entry));
  }
}
