import { execFile } from 'node:child_process';
import { access, constants, mkdir, readFile, rename, stat } from 'node:fs/promises';
import { createRequire } from 'node:module';
import os from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { promisify } from 'node:util';
import { makeAside, removed, removeOrphans } from './aside.ts';

const run = promisify(execFile);

/** A browser that came inside an npm package, unpacked and seen to start. */
export interface BundledBrowser {
  executable: string;
  /** Variables it must be started with, over those of this process. */
  env: Record<string, string>;
}

/** Where the package unpacks to: its own code writes to the temporary folder, so a child process is given another one. */
const UNPACK = `
  const { default: chromium } = await import(process.env.DECAYBOOK_CHROMIUM_MODULE);
  chromium.setGraphicsMode = false;
  await chromium.executablePath();
`;

/**
 * Unpacks the browser of the optional package @sparticuz/chromium into the user's cache folder, once for each version, and
 * finds out whether it starts here: first with the libraries of this machine, then with those the package carries (for a
 * Linux without libnss3).
 *
 * Returns null where the package is not installed, the platform is not 64-bit Intel Linux, or the browser does not start.
 */
export async function bundledBrowser(
  env: Record<string, string | undefined> = process.env,
): Promise<BundledBrowser | null> {
  if (process.platform !== 'linux' || process.arch !== 'x64') return null;
  const found = await findPackage();
  if (!found) return null;
  try {
    return await startable(await unpack(found, env));
  } catch {
    return null;
  }
}

async function findPackage(): Promise<{ module: string; version: string } | null> {
  try {
    const entry = createRequire(import.meta.url).resolve('@sparticuz/chromium');
    const root = path.join(path.dirname(entry), '..', '..');
    const { version } = JSON.parse(await readFile(path.join(root, 'package.json'), 'utf8')) as { version: string };
    return { module: pathToFileURL(path.join(root, 'build', 'esm', 'index.js')).href, version };
  } catch {
    return null;
  }
}

/** The folder that holds the unpacked browser. Unpacked aside and renamed, so that two runs at once never see half of one. */
async function unpack(
  found: { module: string; version: string },
  env: Record<string, string | undefined>,
): Promise<string> {
  const cache = await ownFolder([
    path.join(env.XDG_CACHE_HOME || path.join(os.homedir(), '.cache'), 'decaybook'),
    path.join(os.tmpdir(), `decaybook-${os.userInfo().uid}`),
  ]);
  const home = path.join(cache, `chromium-${found.version}`);
  if (await exists(path.join(home, 'chromium'))) return home;
  await removeOrphans(cache, 'unpacking');
  const aside = await makeAside(cache, 'unpacking');
  try {
    await run(process.execPath, ['--input-type=module', '--eval', UNPACK], {
      env: {
        ...process.env,
        TMPDIR: aside,
        DECAYBOOK_CHROMIUM_MODULE: found.module,
        // Tells the package to unpack its libraries too: without it they come out only inside that cloud's containers.
        AWS_EXECUTION_ENV: 'AWS_Lambda_nodejs20.x',
      },
    });
    // Where another run was first, this is refused, and its own serves.
    await rename(aside, home).catch(() => undefined);
  } finally {
    await removed(aside);
  }
  return home;
}

/** The first of some folders that can be made, or is there, and belongs to this user alone: what lies in it will be run. */
async function ownFolder(folders: string[]): Promise<string> {
  for (const folder of folders) {
    try {
      await mkdir(folder, { recursive: true, mode: 0o700 });
      const { uid, mode } = await stat(folder);
      await access(folder, constants.W_OK);
      if (uid === os.userInfo().uid && (mode & 0o022) === 0) return folder;
    } catch {
      // The next one may do.
    }
  }
  throw new Error('no folder to unpack a browser into');
}

async function startable(home: string): Promise<BundledBrowser | null> {
  const executable = path.join(home, 'chromium');
  const libraries = [path.join(home, 'al2023', 'lib'), process.env.LD_LIBRARY_PATH].filter(Boolean).join(':');
  const tries: Record<string, string>[] = [{}, { LD_LIBRARY_PATH: libraries }];
  for (const env of tries) {
    try {
      await run(executable, ['--version'], { env: { ...process.env, ...env } });
      return { executable, env };
    } catch {
      // The next set of libraries, if any, may do.
    }
  }
  return null;
}

async function exists(file: string): Promise<boolean> {
  return access(file).then(
    () => true,
    () => false,
  );
}
