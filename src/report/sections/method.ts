import type { Project, TakeKind } from '../../project/project.ts';
import type { StageValue } from '../../statistics/finding.ts';
import { bestDecay, type Context, OCTAVES_HZ, stageName } from '../context.ts';
import type { Block, Inline, Section } from '../document.ts';
import { formatNumber, formatSignificant } from '../format.ts';
import { bandsText, numberCell, textCell, unitOf } from '../phrases.ts';
import { budgetBlocks } from './budgets.ts';
import { airText } from './room.ts';
import { column, paragraph, section, subheading, table } from './section.ts';
import { usualPracticeBlocks } from './usual-practice.ts';

/** How it was measured, how sure it is, what was not measured, and what would make it a test to a standard. */
export function methodSection(context: Context): Section {
  const { words, results } = context;
  const used = (kind: TakeKind) => results.takes.some((take) => take.kind === kind && take.used);
  const calibrated = results.takes.some((take) => (take.background?.level_dba ?? null) !== null);
  const paragraphs = (group: string, keys: string[]) =>
    keys.map((key) => paragraph(words.say(`method.${group}.${key}`)));
  const items = (group: string, keys: string[]) => keys.map((key) => words.say(`method.${group}.${key}`));
  const heading = (key: string) => subheading(`method-${key}`, words.say(`method.${key}`));
  return section(context, 'method', [
    heading('how'),
    equipment(context),
    heading('numbers'),
    ...paragraphs('step', [
      'events',
      ...(used('sweep') ? ['sweep'] : []),
      ...(used('noise-off') ? ['noise-off'] : []),
      'bands',
      'standard',
      'full',
      'refusal',
    ]),
    heading('uncertainty'),
    ...paragraphs('uncertain', ['interval', 'places', 'position', 'verdict', 'heard']),
    ...usualPracticeBlocks(context),
    ...budgetTable(context),
    ...budgetBlocks(context),
    heading('limits'),
    {
      kind: 'list',
      ordered: false,
      items: [
        ...unmeasuredBands(context),
        ...items('limit', [used('background') ? 'through' : 'noise', ...(calibrated ? [] : ['absolute']), 'cause']),
      ],
    },
    heading('standard'),
    {
      kind: 'list',
      ordered: false,
      items: items('certified', ['source', 'places', 'instruments', 'state', 'report']),
    },
    heading('professional'),
    { kind: 'list', ordered: false, items: items('call', ['law', 'structure', 'fire', 'hazard', 'noise']) },
  ]);
}

/** What was measured with and in what air, as stated; then what a stage states otherwise. */
function equipment(context: Context): Block {
  const { words, results } = context;
  const { recorder, stages } = results.project;
  const choice = (key: string, flag: boolean | undefined, yes: string, no: string) =>
    flag === undefined ? null : words.plain(`method.${key}-${flag ? yes : no}`);
  const rows: [string, string | null][] = [
    ['microphone', microphoneText(results.project.microphone)],
    ['source', sourceText(context, results.project.source)],
    ['recorder', recorder.description ?? null],
    ['gain', choice('gain', recorder.fixed_gain, 'fixed', 'moved')],
    ['processing', choice('processing', recorder.processing_off, 'off', 'on')],
    ['conditions', airText(context)],
  ];
  const own = stages.flatMap((stage): { term: Inline[]; detail: Inline[] }[] => {
    const stated: [string, string | null][] = [
      ['microphone', microphoneText(stage.microphone)],
      ['source', sourceText(context, stage.source)],
      ['conditions', airText(context, stage)],
    ];
    const term = (key: string) =>
      words.say('method.at-stage', { what: words.plain(`method.${key}`), stage: stageName(context, stage.id) });
    return stated.flatMap(([key, detail]) => (detail === null ? [] : [{ term: term(key), detail: [detail] }]));
  });
  const missing = words.plain('document.not-stated');
  const general = rows.map(([key, detail]) => ({ term: words.say(`method.${key}`), detail: [detail ?? missing] }));
  return { kind: 'facts', items: [...general, ...own] };
}

function microphoneText(microphone: Project['microphone'] | undefined): string | null {
  return [microphone?.description, microphone?.pattern].filter(Boolean).join(', ') || null;
}

function sourceText({ words }: Context, source: Project['source'] | undefined): string | null {
  return source?.description ?? (source?.kind ? words.plain(`source.${source.kind}`) : null);
}

/** The budget of one value that the cover rests on, so that a reader can follow how an uncertainty is made up. */
function budgetTable(context: Context): Block[] {
  const { words, lastStage } = context;
  const value =
    lastStage === null ? null : (bestDecay(context, lastStage, 'mid') ?? bestDecay(context, lastStage, 1000));
  if (lastStage === null || value === null || value.budget.length === 0) return [];
  const bands = bandsText(value.centre_hz === 'mid' ? [500, 1000] : [value.centre_hz], words);
  const freedom = (dof: number | null) =>
    dof === null ? textCell(words.say('method.budget.known')) : numberCell(formatNumber(dof, 0, words.locale));
  const rows = value.budget.map((line) => ({
    head: words.say(`method.contribution.${line.source}`),
    cells: [numberCell(formatSignificant(line.standard_uncertainty, 2, words.locale)), freedom(line.dof)],
  }));
  return [
    table({
      id: 'budget',
      caption: words.say('method.budget.caption', {
        quantity: words.plain(`quantity.${value.quantity}`),
        stage: stageName(context, lastStage),
        bands,
      }),
      head: column(words.say('method.budget.head')),
      columns: [
        column(words.say('method.budget.standard'), { unit: unitOf(value.quantity), align: 'end' }),
        column(words.say('method.budget.dof'), { align: 'end' }),
      ],
      rows: [...rows, ...totals(context, value)],
    }),
  ];
}

function totals(context: Context, value: StageValue) {
  const { words } = context;
  const { standard_uncertainty, expanded_uncertainty, coverage_factor, dof } = value;
  if (standard_uncertainty === null || expanded_uncertainty === null || coverage_factor === null) return [];
  const strong = (text: string): Inline[] => [{ kind: 'strong', text: [text] }];
  const factor = formatNumber(coverage_factor, 2, words.locale);
  const digits = (number: number) => formatSignificant(number, 2, words.locale);
  return [
    {
      head: words.say('method.budget.combined'),
      cells: [
        numberCell(digits(standard_uncertainty)),
        numberCell(dof === null ? null : formatNumber(Math.floor(dof), 0, words.locale)),
      ],
    },
    {
      head: words.say('method.budget.expanded', { factor }),
      cells: [{ text: strong(digits(expanded_uncertainty)), tone: 'number' as const }, numberCell('')],
    },
  ];
}

/** The bands in which a stage has no decay time at all. */
function unmeasuredBands(context: Context): Inline[][] {
  const { words, results } = context;
  const scopes = results.stages.flatMap((stage) => stage.values.map((value) => value.scope));
  const single = scopes.length > 0 && scopes.every((scope) => scope === 'position');
  const missing = results.stages.flatMap((stage) => {
    const bands = OCTAVES_HZ.filter((centre_hz) => bestDecay(context, stage.id, centre_hz) === null);
    if (bands.length === 0) return [];
    return [words.say('method.limit.bands', { stage: stageName(context, stage.id), bands: bandsText(bands, words) })];
  });
  return [...missing, ...(single ? [words.say('method.limit.position')] : [])];
}
