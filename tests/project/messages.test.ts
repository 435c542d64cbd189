import { describe, expect, test, vi } from 'vitest';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { assignTakes } from '../../src/project/find-takes.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import { SAID_BY_READING } from './said-by-reading.ts';

/** Messages that were made while the tests ran. */
const made = vi.hoisted(() => new Set<string>());

vi.mock('../../src/project/messages.ts', async (original) => {
  const messages = await original<Record<string, ((...found: unknown[]) => string) | number>>();
  return Object.fromEntries(
    Object.entries(messages).map(([name, message]) => [
      name,
      typeof message !== 'function'
        ? message
        : (...found: unknown[]) => {
            made.add(name);
            return message(...found);
          },
    ]),
  );
});

const HEAD = 'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\n';
const SOUND = `${HEAD}stages:\n  - id: bare\n`;
const TAKES = `${SOUND}    takes:\n`;
const roomless = (room: string): string => `${SOUND.replace(/room:.*\n/, '')}room: ${room}\n`;

/** What a terminal shows for a project file and the files beside it. */
function shown(text: string, files: string[] | null): string {
  const { project, diagnostics, placeOf } = parseProject(text, 'project.yaml');
  const found = project === null || files === null ? [] : assignTakes(project, files, { placeOf }).diagnostics;
  return [...diagnostics, ...found].map(formatDiagnostic).join('\n');
}

/** Name of the message, the project file that calls for it, and every line the terminal shows. */
const TEXTS: [name: string, text: string, shown: string][] = [
  [
    'tooLong',
    '#'.repeat(200_001),
    'project.yaml:1:1: error: the file is longer than 200000 characters: it is hardly a project file; begin from one made by "decaybook new"',
  ],
  [
    'emptyFile',
    '# nothing yet\n',
    'project.yaml:1:1: error: the file is empty: begin from one made by "decaybook new"',
  ],
  [
    'notAMap',
    '- a\n',
    'project.yaml:1:1: error: the file holds a list where lines such as "title: My room" are needed: begin from one made by "decaybook new"',
  ],
  ['tabIndent', 'room:\n\tlength: 5\n', 'project.yaml:2:1: error: a tab is used to indent: use spaces'],
  [
    'duplicateKey',
    `${SOUND}title: again\n`,
    'project.yaml:7:1: error: "title" is written twice in the same place: remove one of them',
  ],
  [
    'badIndent',
    'room:\n    length: 5\n  width: 4\n',
    'project.yaml:3:1: error: this line is not indented like its neighbours: line it up with those it belongs to',
  ],
  [
    'unclosedQuote',
    'title: "Room\n',
    'project.yaml:1:8: error: a quotation mark is not closed: close it on the same line',
  ],
  [
    'unclosedBracket',
    'room: {length: 5\ntitle: Room\n',
    'project.yaml:1:7: error: a bracket is not closed, or a comma is missing in it: complete it',
  ],
  [
    'colonInText',
    'title: Room: the small one\n',
    'project.yaml:1:8: error: a second colon makes this read as a key within a key: put the text in quotes, or correct the indent of the next line',
  ],
  [
    'strayAtSign',
    'title: @home\n',
    'project.yaml:1:8: error: a text may not begin with @ or a backtick: put it in quotes',
  ],
  [
    'keyWithoutColon',
    'title: Room\nstages\ndate: 2026-05-12\n',
    'project.yaml:2:1: error: this line is neither a key nor part of the text above: write "key: value", or indent it under its key',
  ],
  [
    'severalDocuments',
    `${SOUND}---\ntitle: Other\n`,
    'project.yaml:7:1: error: a line of three dashes begins a second file here: keep one only',
  ],
  [
    'unknownAnchor',
    `${SOUND}client: *nobody\n`,
    'project.yaml:7:9: error: *nobody refers to a value marked &nobody, and there is none above it: write the value out, or put the text in quotes',
  ],
  [
    'tooManyAliases',
    `a: &a [1, 1, 1]\nb: &b [${'*a, '.repeat(40)}]\nc: [${'*b, '.repeat(40)}]\n`,
    'project.yaml:1:1: error: too many values refer to one another with & and *: write them out',
  ],
  [
    'tooDeep',
    `title: ${'['.repeat(3000)}\n`,
    'project.yaml:1:1: error: values are nested too deeply to read: write the file as in one made by "decaybook new"',
  ],
  [
    'otherSyntax',
    'title: "a \\q"\n',
    'project.yaml:1:11: error: the file cannot be read from here on (invalid escape sequence \\q): correct the line, or put its text in quotes',
  ],
  [
    'missingKey',
    SOUND.replace('title: Room\n', ''),
    'project.yaml:1:1: error: "title" is missing: add, for example, "title: Choir practice room, Millrace School" (name of the room or job, printed on the cover)',
  ],
  [
    'blankKey',
    SOUND.replace('Room', ''),
    'project.yaml:2:1: error: "title" has no value: write, for example, Choir practice room, Millrace School (name of the room or job, printed on the cover)',
  ],
  [
    'colourIsComment',
    `${SOUND}branding:\n  colour: #2b4a66\n`,
    'project.yaml:8:3: warning: the colour is read as a comment because # begins one: put it in quotes, such as "#2b4a66"',
  ],
  ['unknownKey', `${SOUND}titel: Room\n`, 'project.yaml:7:1: error: "titel" is not known here: did you mean title?'],
  [
    'unknownKey',
    `${SOUND}zeta: 1\n`,
    'project.yaml:7:1: error: "zeta" is not known here: remove it, or use one of decaybook, title, reference, client, prepared_by, date, issue, purpose, audience, language, units, paper, room, microphone, source, recorder, positions, stages, currency, options, budget, free_area, target, compare, set_aside, branding',
  ],
  [
    'unknownOctave',
    `${SOUND}    treatments: [{name: panel, absorption: {100: 0.5}}]\n`,
    'project.yaml:7:45: error: "100" is no octave band: use 63, 125, 250, 500, 1000, 2000, 4000, 8000',
  ],
  [
    'wrongType',
    SOUND.replace('5,', 'wide,'),
    'project.yaml:4:16: error: "length" needs a number but is the text "wide": write, for example, 5.2 (metres)',
  ],
  [
    'unknownWord',
    `${SOUND}purpose: mixin\n`,
    'project.yaml:7:10: error: "purpose" cannot be "mixin": did you mean mixing? It is one of speech-recording, music-practice, mixing, meeting, classroom, other',
  ],
  [
    'unknownWord',
    `${SOUND}purpose: opera\n`,
    'project.yaml:7:10: error: "purpose" cannot be "opera": use one of speech-recording, music-practice, mixing, meeting, classroom, other',
  ],
  [
    'newerFormat',
    SOUND.replace(': 1', ': 2'),
    'project.yaml:1:12: error: this file has format 2, and this version of decaybook reads format 1: update decaybook to version 2.0.0 or later',
  ],
  [
    'wrongFormat',
    SOUND.replace('decaybook: 1\n', ''),
    'project.yaml:1:1: error: the first line must say which format the file has: write "decaybook: 1"',
  ],
  [
    'badDate',
    SOUND.replace('2026-05-12', '2026-02-30'),
    'project.yaml:3:7: error: "date" is "2026-02-30", which is no day of the calendar: write year-month-day, such as 2026-05-12',
  ],
  [
    'badId',
    SOUND.replace('bare', '../bare'),
    'project.yaml:6:9: error: the id is "../bare", which cannot name a folder everywhere: use letters, digits, dots, dashes and underscores, with a letter or digit at either end, and no name that Windows keeps for a device, such as con',
  ],
  [
    'badColour',
    `${SOUND}branding: {colour: teal}\n`,
    'project.yaml:7:20: error: the colour is "teal": write it as # and six digits from 0 to f in quotes, such as "#2b4a66"',
  ],
  [
    'badCurrency',
    `${SOUND}currency: eur\n`,
    'project.yaml:7:11: error: the currency is "eur": write its three-letter code in capitals, such as EUR',
  ],
  [
    'outOfRange',
    SOUND.replace('5,', '-5,'),
    'project.yaml:4:16: error: "length" is -5 but must be more than 0: write, for example, 5.2 (metres)',
  ],
  [
    'emptyText',
    SOUND.replace('Room', '""'),
    'project.yaml:2:8: error: "title" is empty: write, for example, Choir practice room, Millrace School (name of the room or job, printed on the cover)',
  ],
  [
    'wrongCount',
    `${SOUND}positions: {A: {microphone: [1, 2]}}\n`,
    'project.yaml:7:29: error: "microphone" needs exactly three numbers: write, for example, [2.1, 1.2, 1.4] (metres along length, width and height from one corner)',
  ],
  ['noStages', `${HEAD}stages: []\n`, 'project.yaml:5:9: error: "stages" is empty: add the first stage, "- id: bare"'],
  [
    'stageTwice',
    `${SOUND}  - id: bare\n`,
    'project.yaml:7:9: error: a second stage is called bare (first on line 6): give each its own id',
  ],
  [
    'namesDifferInCapitals',
    `${SOUND}  - id: Bare\n`,
    'project.yaml:7:9: error: stages bare and Bare differ in capitals only, and are one folder on many computers: rename one',
  ],
  [
    'unknownStage',
    `${SOUND}compare: [[bare, bar]]\n`,
    'project.yaml:7:18: error: no stage is called bar: did you mean bare?',
  ],
  [
    'pairIncomplete',
    `${SOUND}compare: [[bare]]\n`,
    'project.yaml:7:11: error: each entry of "compare" names two stages: write, for example, [bare, curtains]',
  ],
  [
    'comparedWithItself',
    `${SOUND}compare: [[bare, bare]]\n`,
    'project.yaml:7:11: error: stage bare is compared with itself: name two different stages',
  ],
  [
    'comparedTwice',
    `${SOUND}  - id: curtains\ncompare: [[bare, curtains], [bare, curtains]]\n`,
    'project.yaml:8:29: error: the pair bare, curtains is listed twice: remove one of them',
  ],
  [
    'unknownPosition',
    `${TAKES}      - {files: a.wav, position: C}\npositions: {A: {}}\n`,
    'project.yaml:8:34: error: no position is called C: add it under "positions", or use one of A',
  ],
  [
    'noRoomSize',
    SOUND.replace(/room:.*\n/, ''),
    'project.yaml:1:1: warning: the size of the room is not stated, so absorption, room modes, distances and what to do next are left out: add length, width and height',
  ],
  [
    'partOfBox',
    roomless('{length: 5}'),
    'project.yaml:6:1: warning: the room has no width and no height, so its volume is unknown, and absorption, room modes and what to do next are left out: add them, or write volume and surface_area',
  ],
  [
    'noSurface',
    roomless('{volume: 60}'),
    'project.yaml:6:1: warning: the room has a volume but no surface_area, so predictions of its decay are left out: add the area of walls, floor and ceiling',
  ],
  [
    'noVolume',
    roomless('{surface_area: 94}'),
    'project.yaml:6:1: warning: the room has a surface_area but no volume, so absorption and what to do next are left out: add volume',
  ],
  [
    'volumeDisagrees',
    roomless('{volume: 50, length: 5, width: 4, height: 3}'),
    'project.yaml:6:8: warning: volume is 50 m3 but length, width and height give 60.0 m3, and the stated volume is used: correct one, or remove it if the room is a box',
  ],
  [
    'outsideRoom',
    `${SOUND}positions: {A: {microphone: [1, 4.5, 1]}}\n`,
    'project.yaml:7:33: warning: the microphone of position A stands at 4.5 m along the width, but the room is 4 m there: correct one of them',
  ],
  [
    'costWithoutCurrency',
    `${SOUND}options: [{name: panel, cost: 180}]\n`,
    'project.yaml:7:25: warning: costs are given without a currency, so they are printed as bare numbers: add "currency: EUR" or another',
  ],
  [
    'budgetWithoutCurrency',
    `${SOUND}budget: 900\n`,
    'project.yaml:7:1: warning: the budget is given without a currency, so it is printed as a bare number: add "currency: EUR" or another',
  ],
  [
    'missingKey',
    `${SOUND}target: {time: 0.3}\n`,
    'project.yaml:7:9: error: "tolerance" is missing: add, for example, "tolerance: 0.05" (how far from it still counts as met, in seconds)',
  ],
  [
    'dateRunsBackwards',
    `${HEAD}stages: [{id: a, date: 2026-04-20}, {id: b, date: 2026-04-02}]\n`,
    'project.yaml:5:51: warning: stage b is dated 2026-04-02, before stage a above it (2026-04-20): list the stages in the order they came about, or correct a date',
  ],
  [
    'stageAfterReport',
    `${SOUND}    date: 2026-06-01\n`,
    'project.yaml:7:11: warning: stage bare is dated 2026-06-01, after the report itself (2026-05-12): correct one of them',
  ],
  [
    'backslash',
    `${TAKES}      - files: recordings\\bare\\*.wav\n`,
    'project.yaml:8:16: error: recordings\\bare\\*.wav is written with backslashes: use forward slashes',
  ],
  [
    'absolutePath',
    `${TAKES}      - files: /media/card/01.wav\n`,
    'project.yaml:8:16: error: /media/card/01.wav is named from the top of the disk: name it from the project folder',
  ],
  [
    'outsideFolder',
    `${TAKES}      - files: ../other/01.wav\n`,
    'project.yaml:8:16: error: ../other/01.wav lies outside the project folder: copy it in and name it from there, or name its folder with --allow',
  ],
];

/** The same, with the files in the folder. */
const FOLDERS: [name: string, text: string, files: string[], shown: string][] = [
  [
    'stageFolderUnknown',
    `${SOUND}  - id: curtains\n`,
    ['recordings/bare/A/1.wav', 'recordings/curtain/A/1.wav'],
    'recordings/curtain: error: recordings/curtain holds recordings, but no stage has that id: did you mean curtains? Rename the folder',
  ],
  [
    'stageFolderUnknown',
    SOUND,
    ['recordings/bare/A/1.wav', 'recordings/spare/A/1.wav', 'recordings/zeta/A/1.wav'],
    [
      'recordings/spare: warning: recordings/spare holds recordings, but no stage has that id: they are not used; add a stage of that id, or remove the folder',
      'recordings/zeta: warning: recordings/zeta holds recordings, but no stage has that id: they are not used; add a stage of that id, or remove the folder',
    ].join('\n'),
  ],
  [
    'positionFolderUnknown',
    `${SOUND}positions: {A: {}}\n`,
    ['recordings/bare/a/1.wav'],
    'recordings/bare/a: error: no position is called a: did you mean A? Rename the folder',
  ],
  [
    'positionFolderUnknown',
    `${SOUND}positions: {A: {}}\n`,
    ['recordings/bare/door/1.wav'],
    'recordings/bare/door: warning: position door is not listed under "positions", so nothing is known of where it was: add it there',
  ],
  [
    'loosePosition',
    SOUND,
    ['recordings/bare/1.wav', 'recordings/bare/2.wav'],
    'recordings/bare: note: 2 recordings directly in recordings/bare/ taken as position A: use a folder for each position if there were several',
  ],
  [
    'looseAmbiguous',
    `${SOUND}positions: {A: {}, B: {}}\n`,
    ['recordings/bare/1.wav'],
    'recordings/bare: error: a recording directly in recordings/bare/, and the position is unknown: move it into a folder named after one of A, B',
  ],
  [
    'positionNotStated',
    `${TAKES}      - files: claps.wav\npositions: {A: {}, B: {}}\n`,
    ['claps.wav'],
    'project.yaml:8:16: error: the position of claps.wav is not stated: add "position:" with one of A, B',
  ],
  [
    'tooFarDown',
    SOUND,
    ['recordings/bare/A/1.wav', 'recordings/bare/A/old/1.wav'],
    'recordings/bare: warning: a recording in recordings/bare/ not used, being too many folders down: move it up into recordings/<stage>/<position>/',
  ],
  [
    'noStageFolder',
    SOUND,
    ['recordings/1.wav', 'recordings/bare/A/1.wav'],
    'recordings: warning: a recording directly in recordings/ not used, as the stage is unknown: move it into recordings/<stage>/<position>/',
  ],
  [
    'listedFileMissing',
    `${TAKES}      - files: recordings/bare/A/01.wav\n`,
    ['recordings/bare/A/1.wav'],
    'project.yaml:8:16: error: recordings/bare/A/01.wav is not in the project folder: did you mean recordings/bare/A/1.wav?',
  ],
  [
    'setAsideMissing',
    `${SOUND}set_aside:\n  - {files: recordings/bare/A/3.wav, reason: the door stood open}\n`,
    ['recordings/bare/A/03.wav'],
    'project.yaml:8:13: error: recordings/bare/A/3.wav is to be set aside but is no recording of any stage: did you mean recordings/bare/A/03.wav?',
  ],
  [
    'patternFindsNothing',
    `${TAKES}      - files: recordings/bare/A/*.wav\n`,
    ['recordings/bare/A/1.WAV'],
    'project.yaml:8:16: error: no recording matches recordings/bare/A/*.wav: did you mean recordings/bare/A/1.WAV?',
  ],
  [
    'notARecording',
    `${TAKES}      - files: notes.txt\n`,
    ['notes.txt'],
    'project.yaml:8:16: error: notes.txt is no audio file by its ending: name a recording, best a WAV file',
  ],
  [
    'claimedTwice',
    `${TAKES}      - {files: a.wav}\n      - {files: '*.wav'}\n`,
    ['a.wav', 'b.wav'],
    'project.yaml:9:17: error: a.wav is listed a second time (first on line 8): list each recording once',
  ],
  [
    'claimedTwice',
    `${TAKES}      - files: a.wav\n  - id: curtains\n    takes:\n      - files: a.wav\n`,
    ['a.wav'],
    'project.yaml:10:5: error: a.wav is listed a second time (first on line 7): list each recording once',
  ],
  [
    'stageWithoutRecordings',
    `${SOUND}  - id: curtains\n`,
    ['recordings/bare/A/1.wav'],
    'project.yaml:7:9: warning: stage curtains has no recordings yet: put them into recordings/curtains/A/',
  ],
  [
    'noRecordingsYet',
    SOUND,
    [],
    'recordings: note: no recordings yet: put those of the first stage into recordings/bare/A/',
  ],
];

/** No schema rule of today ends here; it keeps a rule added tomorrow from passing in silence. */
const NEVER_TODAY = ['notUnderstood'];

describe('messages about the project file', () => {
  test.each(TEXTS)('%s names the line, the fault and the mend (%#)', (name, text, expected) => {
    made.clear();
    expect(shown(text, null)).toBe(expected);
    expect(made).toContain(name);
  });
});

describe('messages about the folder', () => {
  test.each(FOLDERS)('%s names the file, the fault and the mend (%#)', (name, text, files, expected) => {
    made.clear();
    expect(shown(text, files)).toBe(expected);
    expect(made).toContain(name);
  });
});

test('every message is tested, here or where the folder is read', async () => {
  const tested = [...TEXTS, ...FOLDERS].map(([name]) => name);
  const exported = Object.entries(await import('../../src/project/messages.ts'));
  const all = exported.filter(([, value]) => typeof value === 'function').map(([name]) => name);
  expect(all.filter((name) => ![...tested, ...SAID_BY_READING, ...NEVER_TODAY].includes(name))).toEqual([]);
});
