import { type Context, figureBlocks } from '../context.ts';
import type { Section } from '../document.ts';
import { paragraph, section } from './section.ts';

/** The decay curves of every band; null where they are not drawn. */
export function curvesSection(context: Context): Section | null {
  const { words, primary } = context;
  const figures = [
    ...figureBlocks(context, 'decay-curves', words.say('curves.figure'), primary ?? undefined),
    ...figureBlocks(context, 'energy-map', words.say('curves.map'), primary ?? undefined),
  ];
  if (figures.length === 0) return null;
  return section(context, 'curves', [paragraph(words.say('curves.lead')), ...figures]);
}
