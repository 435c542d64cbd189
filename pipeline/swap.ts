import { mkdir, mkdtemp, readdir, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { lock } from 'proper-lockfile';

/** Another run of the same project is waited for: it holds the lock for the time of two renames. */
const WAIT = { retries: 60, minTimeout: 50, maxTimeout: 250, factor: 1.5 };
/** What a run leaves behind that was ended by force is removed when it is so old. */
const LEFTOVER_MS = 3_600_000;

/**
 * Builds a folder aside and swaps it in whole: `fill` writes into a new folder beside the old one, and only when it is
 * done does the new folder take the name. When `fill` throws, the earlier folder stands untouched. Of two runs at once each
 * swaps in its own, one after the other.
 */
export async function swapIn(parent: string, name: string, fill: (folder: string) => Promise<void>): Promise<string> {
  const work = join(parent, '.decaybook');
  await mkdir(work, { recursive: true });
  const aside = await mkdtemp(join(work, `${name}-new-`));
  const target = join(parent, name);
  try {
    await fill(aside);
    const release = await lock(work, { lockfilePath: join(work, `${name}.lock`), retries: WAIT });
    try {
      await exchange(aside, target, join(work, `${name}-old-${aside.slice(-6)}`));
      await removeLeftovers(work, name);
    } finally {
      await release();
    }
  } catch (fault) {
    await rm(aside, { recursive: true, force: true });
    throw fault;
  }
  return target;
}

/**
 * Puts back the folder that a run had moved away when it was ended by force, before its new one took the name. Does nothing where the folder
 * stands, or none was moved away.
 */
export async function restoreInterrupted(parent: string, name: string): Promise<void> {
  const work = join(parent, '.decaybook');
  const moved = async () => {
    if (await exists(join(parent, name))) return undefined;
    return (await readdir(work).catch(() => [])).filter((entry) => entry.startsWith(`${name}-old-`)).at(-1);
  };
  // Looked at twice: without the lock, which most runs then need not wait for, and within it, where no other run is between its renames.
  if ((await moved()) === undefined) return;
  const release = await lock(work, { lockfilePath: join(work, `${name}.lock`), retries: WAIT });
  try {
    const old = await moved();
    if (old !== undefined) await rename(join(work, old), join(parent, name));
  } finally {
    await release();
  }
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}

async function exchange(aside: string, target: string, old: string): Promise<void> {
  const had = await rename(target, old).then(
    () => true,
    () => false,
  );
  try {
    await rename(aside, target);
  } catch (fault) {
    if (had) await rename(old, target);
    throw fault;
  }
  await rm(old, { recursive: true, force: true });
}

async function removeLeftovers(work: string, name: string): Promise<void> {
  const entries = await readdir(work);
  for (const entry of entries.filter((one) => one.startsWith(`${name}-new-`) || one.startsWith(`${name}-old-`))) {
    const { mtimeMs } = await stat(join(work, entry));
    if (Date.now() - mtimeMs > LEFTOVER_MS) await rm(join(work, entry), { recursive: true, force: true });
  }
}
