import type { Diagnostic, PlaceOf } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import * as messages from './messages.ts';
import type { Project } from './project.ts';

/**
 * Returns a warning for each surface whose material no table holds, at its place in the project file, with the name that was likely meant:
 * without all of them the bare room cannot be predicted. `known` are the ids of the tables.
 */
export function checkMaterials(
  project: Project,
  known: readonly string[],
  { placeOf, file }: { placeOf: PlaceOf; file: string },
): Diagnostic[] {
  return (project.room.surfaces ?? []).flatMap(({ material }, index): Diagnostic[] => {
    if (known.includes(material)) return [];
    const place = placeOf(['room', 'surfaces', index, 'material']) ?? placeOf(['room', 'surfaces', index]);
    const message = messages.unknownMaterial(material, likely(material, known));
    return [{ file, line: place?.line ?? null, column: place?.column ?? null, severity: 'warning', message }];
  });
}

/** A misspelt id, or the first that holds all the words of what was written. */
function likely(material: string, known: readonly string[]): string | null {
  const guess = didYouMean(material, known);
  if (guess !== null) return guess;
  const words = material
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((word) => word.length > 2);
  if (words.length === 0) return null;
  return known.find((id) => words.every((word) => id.includes(word))) ?? null;
}
