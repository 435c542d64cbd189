import { readFileSync } from 'node:fs';
import { parse } from 'yaml';
import type { AdviceInput } from '../../src/advice/what-next.ts';
import { type Project, projectSchema } from '../../src/project/project.ts';
import { readMaterials } from '../../src/room/materials.ts';
import type { Change, ChangeValue, StageFinding, StageValue } from '../../src/statistics/finding.ts';

export const OCTAVES_HZ = [125, 250, 500, 1000, 2000, 4000] as const;

export const MATERIALS = readMaterials(
  parse(readFileSync(new URL('../../templates/materials.yaml', import.meta.url), 'utf8')),
);

/** A project file filled in with defaults: a box of 5.2 x 3.6 x 2.6 m for recording speech, unless told otherwise. */
export function makeProject(extra: Record<string, unknown> = {}): Project {
  return projectSchema.parse({
    decaybook: 1,
    title: 'Test room',
    date: '2026-05-12',
    purpose: 'speech-recording',
    room: { length: 5.2, width: 3.6, height: 2.6, temperature: 20, humidity: 50 },
    stages: [{ id: 'bare' }, { id: 'treated', treatments: [] }],
    ...extra,
  });
}

/** A stage with these octave decay times in seconds; the standard uncertainty is a share of each. */
export function makeStage(id: string, times_s: readonly (number | null)[], relative = 0.01): StageFinding {
  const values = OCTAVES_HZ.map((centre_hz, band): StageValue => {
    const value = times_s[band] ?? null;
    const standard_uncertainty = value === null ? null : value * relative;
    return {
      quantity: 't20_s',
      width: 'octave',
      centre_hz,
      value,
      standard_uncertainty,
      expanded_uncertainty: standard_uncertainty === null ? null : 2 * standard_uncertainty,
      coverage_factor: value === null ? null : 2,
      dof: value === null ? null : 60,
      responses: 12,
      positions: 3,
      scope: 'room',
      status: value === null ? 'unavailable' : 'measured',
      reasons: [],
      budget: [],
      overdispersion: value === null ? null : 1,
      overdispersion_assumed: false,
    };
  });
  return { id, values };
}

/** The comparison of two such stages, with the verdict their interval of the ratio gives. */
export function makeChange(from: StageFinding, to: StageFinding): Change {
  const values = from.values.map((before, band): ChangeValue => {
    const after = to.values[band]!;
    const known = before.value !== null && after.value !== null;
    const ratio = known ? after.value! / before.value! : null;
    const u = known
      ? Math.hypot(before.standard_uncertainty! / before.value!, after.standard_uncertainty! / after.value!)
      : null;
    const low = ratio === null ? null : ratio * Math.exp(-2 * u!);
    const high = ratio === null ? null : ratio * Math.exp(2 * u!);
    const verdict =
      ratio === null ? 'not-measurable' : high! < 1 ? 'reduced' : low! > 1 ? 'increased' : 'no-detectable-change';
    return {
      quantity: before.quantity,
      width: 'octave',
      centre_hz: before.centre_hz,
      difference: known ? after.value! - before.value! : null,
      ratio,
      percent: ratio === null ? null : 100 * (ratio - 1),
      low: low === null ? null : before.value! * (low - 1),
      high: high === null ? null : before.value! * (high - 1),
      percent_low: low === null ? null : 100 * (low - 1),
      percent_high: high === null ? null : 100 * (high - 1),
      p_value: null,
      p_holm: null,
      standard_uncertainty: u,
      dof: 60,
      coverage_factor: 2,
      budget: [],
      correlation: 0,
      air_percent: null,
      to_settle: null,
      verdict,
      noticeable: 'unclear',
      scope: 'room',
      shared_positions: 3,
      reasons: [],
    };
  });
  const headline = {
    quantity: null,
    bands_hz: [],
    ratio: null,
    low: null,
    high: null,
    percent: null,
    percent_low: null,
    percent_high: null,
    verdict: 'not-measurable' as const,
    noticeable: 'unclear' as const,
    scope: 'room' as const,
    reasons: [],
  };
  return { from: from.id, to: to.id, headline, values, warnings: [] };
}

/** Input for advice on two stages. */
export function makeInput(
  before_s: readonly (number | null)[],
  after_s: readonly (number | null)[],
  options: { project?: Record<string, unknown>; relative?: number } & Partial<Omit<AdviceInput, 'project'>> = {},
): AdviceInput {
  const { project, relative, ...rest } = options;
  const stages = [makeStage('bare', before_s, relative), makeStage('treated', after_s, relative)];
  return {
    project: makeProject(project),
    stages,
    changes: [makeChange(stages[0]!, stages[1]!)],
    materials: MATERIALS,
    ...rest,
  };
}
