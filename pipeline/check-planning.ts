import type { Project } from '../src/project/project.ts';
import { DECAY_QUANTITIES } from '../src/report/context.ts';
import { type OpenBand, openBands, openGroups } from '../src/report/open-bands.ts';
import { EXPECTED_DECAY_S, EXPECTED_RANGE_DB, type PlanPower, planPowers } from '../src/report/plan-power.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';
import type { Settling } from '../src/statistics/finding.ts';
import { MOST_MORE } from '../src/statistics/settle.ts';
import { compareProject } from './compare.ts';
import { type Paint, table, wrap } from './terminal.ts';

/** What `check` says of how much to record. */
export interface CheckPlanning {
  /** Before any take: what changes plans of so many positions and responses find. Empty once there are recordings. */
  plans: PlanPower[];
  /** From the takes so far: the bands that are open between two stages, and what would settle them. */
  open: { from: string; to: string; bands: OpenBand[] }[];
}

/** What the takes so far leave open between the stages, octave by octave; before any take, what a plan can find. */
export function planningOf(
  project: Project,
  takes: readonly TakeResult[],
  traces: readonly ResponseTrace[] = [],
): CheckPlanning {
  if (takes.length === 0) return { plans: planPowers(project), open: [] };
  const { changes } = compareProject(project, takes, traces, { widths: ['octave'], quantities: DECAY_QUANTITIES });
  const open = changes.map((change) => ({ from: change.from, to: change.to, bands: openBands(change) }));
  return { plans: [], open: open.filter(({ bands }) => bands.length > 0) };
}

/** The same as text, 80 columns wide; empty where there is nothing to say. */
export function planningText({ plans, open }: CheckPlanning, paint: Paint): string {
  const parts = open.map(({ from, to, bands }) => {
    const lines = openGroups(bands).map(({ bands_hz, settle }) =>
      wrap(`${bands_hz.join(', ')} Hz: ${settleWords(settle)}`, { first: '  ', rest: '    ' }),
    );
    return [paint.strong(wrap(`Still open, ${from} -> ${to}`)), ...lines].join('\n');
  });
  if (plans.length > 0) parts.push(plansText(plans, paint));
  return parts.join('\n\n');
}

function settleWords({ question, more_positions, more_responses_per_position }: Settling): string {
  const what = question === 'detectable' ? 'no change shown' : 'a change, but open whether one would hear it';
  const ways = [
    ...(more_positions === null ? [] : [`${more_positions} more ${more_positions === 1 ? 'position' : 'positions'}`]),
    ...(more_responses_per_position === null
      ? []
      : [
          `${more_responses_per_position} more ${more_responses_per_position === 1 ? 'response' : 'responses'} at each`,
        ]),
  ];
  if (ways.length === 0) return `${what}; not even ${MOST_MORE} more positions are likely to settle it`;
  return `${what}; ${ways.join(', or ')}, in both stages, should settle it`;
}

function plansText(plans: readonly PlanPower[], paint: Paint): string {
  const centres = plans[0]!.bands.map(({ centre_hz }) => centre_hz);
  const rows = plans.map(({ positions, responses_per_position, wanted, bands }) => [
    `${positions} x ${responses_per_position}${wanted ? ' (wanted)' : ''}`,
    ...bands.map(({ detectable_percent }) => `${detectable_percent.toFixed(0)} %`),
  ]);
  const columns = [
    { title: 'Plan' },
    ...centres.map((centre_hz) => ({ title: `${centre_hz} Hz`, align: 'right' as const })),
  ];
  return [
    paint.strong('Smallest change of the decay time that a plan finds'),
    wrap(
      `Positions x good responses at each, the same in both stages; found in nine of ten cases at 95 % confidence, for ${EXPECTED_DECAY_S} s, ${EXPECTED_RANGE_DB} dB over the noise. A forecast from theory.`,
      { first: '  ', rest: '  ' },
    ),
    '',
    table(columns, rows),
  ].join('\n');
}
