import type { BandQuantity } from '../room/reading.ts';
import type { Target } from '../room/targets.ts';
import type { Centre, Change, ChangeValue, StageValue } from '../statistics/finding.ts';
import type { FigureBlock, Inline } from './document.ts';
import { type Figure, type FigureKind, figureId } from './figure.ts';
import type { IssueLog } from './issues.ts';
import { type Lengths, lengthsOf } from './lengths.ts';
import type { Results } from './results.ts';
import { shortText } from './short-text.ts';
import type { Words } from './words.ts';

/** What a report is built from. */
export interface ReportInput {
  results: Results;
  /** Charts, drawn. One that is missing is left out, with the words that speak of it. */
  figures: readonly Figure[];
  target: Target;
  words: Words;
  /** The issues of this report, this one the last; left out, the report carries no number. */
  issues?: IssueLog;
}

/** The input, with what every section asks of it. */
export interface Context extends ReportInput {
  /** The comparison the cover answers for: first with last stage where there is one, else the last of the list. */
  primary: Change | null;
  /** The last stage that holds a measured value. */
  lastStage: string | null;
  /** How lengths are written. */
  lengths: Lengths;
}

/** Decay times from the most precise to the least: the first that is valid speaks for a band. */
export const DECAY_QUANTITIES = ['tfull_s', 't30_s', 't20_s'] as const satisfies BandQuantity[];

/** The octave bands a report shows, nominal midbands in Hz. */
export const OCTAVES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000] as const;

/** Gathers what the sections share. */
export function createContext(input: ReportInput): Context {
  const { results } = input;
  const ids = results.project.stages.map((stage) => stage.id);
  const first = ids[0];
  const last = ids.at(-1);
  const whole = results.changes.find((change) => change.from === first && change.to === last);
  const measured = results.stages.filter((stage) => stage.values.some((value) => value.value !== null));
  return {
    ...input,
    primary: whole ?? results.changes.at(-1) ?? null,
    lastStage: measured.at(-1)?.id ?? null,
    lengths: lengthsOf(results.project, input.words.locale),
  };
}

/** The title of a stage as the user gave it, else its id. */
export function stageTitle(context: Context, id: string): string {
  return context.results.project.stages.find((stage) => stage.id === id)?.title ?? id;
}

/** The name of a stage inside a sentence or a table: its title, cut where it is very long. */
export function stageName(context: Context, id: string): string {
  return shortText(stageTitle(context, id));
}

/** The name of a stage in quotation marks, for a sentence. */
export function quotedStage(context: Context, id: string): string {
  return context.words.plain('document.quoted', { text: stageName(context, id) });
}

/** One value of a stage in octave bands, or null where it is not listed. */
export function stageValue(
  context: Context,
  place: { stage: string; quantity: BandQuantity; centre_hz: Centre },
): StageValue | null {
  const stage = context.results.stages.find((finding) => finding.id === place.stage);
  const match = (value: StageValue) =>
    value.quantity === place.quantity && value.centre_hz === place.centre_hz && value.width === 'octave';
  return stage?.values.find(match) ?? null;
}

/** One value of a comparison in octave bands, or null where it is not listed. */
export function changeValue(change: Change, quantity: BandQuantity, centre_hz: Centre): ChangeValue | null {
  const match = (value: ChangeValue) =>
    value.quantity === quantity && value.centre_hz === centre_hz && value.width === 'octave';
  return change.values.find(match) ?? null;
}

/** The most precise decay time of a band that a stage holds, or null. */
export function bestDecay(context: Context, stage: string, centre_hz: Centre): StageValue | null {
  for (const quantity of DECAY_QUANTITIES) {
    const found = stageValue(context, { stage, quantity, centre_hz });
    if (found && found.value !== null) return found;
  }
  return null;
}

/** The change of the most precise decay time of a band that both stages hold, else of the first that says why there is none. */
export function bestDecayChange(change: Change, centre_hz: Centre): ChangeValue | null {
  const listed = DECAY_QUANTITIES.map((quantity) => changeValue(change, quantity, centre_hz)).filter(
    (value) => value !== null,
  );
  return listed.find((value) => value.verdict !== 'not-measurable') ?? listed[0] ?? null;
}

/** The chart of a kind as a block with its reading help, in a list that is empty where there is no such chart. */
export function figureBlocks(context: Context, kind: FigureKind, reading: Inline[], change?: Change): FigureBlock[] {
  const ids = change ? [figureId(kind, change), kind] : [kind];
  const figure = ids.map((id) => context.figures.find((candidate) => candidate.id === id)).find((found) => found);
  if (!figure) return [];
  return [{ kind: 'figure', id: figure.id, label: '', caption: [figure.title], reading, alt: figure.alt }];
}

/** The chart of the first page: before and after where both can be drawn, else the decay by band, which then stands there alone. */
export function coverFigure(context: Context): FigureBlock | null {
  const { primary } = context;
  const change = primary ? figureBlocks(context, 'cover-change', [], primary) : [];
  const [figure] = change.length > 0 ? change : figureBlocks(context, 'decay-by-band', decayReading(context));
  return figure ?? null;
}

/** How to read the chart of the decay by band. */
export function decayReading({ words, target }: Context): Inline[] {
  return words.say('decay.figure', { target: target.ok ? 'yes' : 'no' });
}
