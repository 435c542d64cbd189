/**
 * Every sentence about the project file and its recordings, as functions of what was found.
 * Each says what is wrong, then, after the colon, how to mend it. The file, line and column are printed before it.
 */

/** What a field wants. */
export interface Hint {
  /** A value as a person would write it, such as `5.2`. */
  example: string;
  /** What it means, such as `metres`; empty where the example says it all. */
  meaning: string;
}

const write = ({ example, meaning }: Hint): string => `write, for example, ${example}${inBrackets(meaning)}`;
const add = (key: string, { example, meaning }: Hint): string =>
  `add, for example, "${key}: ${example}"${inBrackets(meaning)}`;
const inBrackets = (meaning: string): string => (meaning === '' ? '' : ` (${meaning})`);
const list = (names: readonly string[]): string => names.join(', ');
const meant = (guess: string | null, otherwise: string): string =>
  guess === null ? otherwise : `did you mean ${guess}?`;

/** More faults of one kind than this help nobody: the first are enough to begin with. */
export const MOST_FAULTS = 50;

/* The text as YAML */

export const tooLong = (limit_characters: number): string =>
  `the file is longer than ${limit_characters} characters: it is hardly a project file; begin from one made by "decaybook new"`;

export const emptyFile = (): string => 'the file is empty: begin from one made by "decaybook new"';

export const notAMap = (found: string): string =>
  `the file holds ${found} where lines such as "title: My room" are needed: begin from one made by "decaybook new"`;

export const tabIndent = (): string => 'a tab is used to indent: use spaces';

export const duplicateKey = (key: string): string => `"${key}" is written twice in the same place: remove one of them`;

export const badIndent = (): string =>
  'this line is not indented like its neighbours: line it up with those it belongs to';

export const unclosedQuote = (): string => 'a quotation mark is not closed: close it on the same line';

export const unclosedBracket = (): string => 'a bracket is not closed, or a comma is missing in it: complete it';

export const colonInText = (): string =>
  'a second colon makes this read as a key within a key: put the text in quotes, or correct the indent of the next line';

export const keyWithoutColon = (): string =>
  'this line is neither a key nor part of the text above: write "key: value", or indent it under its key';

export const strayAtSign = (): string => 'a text may not begin with @ or a backtick: put it in quotes';

export const severalDocuments = (): string => 'a line of three dashes begins a second file here: keep one only';

export const unknownAnchor = (name: string): string =>
  `*${name} refers to a value marked &${name}, and there is none above it: write the value out, or put the text in quotes`;

export const tooManyAliases = (): string => 'too many values refer to one another with & and *: write them out';

export const tooDeep = (): string =>
  'values are nested too deeply to read: write the file as in one made by "decaybook new"';

export const otherSyntax = (reason: string): string =>
  `the file cannot be read from here on (${reason}): correct the line, or put its text in quotes`;

/* Keys and values */

export const missingKey = (key: string, hint: Hint): string => `"${key}" is missing: ${add(key, hint)}`;

export const blankKey = (key: string, hint: Hint): string => `"${key}" has no value: ${write(hint)}`;

export const colourIsComment = (): string =>
  'the colour is read as a comment because # begins one: put it in quotes, such as "#2b4a66"';

export const unknownKey = (key: string, guess: string | null, known: readonly string[]): string =>
  `"${key}" is not known here: ${meant(guess, `remove it, or use one of ${list(known)}`)}`;

export const unknownOctave = (key: string, known: readonly string[]): string =>
  `"${key}" is no octave band: use ${list(known)}`;

export const wrongType = (name: string, wanted: string, found: string, hint: Hint): string =>
  `"${name}" needs ${wanted} but is ${found}: ${write(hint)}`;

export const unknownWord = (name: string, found: string, guess: string | null, known: readonly string[]): string =>
  `"${name}" cannot be ${found}: ${guess === null ? 'use' : `did you mean ${guess}? It is`} one of ${list(known)}`;

export const newerFormat = (found: string): string =>
  `this file has format ${found}, and this version of decaybook reads format 1: update decaybook to version ${found}.0.0 or later`;

export const reportIsNewer = (format: number, tool: string | null): string =>
  `this report was written by a later version of decaybook, in format ${format}, and would be lost: update decaybook to version ${tool ?? `${format}.0.0`} or later, or move the report folder away`;

export const issuesDamaged = (): string =>
  'the list of issues of this report is damaged, and would be lost: put the file back as it was, or remove it to count from issue 1 again';

export const sweepIsNewer = (format: number): string =>
  `has format ${format}, and this version of decaybook reads format 1: update decaybook to version ${format}.0.0 or later`;

export const wrongFormat = (): string => 'the first line must say which format the file has: write "decaybook: 1"';

export const badDate = (name: string, found: string): string =>
  `"${name}" is ${found}, which is no day of the calendar: write year-month-day, such as 2026-05-12`;

export const badId = (name: string, found: string): string =>
  `${name} is ${found}, which cannot name a folder everywhere: use letters, digits, dots, dashes and underscores, with a letter or digit at either end, and no name that Windows keeps for a device, such as con`;

export const badColour = (found: string): string =>
  `the colour is ${found}: write it as # and six digits from 0 to f in quotes, such as "#2b4a66"`;

export const badCurrency = (found: string): string =>
  `the currency is ${found}: write its three-letter code in capitals, such as EUR`;

export const outOfRange = (name: string, found: string, limit: string, hint: Hint): string =>
  `"${name}" is ${found} but must be ${limit}: ${write(hint)}`;

export const emptyText = (name: string, hint: Hint): string => `"${name}" is empty: ${write(hint)}`;

export const wrongCount = (name: string, wanted: string, hint: Hint): string =>
  `"${name}" needs ${wanted}: ${write(hint)}`;

export const noStages = (): string => '"stages" is empty: add the first stage, "- id: bare"';

export const notUnderstood = (name: string, hint: Hint): string => `"${name}" is not understood: ${write(hint)}`;

/* What does not fit together */

export const stageTwice = (id: string, firstLine: number | null): string =>
  `a second stage is called ${id}${firstLine === null ? '' : ` (first on line ${firstLine})`}: give each its own id`;

export const namesDifferInCapitals = (what: string, a: string, b: string): string =>
  `${what} ${a} and ${b} differ in capitals only, and are one folder on many computers: rename one`;

export const unknownStage = (id: string, guess: string | null, known: readonly string[]): string =>
  `no stage is called ${id}: ${meant(guess, `use one of ${list(known)}`)}`;

export const comparedWithItself = (id: string): string =>
  `stage ${id} is compared with itself: name two different stages`;

export const pairIncomplete = (): string =>
  'each entry of "compare" names two stages: write, for example, [bare, curtains]';

export const comparedTwice = (from: string, to: string): string =>
  `the pair ${from}, ${to} is listed twice: remove one of them`;

export const unknownPosition = (id: string, guess: string | null, known: readonly string[]): string =>
  `no position is called ${id}: ${meant(guess, `add it under "positions", or use one of ${list(known)}`)}`;

export const noRoomSize = (): string =>
  'the size of the room is not stated, so absorption, room modes, distances and what to do next are left out: add length, width and height';

export const partOfBox = (missing: readonly string[]): string =>
  `the room has no ${missing.join(' and no ')}, so its volume is unknown, and absorption, room modes and what to do next are left out: add ${missing.length === 1 ? 'it' : 'them'}, or write volume and surface_area`;

export const noSurface = (): string =>
  'the room has a volume but no surface_area, so predictions of its decay are left out: add the area of walls, floor and ceiling';

export const noVolume = (): string =>
  'the room has a surface_area but no volume, so absorption and what to do next are left out: add volume';

export const volumeDisagrees = (stated_m3: number, box_m3: number): string =>
  `volume is ${stated_m3} m3 but length, width and height give ${box_m3.toFixed(1)} m3, and the stated volume is used: correct one, or remove it if the room is a box`;

export const outsideRoom = (what: string, name: string, axis: string, value_m: number, size_m: number): string =>
  `the ${what} of position ${name} stands at ${value_m} m along the ${axis}, but the room is ${size_m} m there: correct one of them`;

export const costWithoutCurrency = (): string =>
  'costs are given without a currency, so they are printed as bare numbers: add "currency: EUR" or another';

export const budgetWithoutCurrency = (): string =>
  'the budget is given without a currency, so it is printed as a bare number: add "currency: EUR" or another';

export const unknownMaterial = (id: string, guess: string | null): string =>
  `${id} is in no table of materials, so the bare room is not predicted from its surfaces: ${meant(guess, 'use the id of a row, or add a row of your own in materials.yaml beside the project file')}`;

export const noMaterialRows = (): string =>
  'there is no list under "materials": add rows such as "- {id: my-board, name: my board, use: lining, absorption: {500: 0.1}, source: leaflet}"';

export const noMaterialHeading = (): string =>
  'the first line does not name the columns id and name: write, for example, "id,name,use,thickness,air_gap,125,250,500,1000,2000,4000,source"';

export const badMaterial = (name: string, reason: string): string =>
  `the material ${name} cannot be used, as ${reason}: a row needs id (small letters, digits and dashes), name, use (lining, absorber or piece), absorption from 0 to 1.3 by octave, and source`;

export const materialTwice = (id: string): string => `the material ${id} stands twice: remove one of the rows`;

export const dateRunsBackwards = (id: string, date: string, before: string, dateBefore: string): string =>
  `stage ${id} is dated ${date}, before stage ${before} above it (${dateBefore}): list the stages in the order they came about, or correct a date`;

export const stageAfterReport = (id: string, date: string, reportDate: string): string =>
  `stage ${id} is dated ${date}, after the report itself (${reportDate}): correct one of them`;

export const backslash = (path: string): string => `${path} is written with backslashes: use forward slashes`;

export const outsideFolder = (path: string): string =>
  `${path} lies outside the project folder: copy it in and name it from there, or name its folder with --allow`;

export const absolutePath = (path: string): string =>
  `${path} is named from the top of the disk: name it from the project folder`;

/* Recordings and folders */

export const stageFolderUnknown = (folder: string, guess: string | null): string =>
  `${folder} holds recordings, but no stage has that id: ${
    guess === null
      ? 'they are not used; add a stage of that id, or remove the folder'
      : `did you mean ${guess}? Rename the folder`
  }`;

export const positionFolderUnknown = (name: string, guess: string | null): string =>
  guess === null
    ? `position ${name} is not listed under "positions", so nothing is known of where it was: add it there`
    : `no position is called ${name}: did you mean ${guess}? Rename the folder`;

export const loosePosition = (count: number, position: string, folder: string): string =>
  `${recordings(count)} directly in ${folder} taken as position ${position}: use a folder for each position if there were several`;

export const looseAmbiguous = (count: number, folder: string, positions: readonly string[]): string =>
  `${recordings(count)} directly in ${folder}, and the position is unknown: move ${count === 1 ? 'it' : 'them'} into a folder named after one of ${list(positions)}`;

export const positionNotStated = (file: string, positions: readonly string[]): string =>
  `the position of ${file} is not stated: add "position:" with one of ${list(positions)}`;

export const tooFarDown = (count: number, folder: string): string =>
  `${recordings(count)} in ${folder} not used, being too many folders down: move ${count === 1 ? 'it' : 'them'} up into recordings/<stage>/<position>/`;

export const noStageFolder = (count: number): string =>
  `${recordings(count)} directly in recordings/ not used, as the stage is unknown: move ${count === 1 ? 'it' : 'them'} into recordings/<stage>/<position>/`;

export const listedFileMissing = (path: string, guess: string | null): string =>
  `${path} is not in the project folder: ${meant(guess, 'put it there, or correct the name')}`;

export const setAsideMissing = (path: string, guess: string | null): string =>
  `${path} is to be set aside but is no recording of any stage: ${meant(guess, 'correct the name, or remove the entry')}`;

export const patternFindsNothing = (pattern: string, guess: string | null): string =>
  `no recording matches ${pattern}: ${meant(guess, 'record, or correct the pattern')}`;

export const notARecording = (path: string): string =>
  `${path} is no audio file by its ending: name a recording, best a WAV file`;

export const claimedTwice = (file: string, firstLine: number | null): string =>
  `${file} is listed a second time${firstLine === null ? '' : ` (first on line ${firstLine})`}: list each recording once`;

export const stageWithoutRecordings = (id: string, folder: string): string =>
  `stage ${id} has no recordings yet: put them into ${folder}`;

export const noRecordingsYet = (folder: string): string =>
  `no recordings yet: put those of the first stage into ${folder}`;

export const logoMissing = (path: string): string =>
  `${path} is not in the project folder, so the report has no logo: put it there, or correct the name`;

export const photoMissing = (path: string): string =>
  `${path} is not in the project folder, so the report does not show it: put it there, or correct the name`;

export const photoKind = (path: string): string =>
  `${path} is no JPEG or PNG, so the report does not show it: export it as JPEG`;

export const photoUnreadable = (path: string): string =>
  `${path} cannot be read as a JPEG or PNG, so the report does not show it: export it again as JPEG`;

export const printedAsRoot = (): string =>
  'printed as the root user, whom the browser gives no sandbox: run decaybook as a user of your own';

/* Reading the folder */

export const noProjectFile = (): string => 'there is no project.yaml in this folder: make one with "decaybook new"';

export const projectFileUnreadable = (reason: string): string =>
  `the project file cannot be read (${reason}): give yourself leave to read it`;

export const notText = (): string => 'the file is not text in UTF-8: save it again as UTF-8';

export const projectFileIsNoFile = (): string =>
  'there is something of this name that is no file: move it away, and put the project file here or make one with "decaybook new"';

export const projectFileMisnamed = (name: string): string =>
  `the project file is called ${name} here: rename it to project.yaml`;

export const projectFileIsLink = (): string =>
  'the project file is a link, and links are not followed: put the file itself here';

export const ownFolderIsLink = (): string =>
  'this is a link, and the tool writes only into folders of the project itself: remove the link';

export const ownFolderIsFile = (): string =>
  'the tool makes a folder of this name, and this is none: move it away or give it another name';

export const cannotBeWritten = (reason: string): string =>
  `no report can be written here (${reason}): copy the project folder to where you may write; "decaybook check" needs no leave to write`;

export const reportPutBack = (): string =>
  'a run was ended by force while it replaced the report, and the earlier one was put back: nothing is lost, run "decaybook report" for the new one';

export const reportNotPutBack = (reason: string): string =>
  `a run was ended by force while it replaced the report, and the earlier one cannot be put back (${reason}): it lies in .decaybook/, in the folder that begins with report-old`;

export const linkNotFollowed = (): string =>
  'this is a link out of the project folder, to a folder or to nothing, and is not followed: copy in what it points to, or name its folder with --allow';

export const sweepIsLink = (): string => 'is a link, and links are not followed here: put the file itself here';

export const fileIsLink = (): string => 'this is a link, and links are not followed here: put the file itself here';

export const folderUnreadable = (reason: string): string =>
  `the folder cannot be read (${reason}): give yourself leave to read it`;

function recordings(count: number): string {
  return count === 1 ? 'a recording' : `${count} recordings`;
}
