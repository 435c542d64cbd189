import * as z from 'zod';

/**
 * The project file as data: what a person writes in project.yaml, checked and with its defaults filled in.
 * Lengths are metres unless the field says millimetres; temperatures degrees Celsius; humidity per cent.
 *
 * Descriptions and examples travel into the JSON Schema that editors complete from, and into the messages about faults.
 */

export const PURPOSES = ['speech-recording', 'music-practice', 'mixing', 'meeting', 'classroom', 'other'] as const;
export const SOURCE_KINDS = ['clap', 'balloon', 'pistol', 'board', 'loudspeaker'] as const;
export const TAKE_KINDS = [
  'impulse',
  'sweep',
  'noise-off',
  'passage',
  'background',
  'response',
  'calibration',
] as const;
/** Languages a report can be written in: BCP 47. */
export const LANGUAGES = ['en', 'de'] as const;
export const OCTAVES = ['63', '125', '250', '500', '1000', '2000', '4000', '8000'] as const;

/** Puts words and an example beside a field. */
function field<T extends z.ZodType>(type: T, description: string, example?: unknown): T {
  return type.meta(example === undefined ? { description } : { description, examples: [example] }) as T;
}

const text = z.string().trim().min(1);
/**
 * What can name a folder on every system. Windows keeps some names for devices, in any case and whatever stands after a dot
 * (Microsoft, "Naming Files, Paths, and Namespaces"; from memory). A pattern of a JSON Schema knows no letter case, hence the pairs.
 */
const id = z
  .string()
  .regex(
    /^(?!(?:[Cc][Oo][Nn]|[Pp][Rr][Nn]|[Aa][Uu][Xx]|[Nn][Uu][Ll]|[Cc][Oo][Mm][0-9]|[Ll][Pp][Tt][0-9])(?:\.|$))[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9_-])?$/,
  );
const isoDate = z.iso.date();
const positive = z.number().positive();
const point_m = z.tuple([z.number(), z.number(), z.number()]);

const temperature = field(z.number().min(-20).max(50), 'air temperature in degrees Celsius', 21).optional();
const humidity = field(z.number().min(0).max(100), 'relative humidity in per cent', 45).optional();

const absorption = z
  .partialRecord(z.enum(OCTAVES), field(z.number().min(0).max(1.3), 'absorption coefficient of that octave', 0.7))
  .meta({
    description: 'absorption coefficients by octave: nominal midband frequency in Hz, then the coefficient',
    examples: [{ 500: 0.55, 1000: 0.7 }],
  });

export const treatmentSchema = field(
  z.strictObject({
    name: field(text, 'what it is', 'cotton velour curtain, hung in folds'),
    area: field(positive, 'square metres', 6.4).optional(),
    thickness: field(positive, 'millimetres', 50).optional(),
    air_gap: field(z.number().min(0), 'air behind it, in millimetres', 100).optional(),
    cost: field(z.number().min(0), 'cost of the whole of it, in the currency of the project', 210).optional(),
    absorption: absorption.optional(),
  }),
  'something added to the room',
  { name: 'wool curtain', area: 6.4 },
);

const microphoneSchema = field(
  z.strictObject({
    description: field(text, 'the microphone in words', 'omnidirectional condenser on a stand').optional(),
    pattern: field(text, 'directional pattern', 'omnidirectional').optional(),
  }),
  'what recorded',
  { pattern: 'omnidirectional' },
);

const sourceSchema = field(
  z.strictObject({
    description: field(text, 'the sound source in words', 'hand clap').optional(),
    kind: field(z.enum(SOURCE_KINDS), 'what makes the sound', 'clap').optional(),
  }),
  'what made the sound',
  { kind: 'clap' },
);

const takeSchema = field(
  z.strictObject({
    files: field(
      z.union([text, z.array(text).min(1)]),
      'a recording or a pattern, from the project folder, with forward slashes',
      'recordings/bare/A/*.wav',
    ),
    position: field(id, 'the position these were recorded at', 'A').optional(),
    kind: field(z.enum(TAKE_KINDS), 'what is on the recording; left out, it is recognised', 'impulse').optional(),
    channel: field(z.int().min(1), 'the channel to use, counted from 1', 1).optional(),
    level: field(
      z.number().min(40).max(140),
      'calibration only: what the calibrator states, in dB relative to 20 uPa',
      94,
    ).optional(),
    average: field(
      z.boolean(),
      'sweep only: the repeats in one recording as one response, their mean; left out, each counts',
      true,
    ).optional(),
  }),
  'recordings of one kind at one position',
  { files: 'recordings/bare/A/*.wav', position: 'A' },
);

const photoSchema = field(
  z.strictObject({
    file: field(text, 'a JPEG or PNG, from the project folder, with forward slashes', 'photos/bare/window.jpg'),
    caption: field(text, 'what it shows', 'The window wall, seen from the desk').optional(),
  }),
  'a picture of the stage',
  { file: 'photos/bare/window.jpg', caption: 'The window wall' },
);

const stageSchema = field(
  z.strictObject({
    id: field(id, 'short name of the stage, also of its folder under recordings/', 'bare'),
    title: field(text, 'the stage in words', 'Bare room').optional(),
    date: field(isoDate, 'day of the recordings', '2026-04-02').optional(),
    note: field(text, 'anything the reader should know', 'door open a hand wide').optional(),
    temperature,
    humidity,
    treatments: field(z.array(treatmentSchema), 'what was added since the stage before', [
      { name: 'wool curtain', area: 6.4 },
    ]).default([]),
    takes: field(z.array(takeSchema), 'left out, recordings/<id>/ is taken whole', [
      { files: 'recordings/bare/A/*.wav', position: 'A' },
    ]).optional(),
    photos: field(z.array(photoSchema), 'left out, photos/<id>/ is taken whole', [
      { file: 'photos/bare/window.jpg', caption: 'The window wall' },
    ]).optional(),
    microphone: field(microphoneSchema, 'where it differs from the one of the project', {
      pattern: 'omnidirectional',
    }).optional(),
    source: field(sourceSchema, 'where it differs from the one of the project', { kind: 'balloon' }).optional(),
  }),
  'one state of the room',
  { id: 'bare', title: 'Bare room' },
);

const surfaceSchema = field(
  z.strictObject({
    name: field(text, 'which surface', 'walls'),
    area: field(positive, 'square metres', 45.8),
    material: field(text, 'what it is made of', 'gypsum-on-studs'),
  }),
  'a surface of the room',
  { name: 'walls', area: 45.8, material: 'gypsum-on-studs' },
);

const roomSchema = field(
  z.strictObject({
    length: field(positive, 'metres', 5.2).optional(),
    width: field(positive, 'metres', 3.6).optional(),
    height: field(positive, 'metres', 2.6).optional(),
    volume: field(positive, 'cubic metres, for a room that is no box', 48.7).optional(),
    surface_area: field(
      positive,
      'walls, floor and ceiling in square metres, for a room that is no box',
      83.2,
    ).optional(),
    temperature,
    humidity,
    surfaces: field(z.array(surfaceSchema), 'what the room is made of, for prediction', [
      { name: 'walls', area: 45.8, material: 'gypsum-on-studs' },
    ]).optional(),
  }),
  'the size of the room',
  { length: 5.2, width: 3.6, height: 2.6 },
);

const recorderSchema = field(
  z.strictObject({
    description: field(text, 'the recorder in words', 'portable recorder').optional(),
    fixed_gain: field(z.boolean(), 'the gain was set by hand and left alone', true).optional(),
    processing_off: field(z.boolean(), 'limiter, low cut and noise reduction were off', true).optional(),
  }),
  'what the recordings were made with',
  { fixed_gain: true, processing_off: true },
);

const positionSchema = field(
  z.strictObject({
    microphone: field(point_m, 'metres along length, width and height from one corner', [2.1, 1.2, 1.4]).optional(),
    source: field(point_m, 'metres along length, width and height from one corner', [3.9, 2.4, 1.5]).optional(),
    note: field(text, 'how to find the place again', 'desk').optional(),
  }),
  'where microphone and source stood',
  { note: 'desk' },
);

const brandingSchema = field(
  z.strictObject({
    logo: field(text, 'a picture in the project folder', 'logo.svg').optional(),
    colour: field(z.string().regex(/^#[0-9a-fA-F]{6}$/), 'a colour as #rrggbb, in quotes', '#2b4a66').optional(),
    address: field(text, 'lines printed under the name', '12 Ford Lane').optional(),
  }),
  'what the report shows of its maker',
  { logo: 'logo.svg' },
);

const targetSchema = field(
  z.strictObject({
    time: field(positive, 'decay time wanted, in seconds', 0.3),
    tolerance: field(positive, 'how far from it still counts as met, in seconds', 0.05),
  }),
  'what decay time those who use the room ask for, in the octaves 250 to 4000 Hz; it stands in place of the published figures',
  { time: 0.3, tolerance: 0.05 },
);

const setAsideSchema = field(
  z.strictObject({
    files: field(
      z.union([text, z.array(text).min(1)]),
      'a recording or a pattern, from the project folder, with forward slashes',
      'recordings/bare/A/03.wav',
    ),
    reason: field(text, 'why it shall not count; the report says so', 'the door stood open'),
  }),
  'recordings that are not used, and why',
  { files: 'recordings/bare/A/03.wav', reason: 'the door stood open' },
);

export const projectSchema = z.strictObject({
  decaybook: field(z.literal(1), 'version of this file format', 1),
  title: field(text, 'name of the room or job, printed on the cover', 'Choir practice room, Millrace School'),
  reference: field(text, 'job number, printed on every page', 'MR-07').optional(),
  client: field(text, 'who the report is for', 'Millrace School').optional(),
  prepared_by: field(text, 'who made it', 'Room survey team').optional(),
  date: field(isoDate, 'date of the report', '2026-05-12'),
  issue: field(
    z.int().min(1),
    'number of this issue of the report; left out, the next whenever something differs',
    2,
  ).optional(),
  purpose: field(z.enum(PURPOSES), 'what the room is for: picks the target', 'speech-recording').default('other'),
  audience: field(z.enum(['client', 'self']), 'who reads the report: order and tone follow it', 'client').default(
    'client',
  ),
  language: field(z.enum(LANGUAGES), 'language of the report; the terminal speaks English', 'de').default('en'),
  units: field(z.enum(['metres', 'feet']), 'lengths in the report; areas, and this file, stay metric', 'feet').default(
    'metres',
  ),
  paper: field(z.enum(['a4', 'letter']), 'paper of the PDF', 'letter').default('a4'),
  room: roomSchema.default({}),
  microphone: microphoneSchema.default({}),
  source: sourceSchema.default({}),
  recorder: recorderSchema.default({}),
  positions: field(
    z.record(id, positionSchema),
    'where microphone and source stood; left out, the folders under recordings/<stage>/ name them',
    { A: { note: 'desk' } },
  ).default({}),
  stages: field(z.array(stageSchema).min(1), 'the states of the room in the order they came about', [{ id: 'bare' }]),
  currency: field(z.string().regex(/^[A-Z]{3}$/), 'three-letter currency code', 'EUR').optional(),
  options: field(z.array(treatmentSchema), 'treatments under consideration, ranked under "what next"', [
    { name: 'mineral wool panel', area: 4, thickness: 50, cost: 180 },
  ]).default([]),
  budget: field(
    z.number().min(0),
    'money there is for what comes next, in the currency of the project',
    1500,
  ).optional(),
  free_area: field(
    z.number().min(0),
    'square metres of wall and ceiling that may still be covered, for what comes next',
    12,
  ).optional(),
  target: targetSchema.optional(),
  compare: field(
    z.array(z.tuple([id, id])),
    'pairs [from, to]; left out, each stage with the one before, and first with last',
    [['bare', 'curtains']],
  ).default([]),
  set_aside: field(z.array(setAsideSchema), 'recordings that are there and shall not count', [
    { files: 'recordings/bare/A/03.wav', reason: 'the door stood open' },
  ]).default([]),
  branding: brandingSchema.default({}),
});

export type Project = z.infer<typeof projectSchema>;
export type Stage = Project['stages'][number];
export type Treatment = z.infer<typeof treatmentSchema>;
export type Purpose = (typeof PURPOSES)[number];
export type SourceKind = (typeof SOURCE_KINDS)[number];
export type TakeKind = (typeof TAKE_KINDS)[number];

/** One recording found for a stage, before it is opened. `file` is relative to the project folder, with forward slashes. */
export interface TakeFile {
  file: string;
  stage: string;
  position: string;
  /** null: to be recognised from the sound. */
  kind: TakeKind | null;
  /** Channel to use, counted from 1; null: the loudest unclipped one. */
  channel: number | null;
  /** Of a calibrator's tone: the sound pressure level stated for it, dB relative to 20 uPa. */
  level_db?: number;
  /** Of a sweep: whether its repeats are averaged to one response. */
  average?: boolean;
  /** Why the project file sets it aside. */
  set_aside?: string;
}
