import { COUNTED_MEASUREMENTS, countedClaims, USUAL_PRACTICE_CLAIMS } from '../../statistics/counted-claims.ts';
import { bestDecay, type Context } from '../context.ts';
import type { Block } from '../document.ts';
import { formatNumber, withUnit } from '../format.ts';
import { numberCell } from '../phrases.ts';
import { column, paragraph, table } from './section.ts';

/**
 * How often one clap at one position, read before and after, claims a change where there is none, and what the plan of this project
 * brings it to: both counted on simulated measurements. Empty where nothing was compared.
 */
export function usualPracticeBlocks(context: Context): Block[] {
  const { words } = context;
  const plan = comparedPlan(context);
  if (plan === null) return [];
  const percent = (value: number, places: number) => withUnit(formatNumber(value, places, words.locale), '%');
  const counted = countedClaims(plan);
  return [
    paragraph(words.say('method.practice.usual', { measurements: COUNTED_MEASUREMENTS })),
    table({
      id: 'usual-practice',
      caption: words.say('method.practice.caption'),
      head: column(words.say('method.practice.head')),
      columns: USUAL_PRACTICE_CLAIMS.map(({ centre_hz }) =>
        column(withUnit(String(centre_hz), 'Hz'), { unit: '%', align: 'end' }),
      ),
      rows: [
        {
          head: words.say('method.practice.one-clap'),
          cells: USUAL_PRACTICE_CLAIMS.map(({ claims_percent }) =>
            numberCell(formatNumber(claims_percent, 0, words.locale)),
          ),
        },
        {
          head: words.say('method.practice.counted', {
            positions: counted.positions,
            responses: counted.responses_per_position,
          }),
          cells: counted.claims_percent.map((claims) => numberCell(formatNumber(claims, 1, words.locale))),
        },
      ],
    }),
    paragraph(
      words.say('method.practice.plan', {
        ...plan,
        same:
          counted.positions === plan.positions && counted.responses_per_position === plan.responses_per_position
            ? 'yes'
            : 'no',
        counted_positions: counted.positions,
        counted_responses: counted.responses_per_position,
        bands: percent(counted.band_claims_percent, 1),
        headlines: percent(counted.headline_claims_percent, 1),
      }),
    ),
  ];
}

/** Positions, and whole responses at each, that both stages of the main comparison have; null where there is none. */
function comparedPlan(context: Context): { positions: number; responses_per_position: number } | null {
  const { primary } = context;
  if (primary === null) return null;
  const values = [primary.from, primary.to].map((id) => bestDecay(context, id, 'mid') ?? bestDecay(context, id, 1000));
  if (values.some((value) => value === null)) return null;
  return {
    positions: Math.min(...values.map((value) => value!.positions)),
    responses_per_position: Math.max(1, Math.floor(Math.min(...values.map((v) => v!.responses / v!.positions)))),
  };
}
