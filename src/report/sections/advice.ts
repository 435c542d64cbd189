import type { Advice } from '../../advice/advice.ts';
import type { BandDistance } from '../../room/target-distance.ts';
import { areaText, sentences } from '../advice-phrases.ts';
import { bestDecay, type Context, quotedStage } from '../context.ts';
import type { Block, CellTone, Inline, Row, Section } from '../document.ts';
import { formatList, formatNumber, formatSigned, withUnit } from '../format.ts';
import { bandsText, numberCell, typeset } from '../phrases.ts';
import { adviceCautions } from './advice-cautions.ts';
import { bareRoomBlocks } from './bare-room.ts';
import { combinationBlocks } from './combinations.ts';
import { depthBlocks } from './depth.ts';
import { forecastBlocks } from './forecasts.ts';
import { placementBlocks } from './placement.ts';
import { column, paragraph, section, subheading, table } from './section.ts';

/** How far the room is from its target, and what would bring it nearer; null where no advice was worked out. */
export function adviceSection(context: Context): Section | null {
  const { advice } = context.results;
  if (!advice) return null;
  return section(context, 'advice', [
    paragraph(adviceLead(context, advice), 'lead'),
    ...(advice.stage === null ? bareRoomBlocks(context, advice) : []),
    ...distanceBlocks(context, advice),
    ...forecastBlocks(context, advice),
    ...combinationBlocks(context, advice),
    ...depthBlocks(context, advice),
    ...placementBlocks(context, advice),
    ...adviceCautions(context, advice),
  ]);
}

/** Where the room stands, in a sentence or two. */
export function adviceLead(context: Context, advice: Advice): Inline[] {
  const { words } = context;
  const { status, distance, stage } = advice;
  if (stage === null || status === 'not-measured') return words.say(`advice.lead.${bareKey(advice)}`);
  if (status === 'no-target') {
    const reason = advice.target.ok ? '' : typeset(advice.target.reason);
    return words.say('advice.lead.no-target', { reason, options: advice.options.length > 0 ? 'yes' : 'no' });
  }
  const hz = (state: BandDistance['state']) =>
    distance.filter((band) => band.state === state).map(({ centre_hz }) => centre_hz);
  const standings = STANDINGS.filter(([state]) => hz(state).length > 0).map(([state, standing]) =>
    words.plain(`enough.${standing}`, { bands: bandsText(hz(state), words) }),
  );
  const scope = bestDecay(context, stage, 1000)?.scope ?? 'room';
  const parts = [
    words.say('advice.lead.standing', {
      stage: quotedStage(context, stage),
      standings: formatList(standings, words.locale),
      scope,
    }),
    ...(hz('too-long').length > 0 ? [missingSentence(context, distance, standings.length === 1)] : []),
    ...(hz('too-dead').length > 0 ? [words.say('advice.lead.too-dead')] : []),
    ...(status === 'unclear' ? [words.say('advice.lead.unclear')] : []),
    ...(status === 'met' ? [words.say('advice.lead.met')] : []),
    ...(isStale(context, stage) ? [words.say('advice.lead.stale')] : []),
  ];
  return sentences(parts);
}

function missingSentence(context: Context, distance: readonly BandDistance[], alone: boolean): Inline[] {
  const { words } = context;
  const span = missingSpan(context, distance);
  if (alone) return words.say('advice.lead.missing-there', { span });
  const long = distance.filter(({ state }) => state === 'too-long').map(({ centre_hz }) => centre_hz);
  return words.say('advice.lead.missing', { bands: bandsText(long, words), span });
}

/** Whether a later stage was recorded and holds no decay time, so that the room is no longer what the advice speaks of. */
function isStale({ results }: Context, stage: string): boolean {
  const ids = results.project.stages.map(({ id }) => id);
  return results.takes.some((take) => ids.indexOf(take.stage) > ids.indexOf(stage));
}

const STANDINGS = [
  ['met', 'within'],
  ['too-long', 'above'],
  ['too-dead', 'below'],
  ['unclear', 'unclear'],
] as const;

/** The absorption missing in the octaves that are too long, from the least to the most, in whole square metres where it is many. */
export function missingSpan({ words }: Context, distance: readonly BandDistance[]): string {
  const missing = distance.filter(({ state }) => state === 'too-long').map(({ missing_m2 }) => missing_m2);
  const [least, most] = [Math.min(...missing), Math.max(...missing)];
  const places = most < 10 ? 1 : 0;
  const text = (area_m2: number) => formatNumber(area_m2, places, words.locale);
  if (text(least) === text(most)) return words.plain('advice.lead.about', { area: withUnit(text(most), 'm²') });
  return words.plain('advice.lead.span', { low: text(least), high: withUnit(text(most), 'm²') });
}

function bareKey({ forecast_from, stage }: Advice): string {
  if (stage !== null) return 'no-bands';
  return forecast_from === 'surfaces' ? 'predicted' : 'unmeasured';
}

function distanceBlocks(context: Context, advice: Advice): Block[] {
  const { words } = context;
  if (advice.distance.length === 0) return [];
  const off = advice.distance.some(({ state }) => state === 'too-long' || state === 'too-dead');
  return [
    subheading('distance', words.say('advice.distance.title')),
    ...(off ? [paragraph(words.say('advice.distance.lead'))] : []),
    distanceTable(context, advice.distance),
  ];
}

const STATE_TONE: Record<BandDistance['state'], CellTone> = {
  met: 'verdict-none',
  'too-long': 'verdict-change',
  'too-dead': 'verdict-change',
  unclear: 'verdict-open',
};

function distanceTable(context: Context, distance: readonly BandDistance[]): Block {
  const { words } = context;
  const { locale } = words;
  const time = (seconds: number) => formatNumber(seconds, 2, locale);
  const rows = distance.map((band): Row => {
    const half_s = (band.now_high_s - band.now_low_s) / 2;
    const judged = band.state !== 'met';
    return {
      head: [String(band.centre_hz)],
      cells: [
        numberCell(words.plain('advice.plus-minus', { value: time(band.now_s), half: time(Math.max(half_s, 0.01)) })),
        numberCell(words.plain('advice.range', { low: time(band.low_s), high: time(band.high_s) })),
        numberCell(judged ? formatSigned(band.difference_s, 2, locale) : null),
        numberCell(judged ? missingText(context, band) : null),
        numberCell(band.missing_to_tolerance_m2 === 0 ? null : areaText(band.missing_to_tolerance_m2, locale)),
        { text: words.say(`advice.state.${band.state}`), tone: STATE_TONE[band.state] },
      ],
    };
  });
  const title = (key: string) => words.say(`advice.distance.${key}`);
  return table({
    id: 'distance-table',
    caption: title('caption'),
    head: column(title('band'), { unit: 'Hz', align: 'end' }),
    columns: [
      column(title('now'), { unit: 's', align: 'end' }),
      column(title('range'), { unit: 's', align: 'end' }),
      column(title('off'), { unit: 's', align: 'end' }),
      column(title('missing'), { unit: 'm²', align: 'end' }),
      column(title('edge'), { unit: 'm²', align: 'end' }),
      column(title('state')),
    ],
    rows,
    remarks: distance.some(({ state }) => state === 'too-dead') ? [{ mark: null, text: title('negative') }] : [],
  });
}

function missingText({ words }: Context, band: BandDistance): string {
  const area = (value: number) => areaText(value, words.locale);
  return words.plain('advice.predicted', {
    value: area(band.missing_m2),
    low: area(band.missing_low_m2),
    high: area(band.missing_high_m2),
  });
}
