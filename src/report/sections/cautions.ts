import type { Context } from '../context.ts';
import type { Block, Section } from '../document.ts';
import { paragraph, section } from './section.ts';

const CAUTIONS = ['hearing', 'fire', 'load', 'dust', 'old', 'electricity'] as const;

/** Where treating a room can hurt, with the source of each fact. */
export function cautionsSection(context: Context): Section {
  const { words } = context;
  const notes = CAUTIONS.map((key): Block => {
    const source = words.plain('cautions.source', { source: words.plain(`cautions.${key}.source`) });
    return {
      kind: 'note',
      tone: 'caution',
      title: words.say(`cautions.${key}.title`),
      text: [words.say(`cautions.${key}.text`), [{ kind: 'emphasis', text: [source] }]],
    };
  });
  return section(context, 'cautions', [paragraph(words.say('cautions.lead')), ...notes]);
}
