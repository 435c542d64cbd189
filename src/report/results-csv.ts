import { csvFormat } from 'd3-dsv';
import { BAND_QUANTITIES } from '../room/reading.ts';
import type { Results } from './results.ts';

/** The columns of results.csv, in order: one row a value, so that tables of many projects can be joined. */
export const CSV_COLUMNS = [
  'project',
  'record',
  'stage',
  'to_stage',
  'position',
  'file',
  'onset_s',
  'width',
  'centre_hz',
  'quantity',
  'value',
  'expanded_uncertainty',
  'low',
  'high',
  'percent',
  'status',
  'noticeable',
  'reason',
] as const;

type Row = Partial<Record<(typeof CSV_COLUMNS)[number], string | number | null>>;

/**
 * Everything measured as a tidy table (RFC 4180): a row for each value of a response, of a background or passage, of a stage
 * and of a change. `record` says which of these a row is; `low` and `high` are the 95 % interval; an empty `value` has its `reason`.
 * A text that a spreadsheet would take for a formula has an apostrophe before it, which makes it a text there.
 */
export function resultsCsv(results: Results): string {
  const project = results.project.reference ?? results.project.title;
  const rows = [...responseRows(results), ...wholeTakeRows(results), ...stageRows(results), ...changeRows(results)];
  return `${csvFormat(
    rows.map((row) => asText({ project, ...row })),
    [...CSV_COLUMNS],
  )}\n`;
}

/** Names come from strangers, and spreadsheets run what begins like this. */
const FORMULA = /^[=+\-@\t\r]/;

const NAMED_BY_OTHERS = ['project', 'stage', 'to_stage', 'position', 'file', 'reason'] as const;

function asText(row: Row): Row {
  const safe = { ...row };
  for (const column of NAMED_BY_OTHERS) {
    const cell = safe[column];
    if (typeof cell === 'string' && FORMULA.test(cell)) safe[column] = `'${cell}`;
  }
  return safe;
}

function responseRows(results: Results): Row[] {
  return results.takes.flatMap((take) =>
    take.responses.flatMap((response) =>
      response.bands.flatMap((band) =>
        [...BAND_QUANTITIES, 'range_db' as const].map((quantity) => ({
          record: 'response',
          stage: take.stage,
          position: take.position,
          file: take.file,
          onset_s: response.onset_s,
          width: band.width,
          centre_hz: band.centre_hz,
          quantity,
          value: band[quantity],
          status: response.used ? 'used' : 'set-aside',
          reason: quantity === 'range_db' ? '' : (band.refusals[quantity] ?? band.flags[quantity] ?? ''),
        })),
      ),
    ),
  );
}

/** Levels of the takes that have no responses: all in dB, loudness in LUFS. */
function wholeTakeRows(results: Results): Row[] {
  return results.takes.flatMap(({ stage, position, file, used, background, passage }): Row[] => {
    const status = used ? 'used' : 'set-aside';
    const whole = { stage, position, file, status };
    const octaves = background?.octaves ?? [];
    const thirds = passage?.spectrum ?? [];
    return [
      ...octaves.flatMap(({ centre_hz, ...levels }) =>
        Object.entries(levels).map(([quantity, value]) => {
          return { record: 'background', ...whole, width: 'octave', centre_hz, quantity, value };
        }),
      ),
      ...(background ? [{ record: 'background', ...whole, quantity: 'level_dba', value: background.level_dba }] : []),
      ...thirds.map(({ centre_hz, level_db }) => {
        return { record: 'passage', ...whole, width: 'third-octave', centre_hz, quantity: 'level_db', value: level_db };
      }),
      ...(passage
        ? (['integrated_lufs', 'pause_level_db'] as const).map((quantity) => {
            const reason = quantity === 'pause_level_db' ? (passage.pause_refusal ?? '') : '';
            return { record: 'passage', ...whole, quantity, value: passage[quantity], reason };
          })
        : []),
    ];
  });
}

function stageRows(results: Results): Row[] {
  return results.stages.flatMap((stage) =>
    stage.values.map((value) => ({
      record: 'stage',
      stage: stage.id,
      width: value.width,
      centre_hz: value.centre_hz,
      quantity: value.quantity,
      value: value.value,
      expanded_uncertainty: value.expanded_uncertainty,
      status: value.status,
      reason: value.reasons.join('; '),
    })),
  );
}

function changeRows(results: Results): Row[] {
  return results.changes.flatMap((change) =>
    change.values.map((value) => ({
      record: 'change',
      stage: change.from,
      to_stage: change.to,
      width: value.width,
      centre_hz: value.centre_hz,
      quantity: value.quantity,
      value: value.difference,
      low: value.low,
      high: value.high,
      percent: value.percent,
      status: value.verdict,
      noticeable: value.noticeable,
      reason: value.reasons.join('; '),
    })),
  );
}
