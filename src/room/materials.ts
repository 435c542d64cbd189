import * as z from 'zod';
import { OCTAVES } from '../project/project.ts';

/** What a row of the table is: part of the building, something hung or fixed to absorb, or something counted by the piece. */
export const MATERIAL_USES = ['lining', 'absorber', 'piece'] as const;

/** What one row holds. */
export const materialSchema = z.strictObject({
  id: z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/),
  name: z.string().min(1),
  use: z.enum(MATERIAL_USES),
  /** Millimetres. */
  thickness: z.number().positive().optional(),
  /** Millimetres of air behind. */
  air_gap: z.number().min(0).optional(),
  mounting: z.string().min(1).optional(),
  /** Fibres that irritate skin, eyes and airways when cut. */
  fibrous: z.boolean().default(false),
  /** Coefficient by octave; of a piece, square metres each. Octaves the source leaves blank are absent. */
  absorption: z.partialRecord(z.enum(OCTAVES), z.number().min(0).max(1.3)),
  source: z.string().min(1),
});

/** One row of the table of materials, as published. Thickness and gap in millimetres. */
export type Material = z.infer<typeof materialSchema>;

const tableSchema = z.strictObject({ materials: z.array(materialSchema).min(1) }).superRefine((table, context) => {
  const seen = new Set<string>();
  table.materials.forEach(({ id }, index) => {
    if (seen.has(id)) context.addIssue({ code: 'custom', message: `"${id}" stands twice`, path: ['materials', index] });
    seen.add(id);
  });
});

/** The rows of a parsed table of materials. Throws, naming the row, where one is malformed or an id stands twice. */
export function readMaterials(data: unknown): Material[] {
  return tableSchema.parse(data).materials;
}

/** Coefficient of a row or a treatment in the octave of a nominal midband, or null where its source gives none. */
export function absorptionAt(absorption: Material['absorption'] | undefined, centre_hz: number): number | null {
  return absorption?.[String(centre_hz) as keyof Material['absorption']] ?? null;
}

/**
 * A coefficient to guard against too much absorption with, where the source may leave the octave blank: the one given nearest to it, the
 * lower of two as near. 0 where none is given. A precaution, no estimate.
 */
export function guardAbsorptionAt(absorption: Material['absorption'] | undefined, centre_hz: number): number {
  const given = OCTAVES.map(Number)
    .map((hz) => ({ distance: Math.abs(Math.log(hz / centre_hz)), alpha: absorptionAt(absorption, hz) }))
    .filter((entry): entry is { distance: number; alpha: number } => entry.alpha !== null)
    .sort((a, b) => a.distance - b.distance);
  return given[0]?.alpha ?? 0;
}
