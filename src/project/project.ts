import { z } from 'zod';

/**
 * The project file as data: what a person writes in project.yaml, checked and with its defaults filled in.
 * Lengths are metres unless the field says millimetres; temperatures degrees Celsius; humidity per cent.
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

const text = z.string().trim().min(1);
const id = z
  .string()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9._-]*$/,
    'letters, digits, dot, dash and underscore only, starting with a letter or digit',
  );
const isoDate = z.iso.date();
const positive = z.number().positive();
const point_m = z.tuple([z.number(), z.number(), z.number()]);

/** Octave-band coefficients, keyed by nominal midband frequency in Hz. */
const absorption = z.partialRecord(
  z.enum(['63', '125', '250', '500', '1000', '2000', '4000', '8000']),
  z.number().min(0).max(1.3),
);

export const treatmentSchema = z.strictObject({
  name: text,
  area: positive.optional().describe('square metres'),
  thickness: positive.optional().describe('millimetres'),
  air_gap: z.number().min(0).optional().describe('millimetres'),
  cost: z.number().min(0).optional().describe('in the currency of the project'),
  absorption: absorption.optional(),
});

const takeSchema = z.strictObject({
  files: z.union([text, z.array(text).min(1)]),
  position: id.optional(),
  kind: z.enum(TAKE_KINDS).optional(),
  channel: z.int().min(1).optional().describe('the channel to use, counted from 1'),
});

const stageSchema = z.strictObject({
  id,
  title: text.optional(),
  date: isoDate.optional(),
  note: text.optional(),
  temperature: z.number().min(-20).max(50).optional().describe('degrees Celsius, where it differs from the room entry'),
  humidity: z.number().min(0).max(100).optional().describe('relative humidity in per cent'),
  treatments: z.array(treatmentSchema).default([]),
  takes: z.array(takeSchema).optional(),
  microphone: z.strictObject({ description: text.optional(), pattern: text.optional() }).optional(),
  source: z.strictObject({ description: text.optional(), kind: z.enum(SOURCE_KINDS).optional() }).optional(),
});

export const projectSchema = z.strictObject({
  decaybook: z.literal(1).describe('version of this file format'),
  title: text,
  reference: text.optional(),
  client: text.optional(),
  prepared_by: text.optional(),
  date: isoDate,
  purpose: z.enum(PURPOSES).default('other'),
  audience: z.enum(['client', 'self']).default('client').describe('who reads the report: order and tone follow it'),
  room: z
    .strictObject({
      length: positive.optional(),
      width: positive.optional(),
      height: positive.optional(),
      volume: positive.optional().describe('cubic metres, for a room that is no box'),
      surface_area: positive.optional().describe('square metres, for a room that is no box'),
      temperature: z.number().min(-20).max(50).optional(),
      humidity: z.number().min(0).max(100).optional(),
      surfaces: z.array(z.strictObject({ name: text, area: positive, material: text })).optional(),
    })
    .default({}),
  microphone: z.strictObject({ description: text.optional(), pattern: text.optional() }).default({}),
  source: z.strictObject({ description: text.optional(), kind: z.enum(SOURCE_KINDS).optional() }).default({}),
  recorder: z
    .strictObject({
      description: text.optional(),
      fixed_gain: z.boolean().optional(),
      processing_off: z.boolean().optional(),
    })
    .default({}),
  positions: z
    .record(id, z.strictObject({ microphone: point_m.optional(), source: point_m.optional(), note: text.optional() }))
    .default({}),
  stages: z.array(stageSchema).min(1),
  currency: z
    .string()
    .regex(/^[A-Z]{3}$/, 'a three-letter currency code such as EUR')
    .optional(),
  options: z.array(treatmentSchema).default([]),
  compare: z.array(z.tuple([id, id])).default([]),
  branding: z
    .strictObject({
      logo: text.optional(),
      colour: z
        .string()
        .regex(/^#[0-9a-fA-F]{6}$/, 'a colour as #rrggbb')
        .optional(),
      address: text.optional(),
    })
    .default({}),
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
}
