import * as z from 'zod';
import { BAND_QUANTITIES, type BandQuantity } from '../room/reading.ts';
import type { Centre } from '../statistics/finding.ts';
import { type Claim, headlineClaim } from './claim.ts';
import { DECAY_QUANTITIES } from './context.ts';
import { type FormatFound, readFormat } from './read-results.ts';
import type { Results } from './results.ts';

const takeSchema = z.strictObject({ file: z.string(), sha256: z.string().nullable(), used: z.boolean() });
const valueSchema = z.strictObject({
  stage: z.string(),
  centre_hz: z.union([z.number(), z.literal('mid')]),
  quantity: z.enum(BAND_QUANTITIES),
  value: z.number(),
  expanded: z.number().nullable(),
});
const verdictSchema = z.strictObject({
  from: z.string(),
  to: z.string(),
  claim: z.enum(['reduced', 'increased', 'none', 'corrected', 'open']),
});
const stateSchema = z.strictObject({
  takes: z.array(takeSchema),
  values: z.array(valueSchema),
  verdicts: z.array(verdictSchema),
});
const issueSchema = z.strictObject({ issue: z.int().min(1), date: z.iso.date(), ...stateSchema.shape });

/** The issues of a report so far, as its folder keeps them. */
export const issueLogSchema = z.strictObject({
  format: z.literal('decaybook-issues/1'),
  issues: z.array(issueSchema).min(1),
});
export type IssueLog = z.infer<typeof issueLogSchema>;
export type Issue = z.infer<typeof issueSchema>;
type State = z.infer<typeof stateSchema>;
type Value = z.infer<typeof valueSchema>;

/** The issues in the text that a report folder keeps of them. */
export function readIssueLog(text: string): FormatFound<IssueLog> {
  return readFormat(text, 'decaybook-issues/1', (value) => issueLogSchema.safeParse(value).data ?? null);
}

/** What one issue says otherwise than the one before. */
export interface IssueDifference {
  /** Files of recordings. */
  added: string[];
  gone: string[];
  /** The same name, other sound. */
  replaced: string[];
  /** Used in one of the two only. */
  set_aside: string[];
  used_again: string[];
  /** Decay times: that of one issue, null where it has none. */
  values: { stage: string; centre_hz: Centre; before: Value | null; after: Value | null }[];
  verdicts: { from: string; to: string; before: Claim | null; after: Claim | null }[];
}

/**
 * The log with the issue that these results make. The same takes, values, verdicts and date as the last issue are that issue again;
 * anything else is the next. A number that the project states is taken as it is, and what bore it or a higher one before is replaced.
 */
export function nextIssue(log: IssueLog | null, results: Results): IssueLog {
  const { date, issue: stated } = results.project;
  const state = { date, ...stateOf(results) };
  const earlier = (log?.issues ?? []).filter(({ issue }) => stated === undefined || issue < stated);
  const last = earlier.at(-1);
  const format = 'decaybook-issues/1';
  if (stated === undefined && last && same(last, { issue: last.issue, ...state })) {
    return { format, issues: earlier };
  }
  return { format, issues: [...earlier, { issue: stated ?? (last?.issue ?? 0) + 1, ...state }] };
}

function same(one: Issue, other: Issue): boolean {
  return JSON.stringify(issueSchema.parse(one)) === JSON.stringify(issueSchema.parse(other));
}

/** What is held against the next issue: the recordings, the decay time of each stage and octave, the verdict of each comparison. */
function stateOf({ takes, stages, changes }: Results): State {
  return {
    takes: takes.map(({ file, sha256, used }) => ({ file, sha256, used })),
    values: stages.flatMap((stage) => {
      const octaves = stage.values.filter(({ width, value }) => width === 'octave' && value !== null);
      return [...new Set(octaves.map(({ centre_hz }) => centre_hz))].flatMap((centre_hz): Value[] => {
        const here = octaves.filter((value) => value.centre_hz === centre_hz);
        const best = DECAY_QUANTITIES.map((name) => here.find(({ quantity }) => quantity === name)).find(Boolean);
        if (!best) return [];
        const { quantity, value, expanded_uncertainty: expanded } = best;
        return [{ stage: stage.id, centre_hz, quantity, value: value!, expanded }];
      });
    }),
    verdicts: changes.map(({ from, to, headline }) => ({ from, to, claim: headlineClaim(headline) })),
  };
}

/**
 * What differs from one issue to the next.
 *
 * @param written a value as the report writes it: one that is written alike has not moved
 */
export function issueDifference(
  before: State,
  after: State,
  written: (value: { quantity: BandQuantity; value: number; expanded: number | null }) => string,
): IssueDifference {
  const old = new Map(before.takes.map((take) => [take.file, take]));
  const now = new Map(after.takes.map((take) => [take.file, take]));
  const both = after.takes.flatMap((take) => {
    const was = old.get(take.file);
    return was ? [{ ...take, was }] : [];
  });
  const files = (takes: readonly { file: string }[]) => takes.map(({ file }) => file);
  return {
    added: files(after.takes.filter(({ file }) => !old.has(file))),
    gone: files(before.takes.filter(({ file }) => !now.has(file))),
    replaced: files(both.filter(({ sha256, was }) => sha256 !== was.sha256)),
    set_aside: files(both.filter(({ used, was }) => was.used && !used)),
    used_again: files(both.filter(({ used, was }) => used && !was.used)),
    values: paired(before.values, after.values, ({ stage, centre_hz }) => `${stage} ${centre_hz}`)
      .filter((pair) => (pair.before && written(pair.before)) !== (pair.after && written(pair.after)))
      .map((pair) => ({ ...placeOf((pair.after ?? pair.before)!), ...pair })),
    verdicts: paired(before.verdicts, after.verdicts, ({ from, to }) => `${from} ${to}`)
      .filter((pair) => pair.before?.claim !== pair.after?.claim)
      .map((pair) => {
        const { from, to } = (pair.after ?? pair.before)!;
        return { from, to, before: pair.before?.claim ?? null, after: pair.after?.claim ?? null };
      }),
  };
}

function placeOf({ stage, centre_hz }: Value): { stage: string; centre_hz: Centre } {
  return { stage, centre_hz };
}

/** What bears the same key in two lists, side by side; null where one list lacks it. */
function paired<T>(before: readonly T[], after: readonly T[], key: (one: T) => string) {
  const old = new Map(before.map((one) => [key(one), one]));
  const now = new Map(after.map((one) => [key(one), one]));
  return [...new Set([...old.keys(), ...now.keys()])].map((name) => ({
    before: old.get(name) ?? null,
    after: now.get(name) ?? null,
  }));
}
