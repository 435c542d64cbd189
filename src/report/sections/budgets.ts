import type { Centre, ChangeValue, Contribution, ContributionSource, StageValue } from '../../statistics/finding.ts';
import { bestDecay, bestDecayChange, type Context, OCTAVES_HZ, stageName } from '../context.ts';
import type { Block, Inline, Row } from '../document.ts';
import { formatNumber } from '../format.ts';
import { numberCell, textCell } from '../phrases.ts';
import { column, paragraph, subheading, table } from './section.ts';

const SOURCES: readonly ContributionSource[] = ['bound', 'positions', 'repeatability', 'range', 'fit', 'temperature'];
const CENTRES: readonly Centre[] = [...OCTAVES_HZ, 'mid'];

/**
 * The budget of every octave of the stages of the main comparison and of the change between them, or of the last stage where there
 * is none: what each source contributes, in per cent of the decay time, degrees of freedom and coverage factor.
 */
export function budgetBlocks(context: Context): Block[] {
  const { words, primary, lastStage } = context;
  const stages = primary ? [primary.from, primary.to] : lastStage === null ? [] : [lastStage];
  const tables = stages.flatMap((id) =>
    budgetTable(context, {
      id: `budget--${id}`,
      caption: words.say('method.budgets.stage', { stage: stageName(context, id) }),
      lines: CENTRES.map((centre_hz) => stageLine(centre_hz, bestDecay(context, id, centre_hz))),
    }),
  );
  if (primary) {
    tables.push(
      ...budgetTable(context, {
        id: 'budget--change',
        caption: words.say('method.budgets.change', {
          from: stageName(context, primary.from),
          to: stageName(context, primary.to),
        }),
        lines: CENTRES.map((centre_hz) => changeLine(centre_hz, bestDecayChange(primary, centre_hz))),
      }),
    );
  }
  if (tables.length === 0) return [];
  return [
    subheading('budgets', words.say('method.budgets.title')),
    paragraph(words.say('method.budgets.reading')),
    ...tables,
    paragraph(words.say('method.budgets.sources'), 'small'),
  ];
}

/** One band's budget, uncertainties in per cent. */
interface Line {
  centre_hz: Centre;
  parts: Map<ContributionSource, number>;
  standard_percent: number;
  dof: number | null;
  coverage_factor: number;
}

function stageLine(centre_hz: Centre, value: StageValue | null): Line | null {
  if (!value || value.value === null) return null;
  return lineOf(centre_hz, value, 100 / value.value);
}

/** The uncertainty of ln(after / before): to first order that of the ratio, as a share. */
function changeLine(centre_hz: Centre, value: ChangeValue | null): Line | null {
  return value && lineOf(centre_hz, value, 100);
}

interface Budgeted {
  budget: readonly Contribution[];
  standard_uncertainty: number | null;
  dof: number | null;
  coverage_factor: number | null;
}

function lineOf(centre_hz: Centre, value: Budgeted, to_percent: number): Line | null {
  const { budget, standard_uncertainty, dof, coverage_factor } = value;
  if (budget.length === 0 || standard_uncertainty === null || coverage_factor === null) return null;
  const parts = new Map(budget.map((line) => [line.source, line.standard_uncertainty * to_percent]));
  return { centre_hz, parts, standard_percent: standard_uncertainty * to_percent, dof, coverage_factor };
}

function budgetTable({ words }: Context, parts: { id: string; caption: Inline[]; lines: (Line | null)[] }): Block[] {
  const lines = parts.lines.filter((line) => line !== null);
  const sources = SOURCES.filter((source) => lines.some((line) => line.parts.has(source)));
  if (lines.length === 0) return [];
  const figure = (value: number, places: number) => numberCell(formatNumber(value, places, words.locale));
  const rows = lines.map(
    (line): Row => ({
      head: [line.centre_hz === 'mid' ? words.plain('method.budgets.mid') : String(line.centre_hz)],
      cells: [
        ...sources.map((source) => {
          const part = line.parts.get(source);
          return part === undefined ? numberCell(null) : figure(part, 1);
        }),
        figure(line.standard_percent, 1),
        line.dof === null ? textCell(words.say('method.budget.known')) : figure(Math.floor(line.dof), 0),
        figure(line.coverage_factor, 2),
        figure(line.coverage_factor * line.standard_percent, 1),
      ],
    }),
  );
  const percent = { unit: '%', align: 'end' as const };
  return [
    table({
      id: parts.id,
      caption: parts.caption,
      head: column(words.say('change.band'), { unit: 'Hz', align: 'end' }),
      columns: [
        ...sources.map((source) => column(words.say(`method.budgets.short.${source}`), percent)),
        column(words.say('method.budgets.combined'), percent),
        column(words.say('method.budgets.dof'), { align: 'end' }),
        column(words.say('method.budgets.factor'), { align: 'end' }),
        column(words.say('method.budgets.expanded'), percent),
      ],
      rows,
    }),
  ];
}
