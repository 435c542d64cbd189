import type { EffectBand, TreatmentEffect } from '../../advice/advice.ts';
import { moneyText, softCell, spanText } from '../advice-phrases.ts';
import { type Context, stageName } from '../context.ts';
import type { Block, Row } from '../document.ts';
import { formatNumber, formatSignificant } from '../format.ts';
import { numberCell } from '../phrases.ts';
import { column, table } from './section.ts';

/** One row an effect: area, gain at mid frequencies, the same per square metre of product and per money. `steps` are the single steps among them. */
export function effectSummary(
  context: Context,
  effects: readonly TreatmentEffect[],
  steps: readonly TreatmentEffect[],
): Block {
  const { words } = context;
  const costs = effects.some(({ cost }) => cost !== null);
  const areas = effects.some(({ area_m2 }) => area_m2 !== null);
  const rows = effects.map((effect): Row => {
    const mid = midGain(effect);
    const per = mid && effect.area_m2 !== null ? scaled(mid, 1 / effect.area_m2) : null;
    const whole = !steps.includes(effect);
    return {
      head: whole
        ? words.say('effect.summary.whole', {
            from: stageName(context, effect.from),
            to: stageName(context, effect.to),
          })
        : [stageName(context, effect.to)],
      cells: [
        ...(areas ? [numberCell(effect.area_m2 === null ? null : formatNumber(effect.area_m2, 1, words.locale))] : []),
        softCell(mid && spanText(mid, words.locale), mid?.claimed ?? false),
        ...(areas ? [softCell(per && spanText(per, words.locale), mid?.claimed ?? false)] : []),
        ...(costs ? costCells(context, effect) : []),
      ],
    };
  });
  const open = effects.some((effect) => midGain(effect)?.claimed === false);
  return table({
    id: 'effect-summary',
    caption: words.say('effect.summary.caption'),
    head: column(words.say('effect.summary.head')),
    columns: [
      ...(areas ? [column(words.say('effect.area'), { unit: 'm²', align: 'end' })] : []),
      column(words.say('effect.gained'), { unit: 'm²', align: 'end' }),
      ...(areas ? [column(words.say('effect.per-area'), { align: 'end' })] : []),
      ...(costs ? ['cost', 'per-cost'].map((key) => column(words.say(`effect.${key}`), { align: 'end' })) : []),
    ],
    rows,
    remarks: open ? [{ mark: null, text: words.say('effect.quiet-mid') }] : [],
  });
}

function costCells(context: Context, effect: TreatmentEffect) {
  const { cost, cost_per_m2 } = effect;
  const money = (amount: number) => moneyText(context, Math.round(amount));
  const per =
    cost_per_m2 === null
      ? null
      : cost_per_m2.high === null
        ? money(cost_per_m2.value)
        : context.words.plain('effect.money-span', {
            value: money(cost_per_m2.value),
            low: formatSignificant(cost_per_m2.low, 2, context.words.locale),
            high: formatSignificant(cost_per_m2.high, 2, context.words.locale),
          });
  return [numberCell(cost === null ? null : moneyText(context, cost)), numberCell(per)];
}

interface MidGain {
  value: number;
  low: number;
  high: number;
  claimed: boolean;
}

/** Mean gain at 500 and 1000 Hz; its interval is the mean of the two, as if they erred alike. */
function midGain(effect: TreatmentEffect): MidGain | null {
  const mid = effect.bands.filter(({ centre_hz }) => centre_hz === 500 || centre_hz === 1000);
  if (mid.length < 2 || mid.some(({ gain_m2 }) => gain_m2 === null)) return null;
  const mean = (of: (band: EffectBand) => number) => (of(mid[0]!) + of(mid[1]!)) / 2;
  return {
    value: mean((band) => band.gain_m2!),
    low: mean((band) => band.low_m2!),
    high: mean((band) => band.high_m2!),
    claimed: mid.every(({ claim }) => claim === 'gained'),
  };
}

function scaled(gain: MidGain, by: number): MidGain {
  return { ...gain, value: gain.value * by, low: gain.low * by, high: gain.high * by };
}
