import { access, constants, lstat, mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { Eta } from 'eta';
import { printable } from '../src/project/diagnostic.ts';
import { didYouMean } from '../src/project/did-you-mean.ts';
import { parseProject } from '../src/project/parse-project.ts';
import { type Project, PURPOSES, type Purpose } from '../src/project/project.ts';
import { wantedTakes } from '../src/project/wanted-takes.ts';
import { cannotWrite } from './cannot-write.ts';
import { EXIT } from './exit.ts';
import { PROJECT_FILE } from './project-file.ts';
import { readProject } from './read.ts';
import { recordingSheetPage } from './recording-sheet.ts';
import { resource } from './resources.ts';
import { diagnosticLine, PLAIN, told } from './terminal.ts';
import { replaceFile } from './write-files.ts';

export const SHEET_FILE = 'recording-sheet.html';

/** What a new project is told, each null where it was not. */
export interface NewProject {
  title: string | null;
  purpose: Purpose | null;
  room: { length: number; width: number; height: number } | null;
  /** The date of the report, year-month-day. */
  date: string;
}

/** Runs `new` with the values of its options as typed; returns the exit status. */
export async function newCommand(
  folder: string,
  options: { values: ReadonlyMap<string, string>; sheet: boolean },
): Promise<number> {
  const { values, sheet } = options;
  if (sheet) return sheetAgain(folder);
  const purpose = values.get('purpose') ?? null;
  if (purpose !== null && !isPurpose(purpose)) {
    const guess = didYouMean(purpose, PURPOSES);
    return fail(
      EXIT.usage,
      `--purpose cannot be "${purpose}": ${guess ? `did you mean ${guess}?` : `use ${PURPOSES.join(', ')}`}`,
    );
  }
  const room = values.has('room') ? roomOf(values.get('room')!) : null;
  if (values.has('room') && room === null) {
    return fail(
      EXIT.usage,
      `--room cannot be "${values.get('room')}": write length, width and height in metres, such as 5.2x3.6x2.6`,
    );
  }
  if (await isThere(join(folder, PROJECT_FILE))) {
    return fail(
      EXIT.failed,
      `${folder} holds a project already, and it was left as it is: choose another folder, or write its sheet again with --sheet`,
    );
  }
  const project = await newProject(folder, { title: values.get('title') ?? null, purpose, room, date: today() });
  const recordings = join('recordings', project.stages[0]!.id, Object.keys(project.positions)[0]!);
  process.stdout.write(
    [
      `Made ${printable(folder)}.`,
      '',
      `  ${PROJECT_FILE.padEnd(24)}fill in what you know; every line says what it is for`,
      `  ${SHEET_FILE.padEnd(24)}print it and take it into the room`,
      `  ${recordings.padEnd(24)}put the first recordings here`,
      '',
      `Then run: decaybook check ${printable(folder)}`,
      '',
    ].join('\n'),
  );
  return EXIT.done;
}

/**
 * Makes a project folder: a commented project file, the folders for recordings, the schema that editors complete from, and
 * the recording sheet. Returns the project as it reads. Nothing that is there already is written over: throws EEXIST where
 * the folder holds a project file, CannotWrite where the system refuses.
 */
export async function newProject(folder: string, told: NewProject): Promise<Project> {
  const template = await readFile(resource('new-project.yaml'), 'utf8');
  const text = new Eta({ autoEscape: false, autoTrim: false }).renderString(template, templateValues(folder, told));
  const { project, diagnostics } = parseProject(text, PROJECT_FILE);
  if (project === null) throw new Error(`the new project file does not parse: ${diagnostics[0]?.message}`);

  await makeFolder(folder);
  await writeNew(join(folder, PROJECT_FILE), text);
  for (const { id } of project.stages) {
    for (const position of Object.keys(project.positions)) {
      await mkdir(join(folder, 'recordings', id, position), { recursive: true });
    }
  }
  await mkdir(join(folder, 'photos'), { recursive: true });
  await mkdir(join(folder, '.decaybook'), { recursive: true });
  await replaceFile(join(folder, '.decaybook', 'project.schema.json'), await readFile(resource('project.schema.json')));
  await replaceFile(join(folder, SHEET_FILE), await recordingSheetPage(project));
  return project;
}

/** Makes a folder and those above it. Node says of a disk that can only be read that the folder is not there: what holds it is asked. */
async function makeFolder(folder: string): Promise<void> {
  try {
    await mkdir(folder, { recursive: true });
  } catch (fault) {
    const asked = access(dirname(resolve(folder)), constants.W_OK).then(
      () => fault,
      (refusal: unknown) => refusal,
    );
    throw cannotWrite(await asked, { what: folder });
  }
}

/** Writes a file where there is none. One that cannot be written whole is taken away again, so that it is in nobody's way. */
async function writeNew(path: string, text: string): Promise<void> {
  try {
    await writeFile(path, text, { flag: 'wx' });
  } catch (fault) {
    if ((fault as NodeJS.ErrnoException).code === 'EEXIST') throw fault;
    await rm(path, { force: true }).catch(() => undefined);
    throw cannotWrite(fault, { what: path });
  }
}

/** Writes the recording sheet of a project again, now that its file says more. */
async function sheetAgain(folder: string): Promise<number> {
  if (!(await isThere(folder))) return fail(EXIT.usage, `${folder} is not there: make it first, without --sheet`);
  const { project, diagnostics } = await readProject(folder);
  if (project === null) {
    for (const diagnostic of diagnostics) process.stderr.write(`${diagnosticLine(diagnostic, PLAIN)}\n`);
    return EXIT.failed;
  }
  await replaceFile(join(folder, SHEET_FILE), await recordingSheetPage(project));
  process.stdout.write(`Wrote ${printable(join(folder, SHEET_FILE))}.\n`);
  return EXIT.done;
}

function templateValues(folder: string, { title, purpose, room, date }: NewProject) {
  const name = basename(resolve(folder)).replaceAll(/[-_]+/g, ' ').trim() || 'My room';
  const words = title?.trim() || name.charAt(0).toUpperCase() + name.slice(1);
  const { positions } = wantedTakes(purpose ?? 'other');
  return {
    title: JSON.stringify(words),
    date,
    purpose: purpose ?? 'other',
    audience: 'self',
    length: room?.length ?? '',
    width: room?.width ?? '',
    height: room?.height ?? '',
    positions: Array.from({ length: positions }, (_, i) => String.fromCharCode('A'.charCodeAt(0) + i)),
    stages: [
      { id: 'bare', title: 'Before treatment', treated: false },
      { id: 'treated', title: 'After treatment', treated: true },
    ],
  };
}

/** Three lengths in metres, written 5.2x3.6x2.6; null where they are not that. */
function roomOf(text: string): NewProject['room'] {
  const sides = text.toLowerCase().split(/[x*×]/).map(Number);
  if (sides.length !== 3 || !sides.every((side) => side > 0 && side < 1000)) return null;
  const [length, width, height] = sides as [number, number, number];
  return { length, width, height };
}

function isPurpose(word: string): word is Purpose {
  return (PURPOSES as readonly string[]).includes(word);
}

async function isThere(path: string): Promise<boolean> {
  return lstat(path).then(
    () => true,
    () => false,
  );
}

/** Today where this computer stands, year-month-day. */
function today(): string {
  const now = new Date();
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

function fail(status: number, message: string): number {
  process.stderr.write(`${told(`decaybook: ${message}`, process.stderr)}\n`);
  return status;
}
