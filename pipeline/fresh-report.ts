import { readdir } from 'node:fs/promises';
import { join, sep } from 'node:path';
import { readResults } from '../src/report/read-results.ts';
import type { Results } from '../src/report/results.ts';
import { digest } from './digest.ts';
import { keepFolder, kept, put, type StepInputs, tellStep } from './keep.ts';
import type { ReadProject } from './read.ts';
import { readRegular } from './read-regular.ts';
import { readSweep } from './sweep-file.ts';
import type { FilesToWrite } from './write-files.ts';

/** Raised whenever the same inputs would give another report and the code alone does not show it. */
const REPORT_VERSION = 1;

/** No file of a report, and no logo, is as long. */
const LARGEST_BYTES = 200_000_000;

/** Every file of a report, by its path with slashes, and the SHA-256 of its bytes. */
type Manifest = Record<string, string | null>;

/** What a whole report depends on: the project as read, the content of all it reads, and whether a PDF is wanted. */
export async function reportStep(read: ReadProject, pdf: boolean): Promise<StepInputs> {
  const { folder, project, takes, photos, logo, materials } = read;
  const inputs = {
    project,
    takes: Object.fromEntries(takes.map((take) => [take.file, take])),
    photos,
    materials: digest(JSON.stringify(materials)),
    sweep: await readSweep(folder),
    logo: logo === null ? null : await digestOfFile(join(folder, logo)),
    pdf,
  };
  return { step: 'report', version: REPORT_VERSION, code: 'report', subject: 'report', inputs };
}

/**
 * The results of the report that lies in the project folder, if it was made from these very inputs and every file of it is
 * still as it was written; else null, and the report has to be made.
 */
export async function freshReport(folder: string, step: StepInputs): Promise<Results | null> {
  const found = await kept(keepFolder(folder), step);
  if (found === null) return null;
  try {
    const report = join(folder, 'report');
    const manifest = JSON.parse(found.toString('utf8')) as Manifest;
    const { there, results: written } = await manifestOf(report);
    if (JSON.stringify(there) !== JSON.stringify(manifest)) throw new Error('altered');
    const results = readResults(written.toString('utf8'));
    if (results.is !== 'read') throw new Error(results.is);
    return results.value;
  } catch {
    tellStep({ step: 'report', subject: 'report', ran: true, reason: 'the report folder is gone or was altered' });
    return null;
  }
}

/** What `freshReport` will hold a report of these files against. */
export function manifestFor(files: FilesToWrite): Manifest {
  return Object.fromEntries([...files].map(([name, content]) => [name, digest(content)]));
}

/** Notes that the report with this manifest was made from these inputs. */
export async function noteReport(folder: string, step: StepInputs, manifest: Manifest): Promise<void> {
  await put(keepFolder(folder), step, JSON.stringify(sorted(manifest)));
}

/** By name, in code-unit order. */
function sorted(manifest: Manifest): Manifest {
  return Object.fromEntries(Object.entries(manifest).sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** What lies in a report folder, where a file that cannot be read has no digest, and the results among it. */
async function manifestOf(report: string): Promise<{ there: Manifest; results: Buffer }> {
  const entries = await readdir(report, { recursive: true, withFileTypes: true });
  let results: Buffer = Buffer.alloc(0);
  const digests = entries
    .filter((entry) => !entry.isDirectory())
    .map(async (entry): Promise<[string, string | null]> => {
      const path = join(entry.parentPath, entry.name);
      const name = path.slice(report.length + 1).replaceAll(sep, '/');
      const content = await readRegular(path, { most_bytes: LARGEST_BYTES, links: true }).catch(() => null);
      if (content === null) return [name, null];
      if (name === 'results.json') results = content;
      return [name, digest(content)];
    });
  return { there: sorted(Object.fromEntries(await Promise.all(digests))), results };
}

async function digestOfFile(path: string): Promise<string | null> {
  return readRegular(path, { most_bytes: LARGEST_BYTES, links: true }).then(digest, () => null);
}
