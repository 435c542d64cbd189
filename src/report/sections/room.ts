import type { Treatment } from '../../project/project.ts';
import { roomBox_m, roomSurface_m2, roomVolume_m3 } from '../../project/room-size.ts';
import { type Context, figureBlocks, stageTitle } from '../context.ts';
import type { Block, Facts, Inline, Row, Section } from '../document.ts';
import { formatDate, formatMoney, formatNumber, withUnit } from '../format.ts';
import { numberCell, purposeText, textCell } from '../phrases.ts';
import { column, paragraph, section, table } from './section.ts';

/** The room, its stages and what each added, its positions and surfaces: all as the project states them. */
export function roomSection(context: Context): Section {
  return section(context, 'room', [
    paragraph(context.words.say('room.lead')),
    roomFacts(context),
    ...stagesTable(context),
    ...positionsTable(context),
    ...figureBlocks(context, 'room-plan', context.words.say('room.plan')),
    ...surfacesTable(context),
    ...(context.results.advice?.low_frequency
      ? []
      : figureBlocks(context, 'room-modes', context.words.say('room.modes'))),
  ]);
}

function roomFacts(context: Context): Facts {
  const { words, results } = context;
  const { room, purpose } = results.project;
  const { lengths } = context;
  const metre = (value: number) => lengths.text(value, 2);
  const box = roomBox_m(room);
  const volume = roomVolume_m3(room);
  const surface = roomSurface_m2(room);
  const rows: [string, string | null][] = [
    ['purpose', purposeText(purpose, words)],
    ['size', box && withUnit([box.length_m, box.width_m, box.height_m].map(metre).join(' × '), lengths.unit)],
    ['floor', box && withUnit(formatNumber(box.length_m * box.width_m, 1, words.locale), 'm²')],
    ['volume', volume === null ? null : withUnit(formatNumber(volume, 1, words.locale), 'm³')],
    ['surface', surface === null ? null : withUnit(formatNumber(surface, 1, words.locale), 'm²')],
    ['air', airText(context)],
  ];
  const items = rows.flatMap(([key, detail]) => (detail ? [{ term: words.say(`room.${key}`), detail: [detail] }] : []));
  return { kind: 'facts', items };
}

/** Temperature and humidity of the room, or of a stage that states its own; null where neither is stated. */
export function airText(
  context: Context,
  room: { temperature?: number | undefined; humidity?: number | undefined } = context.results.project.room,
): string | null {
  const { locale } = context.words;
  const temperature = room.temperature === undefined ? [] : [withUnit(formatNumber(room.temperature, 0, locale), '°C')];
  const humidity =
    room.humidity === undefined
      ? []
      : [context.words.plain('room.humidity', { value: withUnit(formatNumber(room.humidity, 0, locale), '%') })];
  return [...temperature, ...humidity].join(', ') || null;
}

function stagesTable(context: Context): Block[] {
  const { words, results } = context;
  const { stages, currency } = results.project;
  const costs = stages.flatMap((stage) => stage.treatments.flatMap(({ cost }) => (cost === undefined ? [] : [cost])));
  const money = (amount: number) => formatMoney(amount, currency, words.locale);
  const rows = stages.flatMap((stage): Row[] => {
    const date = textCell(stage.date ? formatDate(stage.date, words.locale) : '–');
    const lines = stage.treatments.length > 0 ? stage.treatments : [null];
    return lines.map((treatment, index) => ({
      head: index === 0 ? [stageTitle(context, stage.id)] : [],
      cells: [
        index === 0 ? date : textCell(''),
        treatment
          ? textCell(treatmentText(context, treatment))
          : { text: words.say('room.stages.untreated'), tone: 'quiet' },
        numberCell(
          treatment?.area === undefined ? null : withUnit(formatNumber(treatment.area, 1, words.locale), 'm²'),
        ),
        ...(costs.length > 0 ? [numberCell(treatment?.cost === undefined ? null : money(treatment.cost))] : []),
      ],
    }));
  });
  const total = costs.reduce((sum, cost) => sum + cost, 0);
  const notes = stages.flatMap((stage) =>
    stage.note ? [{ stage: stageTitle(context, stage.id), note: stage.note }] : [],
  );
  return [
    table({
      id: 'stages',
      caption: words.say('room.stages.caption'),
      head: column(words.say('room.stages.head')),
      columns: [
        column(words.say('room.stages.date')),
        column(words.say('room.stages.treatment')),
        column(words.say('room.stages.area'), { align: 'end' }),
        ...(costs.length > 0 ? [column(words.say('room.stages.cost'), { align: 'end' })] : []),
      ],
      rows,
      remarks: [
        ...notes.map((note) => ({ mark: null, text: words.say('room.note', note) })),
        ...(costs.length > 1 ? [{ mark: null, text: words.say('room.stages.total', { cost: money(total) }) }] : []),
      ],
    }),
  ];
}

function treatmentText(context: Context, treatment: Treatment): Inline[] {
  const { words } = context;
  const millimetres = context.lengths.small;
  const parts = [
    ...(treatment.thickness === undefined
      ? []
      : [words.plain('room.stages.thickness', { value: millimetres(treatment.thickness) })]),
    ...(treatment.air_gap === undefined || treatment.air_gap === 0
      ? []
      : [words.plain('room.stages.gap', { value: millimetres(treatment.air_gap) })]),
  ];
  return [[treatment.name, ...parts].join(', ')];
}

function positionsTable(context: Context): Block[] {
  const { words, results } = context;
  const point = (place: readonly number[] | undefined) =>
    textCell(place ? place.map((value) => context.lengths.text(value, 2)).join(' · ') : '–');
  const rows = Object.entries(results.project.positions).map(([id, position]) => ({
    head: [id],
    cells: [point(position.microphone), point(position.source), textCell(position.note ?? '')],
  }));
  if (rows.length === 0) return [];
  return [
    table({
      id: 'positions',
      caption: words.say('room.positions.caption', { unit: context.lengths.unit }),
      head: column(words.say('room.positions.head')),
      columns: ['microphone', 'source', 'note'].map((key) => column(words.say(`room.positions.${key}`))),
      rows,
    }),
  ];
}

function surfacesTable(context: Context): Block[] {
  const { words, results } = context;
  const rows = (results.project.room.surfaces ?? []).map((surface) => ({
    head: [surface.name],
    cells: [textCell(surface.material), numberCell(withUnit(formatNumber(surface.area, 1, words.locale), 'm²'))],
  }));
  if (rows.length === 0) return [];
  return [
    table({
      id: 'surfaces',
      caption: words.say('room.surfaces.caption'),
      head: column(words.say('room.surfaces.head')),
      columns: [column(words.say('room.surfaces.material')), column(words.say('room.surfaces.area'), { align: 'end' })],
      rows,
    }),
  ];
}
