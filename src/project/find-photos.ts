import type { Diagnostic, PlaceOf } from './diagnostic.ts';
import * as messages from './messages.ts';
import { compareNatural } from './natural-order.ts';
import type { Project } from './project.ts';

/** The folder of a project that holds its pictures. */
export const PHOTOS = 'photos';

/** A picture of a stage. `file` is relative to the project folder, with forward slashes. */
export interface PhotoFile {
  stage: string;
  file: string;
  /** As the project file says it; null: none. */
  caption: string | null;
}

const SHOWN = /\.(jpe?g|png)$/i;
/** Endings of pictures that browsers or PDF do not all show. */
const OTHER = /\.(heic|heif|avif|webp|tiff?|gif|bmp|dng|cr2|cr3|nef|arw|raw)$/i;

/**
 * The photos of every stage in the order of the stages: those a stage lists, or else what lies in photos/<stage>/ by name. Only JPEG
 * and PNG are taken, by their endings; what else is a picture, and what is listed and not there, is told with its mend and left out.
 */
export function findPhotos(
  project: Project,
  files: readonly string[],
  options: { placeOf?: PlaceOf; file?: string } = {},
): { photos: PhotoFile[]; diagnostics: Diagnostic[] } {
  const { placeOf = () => null, file: projectFile = 'project.yaml' } = options;
  const diagnostics: Diagnostic[] = [];
  const tell = (file: string, message: string, place: ReturnType<PlaceOf> = null) => {
    const at = { line: place?.line ?? null, column: place?.column ?? null };
    diagnostics.push({ file, ...at, severity: 'warning', message });
  };
  const photos = project.stages.flatMap((stage, index): PhotoFile[] => {
    const inFolder = () => files.filter((file) => file.startsWith(`${PHOTOS}/${stage.id}/`)).sort(compareNatural);
    const wanted =
      stage.photos?.map(({ file, caption }) => ({ file: file.replace(/^\.\//, ''), caption: caption ?? null })) ??
      inFolder().map((file) => ({ file, caption: null }));
    return wanted.flatMap(({ file, caption }, at): PhotoFile[] => {
      const place = stage.photos ? placeOf(['stages', index, 'photos', at, 'file']) : null;
      if (!files.includes(file)) tell(projectFile, messages.photoMissing(file), place);
      else if (OTHER.test(file)) tell(file, messages.photoKind(file));
      else if (SHOWN.test(file)) return [{ stage: stage.id, file, caption }];
      return [];
    });
  });
  return { photos, diagnostics };
}
