import { noiseTarget } from '../../audio/noise-targets.ts';
import { type Context, OCTAVES_HZ, stageName } from '../context.ts';
import type { Block, Column, Inline, Row, Section } from '../document.ts';
import { formatNumber } from '../format.ts';
import { numberCell } from '../phrases.ts';
import type { BackgroundResult, TakeResult } from '../results.ts';
import { column, paragraph, section, subheading, table } from './section.ts';

/** More columns do not fit a page; the others stand in results.json. */
const SHOWN = 5;

type BackgroundTake = TakeResult & { background: BackgroundResult };

/** The noise of the room by octave, against the claps and, where a calibrator was recorded, against what the purpose allows; null without it. */
export function backgroundSection(context: Context): Section | null {
  const { words, results } = context;
  const takes = results.takes.filter((take): take is BackgroundTake => take.used && take.background !== undefined);
  if (takes.length === 0) return null;
  return section(context, 'background', [
    paragraph(words.say('background.lead')),
    levelTable(context, takes.slice(0, SHOWN)),
    ...ratings(context, takes),
    {
      kind: 'note',
      tone: 'limit',
      title: words.say('background.limit.title'),
      text: ['recorder', 'sample', 'through'].map((key) => words.say(`background.limit.${key}`)),
    },
  ]);
}

/** Absolute where a calibrator says so, else against the direct sound of the claps, else against full scale. */
function referenceOf({ background }: BackgroundTake): 'absolute' | 'relative' | 'digital' {
  if (background.calibrated_by !== null) return 'absolute';
  return background.responses > 0 ? 'relative' : 'digital';
}

const LEVEL = { absolute: 'pressure_level_db', relative: 'relative_db', digital: 'level_db' } as const;

function levelTable(context: Context, takes: BackgroundTake[]): Block {
  const { words } = context;
  const columns = takes.flatMap((take): { of: Column; level: (centre_hz: number) => number | null }[] => {
    const reference = referenceOf(take);
    const references =
      reference === 'absolute' && take.background.responses > 0 ? (['absolute', 'relative'] as const) : [reference];
    return references.map((one) => ({
      of: column([...placeName(context, take), ' ', ...words.say(`background.reference.${one}`)], {
        unit: 'dB',
        align: 'end',
      }),
      level: (centre_hz) =>
        take.background.octaves.find((octave) => octave.centre_hz === centre_hz)?.[LEVEL[one]] ?? null,
    }));
  });
  const rows = OCTAVES_HZ.map((centre_hz): Row => {
    const cells = columns.map(({ level }) => {
      const level_db = level(centre_hz);
      return numberCell(level_db === null ? null : formatNumber(level_db, 0, words.locale));
    });
    return { head: [String(centre_hz)], cells };
  });
  return table({
    id: 'background-levels',
    caption: words.say('background.caption'),
    head: column(words.say('change.band'), { unit: 'Hz', align: 'end' }),
    columns: columns.map(({ of }) => of),
    rows,
    remarks: (['absolute', 'relative', 'digital'] as const)
      .filter((reference) =>
        takes.some(
          (take) => referenceOf(take) === reference || (reference === 'relative' && take.background.responses > 0),
        ),
      )
      .map((reference) => ({ mark: null, text: words.say(`background.remark.${reference}`) })),
  });
}

function placeName(context: Context, take: TakeResult): Inline[] {
  return context.words.say('background.place', { stage: stageName(context, take.stage), position: take.position });
}

/** What the noise comes to, take by take, and how it stands against the purpose. */
function ratings(context: Context, takes: BackgroundTake[]): Block[] {
  const { words, results } = context;
  const target = noiseTarget(results.project.purpose);
  const absolute = takes.filter((take) => take.background.level_dba !== null);
  const unsteady = takes.filter((take) => !take.background.steady);
  const items = [
    ...absolute.map((take) => [...ratingText(context, take), ' ', ...standing(context, take.background)]),
    ...unsteady.map((take) => words.say('background.unsteady', { place: placeText(context, take) })),
  ];
  if (absolute.length === 0) items.push(words.say('background.uncalibrated'));
  else if (target) items.push(words.say('background.target', { source: target.source, note: target.note }));
  else items.push(words.say('background.no-target'));
  return [subheading('background-ratings', words.say('background.ratings')), { kind: 'list', ordered: false, items }];
}

function placeText(context: Context, take: TakeResult): string {
  return context.words.plain('background.place', { stage: stageName(context, take.stage), position: take.position });
}

function ratingText(context: Context, take: BackgroundTake): Inline[] {
  const { words } = context;
  const { level_dba, noise_rating } = take.background;
  const level = formatNumber(level_dba!, 0, words.locale);
  const place = placeText(context, take);
  if (noise_rating === null) return words.say('background.level', { place, level });
  const { rating, decided_by_hz } = noise_rating;
  return words.say('background.rating', { place, level, rating: String(rating), band: String(decided_by_hz) });
}

/** Within the target is certain, since recorder and microphone only add; over it may be theirs. */
function standing({ words, results }: Context, { level_dba, noise_rating }: BackgroundResult): Inline[] {
  const target = noiseTarget(results.project.purpose);
  const found = target?.unit === 'NR' ? (noise_rating?.rating ?? null) : level_dba;
  if (!target || found === null) return [];
  const most = formatNumber(target.most, 0, words.locale);
  return words.say(`background.standing.${found <= target.most ? 'within' : 'over'}`, { most, unit: target.unit });
}
