import { intervalPlaces, uncertaintyPlaces } from '../src/report/format.ts';
import { namingStages } from '../src/report/name-stages.ts';
import type { Results } from '../src/report/results.ts';
import type { BandQuantity } from '../src/room/reading.ts';
import type { Change, ChangeValue, StageValue, Verdict } from '../src/statistics/finding.ts';
import { type Paint, PLAIN, table, wrap } from './terminal.ts';

const QUANTITY_WORDS: Partial<Record<BandQuantity, string>> = {
  edt_s: 'early decay time',
  t20_s: 'T20',
  t30_s: 'T30',
  tfull_s: 'full-range decay time',
};
const VERDICT_WORDS: Record<Verdict, string> = {
  reduced: 'reduced',
  increased: 'increased',
  'no-detectable-change': 'no detectable change',
  'not-measurable': 'not measurable',
};

/**
 * Returns what changed as text for a terminal, 80 columns wide: for each pair of stages the headline, then a row for each
 * octave with the decay time before and after, the change in per cent, its 95 % interval and the verdict. Empty where
 * nothing was compared.
 */
export function changeTable(results: Results, paint: Paint = PLAIN): string {
  const named = namingStages(results, (title) => `"${title}"`);
  return named.changes.map((change) => oneChange(named, change, paint)).join('\n\n');
}

function oneChange(results: Results, change: Change, paint: Paint): string {
  const quantity = change.headline.quantity ?? 't20_s';
  const titleOf = (id: string): string => results.project.stages.find((stage) => stage.id === id)?.title ?? id;
  const valuesOf = (id: string): StageValue[] => results.stages.find((stage) => stage.id === id)?.values ?? [];
  const before = valuesOf(change.from);
  const after = valuesOf(change.to);
  const rows = change.values
    .filter((value) => value.quantity === quantity && value.width === 'octave' && value.centre_hz !== 'mid')
    .map((value) => [
      bandName(value.centre_hz as number),
      seconds(find(before, value)),
      seconds(find(after, value)),
      changeOf(value),
      intervalOf(value),
      VERDICT_WORDS[value.verdict],
    ]);
  const columns = [
    { title: 'Band' },
    { title: 'Before', align: 'right' as const },
    { title: 'After', align: 'right' as const },
    { title: 'Change', align: 'right' as const },
    { title: '95 % interval' },
    { title: 'Verdict' },
  ];
  const heading = paint.strong(wrap(`${titleOf(change.from)} -> ${titleOf(change.to)}`));
  const headline = wrap(headlineWords(change), { first: '  ', rest: '  ' });
  const warnings = change.warnings.map((warning) =>
    wrap(`beside the treatment: ${warning}`, { first: '  ', rest: '    ' }).replace(
      /^ {2}beside the treatment/,
      (mark) => paint.caution(mark),
    ),
  );
  const head = [heading, headline, ...warnings].join('\n');
  return rows.length === 0 ? head : `${head}\n\n${table(columns, rows)}`;
}

/**
 * Returns what the tables of `changeTable` say, one entry a row: by the pair of stages and the band, the change with its interval
 * and verdict, as rounded there. Of two runs, what differs here is what moved by more than its interval is worth.
 */
export function changeFacts(results: Results): Map<string, string> {
  const facts = new Map<string, string>();
  for (const change of results.changes) {
    const pair = `${change.from} -> ${change.to}`;
    facts.set(pair, headlineWords(change));
    const quantity = change.headline.quantity ?? 't20_s';
    for (const value of change.values) {
      if (value.quantity !== quantity || value.width !== 'octave' || value.centre_hz === 'mid') continue;
      const interval = value.percent === null ? '' : ` (${intervalOf(value)})`;
      facts.set(
        `${pair}, ${bandName(value.centre_hz)}`,
        `${changeOf(value)}${interval}, ${VERDICT_WORDS[value.verdict]}`,
      );
    }
  }
  return facts;
}

/** The headline in words: what moved, in which bands, by how much, how sure. */
function headlineWords({ headline }: Change): string {
  const { quantity, bands_hz, verdict, percent, percent_low, percent_high, reasons } = headline;
  const because = reasons.length === 0 ? '' : `: ${reasons.join('; ')}`;
  if (quantity === null || percent === null || percent_low === null || percent_high === null) {
    return `${capital(VERDICT_WORDS[verdict])}${because}.`;
  }
  const what = `${capital(QUANTITY_WORDS[quantity] ?? quantity)}, ${bands_hz.map(bandName).join(' and ')}`;
  const places = intervalPlaces({ low: percent_low, high: percent_high });
  const size = (value: number): string => Math.abs(value).toFixed(Math.max(0, places));
  if (verdict === 'reduced' || verdict === 'increased') {
    const [small, large] = [percent_low, percent_high].sort((a, b) => Math.abs(a) - Math.abs(b)) as [number, number];
    return `${what}: ${verdict} by ${size(percent)} % (95 % interval ${size(small)} to ${size(large)} %).`;
  }
  const interval = `${signed(percent_low, places)} to ${signed(percent_high, places)} %`;
  return `${what}: ${VERDICT_WORDS[verdict]}, ${signed(percent, places)} % (95 % interval ${interval})${because}.`;
}

function find(values: StageValue[], { quantity, width, centre_hz }: ChangeValue): StageValue | undefined {
  return values.find((value) => value.quantity === quantity && value.width === width && value.centre_hz === centre_hz);
}

function seconds(value: StageValue | undefined): string {
  if (value?.value == null) return '-';
  const places = value.expanded_uncertainty === null ? 2 : uncertaintyPlaces(value.expanded_uncertainty);
  return `${value.value.toFixed(Math.max(0, places))} s`;
}

function intervalOf({ percent_low, percent_high }: ChangeValue): string {
  if (percent_low === null || percent_high === null) return '-';
  const places = intervalPlaces({ low: percent_low, high: percent_high });
  return `${signed(percent_low, places)} to ${signed(percent_high, places)} %`;
}

/** To the place that its interval is worth. */
function changeOf({ percent, percent_low, percent_high }: ChangeValue): string {
  if (percent === null) return '-';
  const known = percent_low !== null && percent_high !== null;
  return `${signed(percent, known ? intervalPlaces({ low: percent_low, high: percent_high }) : 0)} %`;
}

/** A number with its sign, in plain characters that every terminal font has; no sign on a zero. */
function signed(value: number, places: number): string {
  const digits = Math.abs(value).toFixed(Math.max(0, places));
  if (!/[1-9]/.test(digits)) return digits;
  return `${value < 0 ? '-' : '+'}${digits}`;
}

function bandName(centre_hz: number): string {
  return centre_hz >= 1000 ? `${centre_hz / 1000} kHz` : `${centre_hz} Hz`;
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
