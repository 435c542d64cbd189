import { MOST_MORE } from '../../statistics/settle.ts';
import type { Context } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { formatNumber, formatSignificant, withUnit } from '../format.ts';
import { openBands, openGroups } from '../open-bands.ts';
import { bandsList, numberCell, textCell } from '../phrases.ts';
import { EXPECTED_DECAY_S, EXPECTED_RANGE_DB, PLANNED_BANDS_HZ, planPowers } from '../plan-power.ts';
import { column, paragraph, subheading, table } from './section.ts';

/** What would settle the bands of the main comparison that are open; empty where none is. */
export function settleBlocks(context: Context): Block[] {
  const { words, primary } = context;
  const groups = primary === null ? [] : openGroups(openBands(primary));
  if (groups.length === 0) return [];
  const more = (count: number | null) =>
    numberCell(count === null ? words.plain('change.settle.beyond', { most: MOST_MORE }) : String(count));
  const rows = groups.map(
    ({ bands_hz, settle }): Row => ({
      head: [bandsList(bands_hz, words)],
      cells: [
        textCell(words.say(`change.settle.question.${settle.question}`)),
        more(settle.more_positions),
        more(settle.more_responses_per_position),
      ],
    }),
  );
  return [
    subheading('settle', words.say('change.settle.title')),
    table({
      id: 'settle-table',
      caption: words.say('change.settle.caption'),
      head: column(words.say('change.settle.bands')),
      columns: [
        column(words.say('change.settle.open')),
        column(words.say('change.settle.positions'), { align: 'end' }),
        column(words.say('change.settle.responses'), { align: 'end' }),
      ],
      rows,
    }),
    paragraph(words.say('change.settle.forecast'), 'small'),
  ];
}

/** Before any take: the smallest change that a plan of so many positions and responses finds, octave by octave. */
export function powerBlocks(context: Context): Block[] {
  const { words, results } = context;
  const rows = planPowers(results.project).map((plan): Row => {
    const { positions, responses_per_position: responses } = plan;
    const name = words.say('plan.power.plan', { positions, responses });
    return {
      head: plan.wanted ? [{ kind: 'strong', text: name }] : name,
      cells: plan.bands.map((band) => numberCell(formatNumber(band.detectable_percent, 0, words.locale))),
    };
  });
  return [
    subheading('power', words.say('plan.power.title')),
    table({
      id: 'power-table',
      caption: words.say('plan.power.caption'),
      head: column(words.say('plan.power.head')),
      columns: PLANNED_BANDS_HZ.map((centre_hz) =>
        column(withUnit(String(centre_hz), 'Hz'), { unit: '%', align: 'end' }),
      ),
      rows,
    }),
    paragraph(
      words.say('plan.power.reading', {
        decay: withUnit(formatSignificant(EXPECTED_DECAY_S, 1, words.locale), 's'),
        range: withUnit(String(EXPECTED_RANGE_DB), 'dB'),
      }),
      'small',
    ),
  ];
}
