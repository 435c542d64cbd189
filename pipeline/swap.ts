import { mkdir, mkdtemp, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';

/**
 * Builds a folder aside and swaps it in whole: `fill` writes into a new folder beside the old one, and only when it is
 * done does the new folder take the name. When `fill` throws, the earlier folder stands untouched.
 */
export async function swapIn(parent: string, name: string, fill: (folder: string) => Promise<void>): Promise<string> {
  const work = join(parent, '.decaybook');
  await mkdir(work, { recursive: true });
  const aside = await mkdtemp(join(work, `${name}-new-`));
  const target = join(parent, name);
  try {
    await fill(aside);
  } catch (fault) {
    await rm(aside, { recursive: true, force: true });
    throw fault;
  }
  const old = join(work, `${name}-old-${aside.slice(-6)}`);
  const had = await rename(target, old).then(
    () => true,
    () => false,
  );
  try {
    await rename(aside, target);
  } catch (fault) {
    if (had) await rename(old, target);
    await rm(aside, { recursive: true, force: true });
    throw fault;
  }
  await rm(old, { recursive: true, force: true });
  return target;
}
