import type { LowFrequency } from '../../advice/advice.ts';
import { stageAir } from '../../advice/conditions.ts';
import { stageModes } from '../../advice/stage-modes.ts';
import { roomBox_m } from '../../project/room-size.ts';
import { soundSpeed } from '../../room/sound-speed.ts';
import { type Context, figureBlocks, quotedStage, stageName } from '../context.ts';
import type { Block, Facts, Inline, Row, Section } from '../document.ts';
import { formatList, formatNumber, withUnit } from '../format.ts';
import { bandsList, numberCell, textCell } from '../phrases.ts';
import { column, paragraph, section, table } from './section.ts';

/** More places of crowded resonances than these are no use to a reader. */
const MOST_NAMED = 3;

/** The bass: single resonances, how they are spaced, and which octaves a decay time cannot speak for; null without a box and its decay. */
export function bassSection(context: Context): Section | null {
  const { words, results } = context;
  const low = results.advice?.low_frequency;
  if (!low) return null;
  return section(context, 'bass', [
    paragraph(words.say('bass.lead')),
    bassFacts(context, low),
    ...figureBlocks(context, 'room-modes', words.say('bass.figure')),
    octaveTable(context, low),
    ...modeBlocks(context),
    ...adviceParagraphs(context, low).map((text) => paragraph(text)),
  ]);
}

function bassFacts(context: Context, low: LowFrequency): Facts {
  const { words } = context;
  const { locale } = words;
  const { schroeder_hz, bandwidth_hz, modes, counts } = low.modes;
  const hertz = (value: number, places = 0) => withUnit(formatNumber(value, places, locale), 'Hz');
  const fact = (key: string, detail: Inline[]) => ({ term: words.say(`bass.${key}.term`), detail });
  const first = modes[0];
  return {
    kind: 'facts',
    items: [
      fact('schroeder', words.say('bass.schroeder.detail', { frequency: hertz(schroeder_hz) })),
      ...(first ? [fact('first', words.say('bass.first.detail', { frequency: hertz(first.frequency_hz, 1) }))] : []),
      fact('count', words.say('bass.count.detail', { count: modes.length, ...counts })),
      fact('width', words.say('bass.width.detail', { frequency: hertz(bandwidth_hz, 1) })),
    ],
  };
}

function octaveTable(context: Context, low: LowFrequency): Block {
  const { words } = context;
  const { locale } = words;
  const title = (key: string) => words.say(`bass.table.${key}`);
  const rows = low.modes.bands.map(
    (band): Row => ({
      head: [String(band.centre_hz)],
      cells: [
        numberCell(formatNumber(band.modes, 0, locale)),
        numberCell(
          band.mean_spacing_hz === null
            ? null
            : formatNumber(band.mean_spacing_hz, band.mean_spacing_hz < 1 ? 2 : 1, locale),
        ),
        textCell(title(`standing.${band.standing}`)),
        textCell(title(low.refused_hz.includes(band.centre_hz) ? 'refused' : 'read')),
      ],
    }),
  );
  return table({
    id: 'bass-table',
    caption: title('caption'),
    head: column(words.say('advice.distance.band'), { unit: 'Hz', align: 'end' }),
    columns: [
      column(title('modes'), { align: 'end' }),
      column(title('spacing'), { unit: 'Hz', align: 'end' }),
      column(title('treated')),
      column(title('decay')),
    ],
    rows,
  });
}

/** Decays of single resonances, where sweeps of the stage show them. */
function modeBlocks(context: Context): Block[] {
  const { words, results } = context;
  const { locale } = words;
  const stage = results.advice!.stage!;
  const takes = results.takes.filter((take) => take.used && take.stage === stage);
  const responses = takes
    .flatMap((take) => take.responses)
    .flatMap(({ used, modes }) => (used && modes ? [modes] : []));
  const speed_m_s = soundSpeed(stageAir(results.project, stage).temperature_c);
  const found = stageModes(responses, { box: roomBox_m(results.project.room), speed_m_s });
  if (found.length === 0) return [];
  const title = (key: string) => words.say(`bass.modes.${key}`);
  const time = (seconds: number) => formatNumber(seconds, 2, locale);
  const rows = found.map((mode): Row => {
    const span = words.plain('advice.range', { low: time(mode.shortest_s), high: time(mode.longest_s) });
    return {
      head: [formatNumber(mode.frequency_hz, 1, locale)],
      cells: [
        numberCell(time(mode.time_s)),
        numberCell(mode.responses > 1 ? span : null),
        numberCell(words.plain('takes.count.of', { used: mode.responses, all: responses.length })),
        textCell(mode.order === null ? '–' : mode.order.join(' · ')),
      ],
    };
  });
  return [
    table({
      id: 'mode-table',
      caption: words.say('bass.modes.caption', { stage: stageName(context, stage) }),
      head: column(title('frequency'), { unit: 'Hz', align: 'end' }),
      columns: [
        column(title('decay'), { unit: 's', align: 'end' }),
        column(title('span'), { unit: 's', align: 'end' }),
        column(title('found'), { align: 'end' }),
        column(title('order')),
      ],
      rows,
      remarks: [{ mark: null, text: title('remark') }],
    }),
  ];
}

/** What follows from it, most telling first. */
function adviceParagraphs(context: Context, { modes, refused_hz }: LowFrequency): Inline[][] {
  const { words, results } = context;
  const hertz = (value: number) => withUnit(formatNumber(value, 0, words.locale), 'Hz');
  const beyond = modes.bands.filter(({ standing }) => standing !== 'statistical').map(({ centre_hz }) => centre_hz);
  const crowded = modes.coincident
    .toSorted((a, b) => b.orders.length - a.orders.length || a.frequency_hz - b.frequency_hz)
    .slice(0, MOST_NAMED)
    .map(({ frequency_hz }) => frequency_hz)
    .sort((a, b) => a - b);
  const stage = results.advice!.stage!;
  return [
    ...(beyond.length > 0 ? [words.say('bass.advice.beyond', { bands: bandsList(beyond, words) })] : []),
    ...(refused_hz.length > 0
      ? [words.say('bass.advice.refused', { bands: bandsList(refused_hz, words), stage: quotedStage(context, stage) })]
      : []),
    ...(crowded.length > 0
      ? [words.say('bass.advice.crowded', { list: formatList(crowded.map(hertz), words.locale) })]
      : []),
    ...(modes.widest_gap
      ? [
          words.say('bass.advice.gap', {
            from: hertz(modes.widest_gap.from_hz),
            to: hertz(modes.widest_gap.to_hz),
          }),
        ]
      : []),
    words.say('bass.advice.do'),
  ];
}
