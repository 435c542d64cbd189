import type { PhotoFile } from '../../project/find-photos.ts';
import { type Context, stageName } from '../context.ts';
import type { Photos, Section } from '../document.ts';
import { section } from './section.ts';

/** The photos of the stages, in their order, each with its caption; null where there are none. */
export function photosSection(context: Context): Section | null {
  const { photos = [] } = context.results;
  return photos.length === 0 ? null : section(context, 'photos', [{ kind: 'photos', items: photos.map(item) }]);

  function item({ stage, file, caption }: PhotoFile, index: number): Photos['items'][0] {
    const { words } = context;
    const name = stageName(context, stage);
    return {
      id: `photo-${index + 1}`,
      label: '',
      caption: caption
        ? words.say('photos.caption', { stage: name, caption })
        : words.say('photos.stage', { stage: name }),
      alt: words.plain('photos.alt', { stage: name }),
      file,
    };
  }
}
