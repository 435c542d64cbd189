import { type Context, stageName } from '../context.ts';
import { type Block, PLAYER_LABELS, type Player, type PlayerLabel, type Row, type Section } from '../document.ts';
import { formatSigned, withUnit } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import type { ListeningClips } from '../results.ts';
import { column, paragraph, section, table } from './section.ts';

/** Before and after to be heard: a player a pair on screen, and what each pair is on paper too; null where there is none. */
export function listenSection(context: Context): Section | null {
  const { words, results } = context;
  const pairs = [...(results.listening ?? [])].sort((a, b) => rank(context, a) - rank(context, b));
  if (pairs.length === 0) return null;
  return section(context, 'listen', [
    paragraph(words.say('listen.lead')),
    paragraph(words.say('listen.screen')),
    ...pairs.map((pair) => player(context, pair)),
    pairsTable(context, pairs),
  ]);
}

/** The comparison that the cover answers for comes first. */
function rank({ primary }: Context, pair: ListeningClips): number {
  return pair.from === primary?.from && pair.to === primary.to ? 0 : 1;
}

function player(context: Context, pair: ListeningClips): Player {
  const { words } = context;
  const { position } = pair;
  const kind = kindOf(pair);
  const side = (index: 0 | 1): Player['sides'][0] => ({
    side: words.plain(index === 0 ? 'listen.before' : 'listen.after'),
    name: stageName(context, index === 0 ? pair.from : pair.to),
    file: pair.clips[index].file,
  });
  // Two of the labels keep their gaps: the page fills them in while it plays.
  const gaps = { side: '{side}', name: '{name}', value: '{value}' };
  const label = (name: PlayerLabel) => [name, words.plain(`listen.${name}`, gaps)];
  return {
    kind: 'player',
    id: `listen-${kind}--${pair.from}--${pair.to}`,
    title: words.say(`listen.title-${kind}`, {
      from: stageName(context, pair.from),
      to: stageName(context, pair.to),
      position,
    }),
    sides: [side(0), side(1)],
    labels: Object.fromEntries(PLAYER_LABELS.map(label)) as Player['labels'],
    left_out: words.say('listen.left-out'),
  };
}

function kindOf(pair: ListeningClips): 'clap' | 'passage' {
  return pair.matched_by === 'loudness' ? 'passage' : 'clap';
}

function pairsTable(context: Context, pairs: readonly ListeningClips[]): Block {
  const { words } = context;
  const gain = (gain_db: number) => numberCell(withUnit(formatSigned(gain_db, 1, words.locale), 'dB'));
  const rows = pairs.map((pair): Row => {
    const names = { from: stageName(context, pair.from), to: stageName(context, pair.to) };
    return {
      head: words.say('change.comparisons.pair', names),
      cells: [
        textCell(words.say(`listen.table.${kindOf(pair)}`)),
        textCell(pair.position),
        ...pair.clips.map((clip) => gain(clip.gain_db)),
      ],
    };
  });
  return table({
    id: 'listen-table',
    caption: words.say('listen.table.caption'),
    head: column(words.say('listen.table.head')),
    columns: [
      column(words.say('listen.table.what')),
      column(words.say('listen.table.position')),
      column(words.say('listen.table.before'), { align: 'end' }),
      column(words.say('listen.table.after'), { align: 'end' }),
    ],
    rows,
  });
}
