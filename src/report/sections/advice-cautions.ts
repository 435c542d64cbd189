import type { Advice } from '../../advice/advice.ts';
import type { Context } from '../context.ts';
import type { Block } from '../document.ts';

/** What must be known before anyone acts on the advice above: beside it, and in full in the section of cautions. */
export function adviceCautions({ words }: Context, { cautions }: Advice): Block[] {
  if (cautions.length === 0) return [];
  return [
    {
      kind: 'note',
      tone: 'caution',
      title: words.say('advice.caution.title'),
      text: [...cautions.map((caution) => words.say(`advice.caution.${caution}`)), words.say('advice.caution.more')],
    },
  ];
}
