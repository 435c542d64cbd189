import { formatList } from '../report/format.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { BandValue, TargetBand } from './band-rows.ts';
import type { ChartBasis } from './basis.ts';
import { bandName } from './label.ts';
import type { LabelledStage } from './stage-label.ts';
import { splitStages } from './value-layers.ts';
import { valueText } from './value-text.ts';

/** What a chart of values by band and stage says in words: every value drawn in full, every refusal, the target if any. */
export function valuesAlt(
  input: {
    rows: readonly BandValue[];
    stages: readonly LabelledStage[];
    target: readonly TargetBand[] | null;
    quantity: BandQuantity;
  },
  basis: ChartBasis,
): string {
  const { words } = basis;
  const { full, between } = splitStages(input.stages);
  const sentences = full.flatMap((stage) => stageSentences({ ...input, stage }, basis));
  return [
    ...sentences,
    ...(between.length ? [words.alt.between(between.length)] : []),
    words.alt.interval,
    ...(input.target?.length ? [words.alt.target] : []),
  ].join(' ');
}

function stageSentences(
  input: { rows: readonly BandValue[]; stage: LabelledStage; quantity: BandQuantity },
  { words }: ChartBasis,
): string[] {
  const rows = input.rows.filter((row) => row.stage === input.stage.id);
  const values = rows.flatMap(({ value, low, high, centre_hz }) =>
    value === null
      ? []
      : [words.alt.value_at(valueText({ value, low, high }, input.quantity, words), bandName(centre_hz, words.locale))],
  );
  const refused = rows.filter((row) => row.value === null).map((row) => bandName(row.centre_hz, words.locale));
  const flagged = rows
    .filter((row) => row.flagged && row.value !== null)
    .map((row) => bandName(row.centre_hz, words.locale));
  return [
    ...(values.length ? [words.alt.values(input.stage.label, formatList(values, words.locale))] : []),
    ...(flagged.length ? [words.alt.flagged(input.stage.label, formatList(flagged, words.locale))] : []),
    ...(refused.length ? [words.alt.refused(input.stage.label, formatList(refused, words.locale))] : []),
  ];
}
