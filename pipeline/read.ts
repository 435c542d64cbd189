import { lstat, open, realpath, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { checkMaterials } from '../src/project/check-materials.ts';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import { findPhotos, type PhotoFile } from '../src/project/find-photos.ts';
import { assignTakes } from '../src/project/find-takes.ts';
import * as messages from '../src/project/messages.ts';
import { type ParsedProject, parseProject } from '../src/project/parse-project.ts';
import type { Project, TakeFile } from '../src/project/project.ts';
import type { Material } from '../src/room/materials.ts';
import { type Fingerprints, openFingerprints } from './fingerprints.ts';
import { filesOutside, listFiles } from './list-files.ts';
import { loadMaterials } from './load-materials.ts';
import { linkedOwnFolders } from './own-folders.ts';
import { PROJECT_FILE } from './project-file.ts';
import { systemReason } from './system-reason.ts';

const LARGEST_BYTES = 4_000_000;

/** A recording found for a stage, with the fingerprint of its bytes. */
export interface FoundTake extends TakeFile {
  /** null where the file could not be read. */
  sha256: string | null;
}

/** A photo of a stage, with the fingerprint of its bytes. */
export type FoundPhoto = PhotoFile & { sha256: string | null };

/** A project folder as read. */
export interface ReadProject {
  /** Absolute, links resolved. */
  folder: string;
  /** null where a diagnostic of severity error says why. */
  project: Project | null;
  takes: FoundTake[];
  photos: FoundPhoto[];
  /** The logo, relative to the folder; null where there is none that may be read. */
  logo: string | null;
  /** The table of materials, the project's own rows first. */
  materials: Material[];
  diagnostics: Diagnostic[];
}

/**
 * The first step: reads the project file, finds the recordings of every stage and fingerprints each. Nothing is written, and
 * nothing is opened for writing. What is wrong comes back as diagnostics; throws only where the folder itself is not there.
 *
 * @param options.allow folders outside the project that may be read too, where its file or a link in it leads there; absolute, links
 * resolved
 * @param options.fingerprints those of the folder; whoever opens them may keep them
 */
export async function readProject(
  folder: string,
  {
    allow = [],
    fingerprints = openFingerprints(folder),
  }: { allow?: readonly string[]; fingerprints?: Fingerprints } = {},
): Promise<ReadProject> {
  const root = await realpath(folder);
  const nothing = { folder: root, project: null, takes: [], photos: [], logo: null, materials: [] };
  const linked = await linkedOwnFolders(root);
  if (linked.length > 0) return { ...nothing, diagnostics: linked };
  const read = await readText(root);
  if ('fault' in read) return { ...nothing, diagnostics: [read.fault] };
  const { project, diagnostics, placeOf }: ParsedProject = parseProject(read.text, PROJECT_FILE, {
    outside: allow.length > 0,
  });
  if (project === null) return { ...nothing, diagnostics };

  const listed = await listFiles(root, { allow });
  const files = [...listed.files, ...(await filesOutside(root, allow))];
  const found = assignTakes(project, files, { placeOf, file: PROJECT_FILE });
  const takes = await fingerprinted(fingerprints, found.takes);
  const pictures = findPhotos(project, listed.files, { placeOf, file: PROJECT_FILE });
  const photos = await fingerprinted(fingerprints, pictures.photos);
  const logo = findLogo(project, files, placeOf);
  const { materials, diagnostics: ofMaterials } = await loadMaterials(root);
  const known = materials.map(({ id }) => id);
  const surfaces = checkMaterials(project, known, { placeOf, file: PROJECT_FILE });
  return {
    folder: root,
    project,
    takes,
    photos,
    logo: logo.file,
    materials,
    diagnostics: [
      ...diagnostics,
      ...surfaces,
      ...ofMaterials,
      ...logo.diagnostics,
      ...pictures.diagnostics,
      ...listed.diagnostics,
      ...found.diagnostics,
    ],
  };
}

/** The project file as text, or what keeps it from being read. */
async function readText(root: string): Promise<{ text: string } | { fault: Diagnostic }> {
  const path = join(root, PROJECT_FILE);
  const fault = (message: string): { fault: Diagnostic } => ({
    fault: { file: PROJECT_FILE, line: null, column: null, severity: 'error', message },
  });
  try {
    const entry = await lstat(path);
    if (entry.isSymbolicLink()) return fault(messages.projectFileIsLink());
    if (!entry.isFile()) return fault(messages.projectFileIsNoFile());
    if (entry.size > LARGEST_BYTES) return fault(messages.tooLong(LARGEST_BYTES));
    const file = await open(path, 'r');
    try {
      return { text: new TextDecoder('utf-8', { fatal: true }).decode(await file.readFile()) };
    } finally {
      await file.close();
    }
  } catch (error) {
    if (error instanceof TypeError) return fault(messages.notText());
    const missing = (error as NodeJS.ErrnoException).code === 'ENOENT';
    if (!missing) return fault(messages.projectFileUnreadable(systemReason(error)));
    const other = await exists(join(root, 'project.yml'));
    return fault(other ? messages.projectFileMisnamed('project.yml') : messages.noProjectFile());
  }
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}

/** Each file with its fingerprint. */
function fingerprinted<T extends { file: string }>(
  fingerprints: Fingerprints,
  files: readonly T[],
): Promise<(T & { sha256: string | null })[]> {
  return Promise.all(files.map(async (one) => ({ ...one, sha256: await fingerprints.of(one.file) })));
}

/** The logo that the project names, if it is among the files that may be read. */
function findLogo(
  project: Project,
  files: readonly string[],
  placeOf: ParsedProject['placeOf'],
): { file: string | null; diagnostics: Diagnostic[] } {
  const { logo } = project.branding;
  if (logo === undefined) return { file: null, diagnostics: [] };
  const file = logo.replace(/^\.\//, '');
  if (files.includes(file)) return { file, diagnostics: [] };
  const place = placeOf(['branding', 'logo']);
  const at = { file: PROJECT_FILE, line: place?.line ?? null, column: place?.column ?? null };
  return { file: null, diagnostics: [{ ...at, severity: 'warning', message: messages.logoMissing(logo) }] };
}
