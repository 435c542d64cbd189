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

/** Where a value belongs: the columns that many rows share. */
interface Place {
  record: 'response' | 'background' | 'passage' | 'stage' | 'change';
  stage: string;
  to_stage?: string;
  position?: string | null;
  file?: string;
  onset_s?: number;
  width?: string;
  centre_hz?: number | string;
}

/** What was found there. */
interface Found {
  quantity: string;
  value: number | null;
  expanded_uncertainty?: number | null;
  low?: number | null;
  high?: number | null;
  percent?: number | null;
  status: string;
  noticeable?: string;
  reason?: string;
}

/**
 * Everything measured as a tidy table (RFC 4180): a row for each value of a response, of a background or passage, of a stage
 * and of a change. `record` says which of these a row is; `low` and `high` are the 95 % interval; an empty `value` has its `reason`.
 * A text that a spreadsheet would take for a formula has an apostrophe before it, which makes it a text there.
 */
export function resultsCsv(results: Results): string {
  const project = namedText(results.project.reference ?? results.project.title);
  const rows = [CSV_COLUMNS.join(',')];
  const add: AddRows = (place, found) => {
    const begin = `${project},${placeText(place)}`;
    for (const one of found) rows.push(rowText(begin, one));
  };
  addResponses(results, add);
  addWholeTakes(results, add);
  addStages(results, add);
  addChanges(results, add);
  return `${rows.join('\n')}\n`;
}

type AddRows = (place: Place, found: readonly Found[]) => void;

function placeText({ record, stage, to_stage, position, file, onset_s, width = '', centre_hz = '' }: Place): string {
  const names = `${namedText(stage)},${namedText(to_stage)},${namedText(position)},${namedText(file)}`;
  return `${record},${names},${onset_s ?? ''},${width},${centre_hz}`;
}

/** Joined in one go: there are fifty thousand rows in the table of 48 takes, and put together piece by piece each took twice as long. */
function rowText(begin: string, found: Found): string {
  const { quantity, value, expanded_uncertainty, low, high, percent, status, noticeable, reason } = found;
  return [begin, quantity, value, expanded_uncertainty, low, high, percent, status, noticeable, namedText(reason)].join(
    ',',
  );
}

/** Names come from strangers, and spreadsheets run what begins like this. */
const FORMULA = /^[=+\-@\t\r]/;
/** What makes quotation marks needed (RFC 4180, 2.6). */
const QUOTED = /[",\n\r]/;

/** A cell that holds a name or a sentence; all others hold numbers, or words of ours that need no quotation marks. */
function namedText(cell: string | null | undefined): string {
  if (!cell) return '';
  const safe = FORMULA.test(cell) ? `'${cell}` : cell;
  return QUOTED.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

const RESPONSE_QUANTITIES = [...BAND_QUANTITIES, 'range_db' as const];

function addResponses({ takes }: Results, add: AddRows): void {
  for (const { stage, position, file, responses } of takes) {
    for (const { onset_s, used, bands } of responses) {
      const status = used ? 'used' : 'set-aside';
      for (const band of bands) {
        const { width, centre_hz, refusals, flags } = band;
        const found = RESPONSE_QUANTITIES.map((quantity) => {
          const reason = quantity === 'range_db' ? '' : (refusals[quantity] ?? flags[quantity] ?? '');
          return { quantity, value: band[quantity], status, reason };
        });
        add({ record: 'response', stage, position, file, onset_s, width, centre_hz }, found);
      }
    }
  }
}

/** Levels of the takes that have no responses: all in dB, loudness in LUFS. */
function addWholeTakes({ takes }: Results, add: AddRows): void {
  for (const { stage, position, file, used, background, passage } of takes) {
    const status = used ? 'used' : 'set-aside';
    const whole = { stage, position, file };
    for (const { centre_hz, ...levels } of background?.octaves ?? []) {
      const found = Object.entries(levels).map(([quantity, value]) => ({ quantity, value, status }));
      add({ record: 'background', ...whole, width: 'octave', centre_hz }, found);
    }
    if (background) {
      add({ record: 'background', ...whole }, [{ quantity: 'level_dba', value: background.level_dba, status }]);
    }
    if (!passage) continue;
    for (const { centre_hz, level_db } of passage.spectrum) {
      const found = [{ quantity: 'level_db', value: level_db, status }];
      add({ record: 'passage', ...whole, width: 'third-octave', centre_hz }, found);
    }
    const { integrated_lufs, pause_level_db, pause_refusal } = passage;
    add({ record: 'passage', ...whole }, [
      { quantity: 'integrated_lufs', value: integrated_lufs, status },
      { quantity: 'pause_level_db', value: pause_level_db, status, reason: pause_refusal ?? '' },
    ]);
  }
}

function addStages({ stages }: Results, add: AddRows): void {
  for (const { id, values } of stages) {
    for (const { width, centre_hz, quantity, value, expanded_uncertainty, status, reasons } of values) {
      const found = { quantity, value, expanded_uncertainty, status, reason: reasons.join('; ') };
      add({ record: 'stage', stage: id, width, centre_hz }, [found]);
    }
  }
}

function addChanges({ changes }: Results, add: AddRows): void {
  for (const { from, to, values } of changes) {
    for (const { width, centre_hz, quantity, difference, low, high, percent, verdict, noticeable, reasons } of values) {
      const found = { quantity, value: difference, low, high, percent, noticeable, reason: reasons.join('; ') };
      add({ record: 'change', stage: from, to_stage: to, width, centre_hz }, [{ ...found, status: verdict }]);
    }
  }
}
