import { headlineClaim } from './claim.ts';
import { bestDecay, type Context, changeValue, quotedStage, stageValue } from './context.ts';
import type { Inline } from './document.ts';
import { formatList } from './format.ts';
import { headlineCentre, headlineValues } from './headline.ts';
import { advicePoint } from './next-point.ts';
import { bandsText, purposeText, reasonsText, typeset } from './phrases.ts';
import { type Standing, targetStanding } from './standing.ts';

/** Bands with a target, by where the last stage stands in them. */
function standings(context: Context): Record<Standing, number[]> {
  const found: Record<Standing, number[]> = { within: [], above: [], below: [], unclear: [], unmeasured: [] };
  if (!context.target.ok || context.lastStage === null) return found;
  for (const band of context.target.centre) {
    const value = bestDecay(context, context.lastStage, band.centre_hz);
    found[value ? targetStanding(value, band) : 'unmeasured'].push(band.centre_hz);
  }
  return found;
}

/** Whether the last stage meets the target of the room's purpose, band by band. */
export function enoughPoint(context: Context): Inline[] {
  const { words, target, lastStage, results } = context;
  if (!target.ok) return words.say('enough.none', { reason: typeset(target.reason) });
  const bands = standings(context);
  const parts = (['within', 'above', 'below', 'unclear'] as const)
    .filter((standing) => bands[standing].length > 0)
    .map((standing) => words.plain(`enough.${standing}`, { bands: bandsText(bands[standing], words) }));
  if (lastStage === null || parts.length === 0) return words.say('enough.unmeasured');
  return words.say('enough.sentence', {
    stage: quotedStage(context, lastStage),
    purpose: purposeText(results.project.purpose, words),
    standings: formatList(parts, words.locale),
    scope: scopeOf(context, lastStage),
  });
}

/** Whether the change is more than listeners just notice; null where there is no change to speak of. */
export function noticedPoint(context: Context): Inline[] | null {
  const { primary, words } = context;
  if (!primary) return null;
  const claim = headlineClaim(primary.headline);
  if (claim === 'open' || claim === 'corrected') return null;
  return words.say(`noticed.${primary.headline.noticeable}`);
}

/** What the answer rests on: interval, responses, positions, takes set aside. */
export function surePoint(context: Context): Inline[] {
  const { primary, words, results, lastStage } = context;
  const aside = results.takes.filter((take) => !take.used).length;
  const tail: Inline[] = [' ', ...words.say('sure.aside', { aside, takes: results.takes.length })];
  if (!primary) {
    const value = lastStage === null ? null : bestDecay(context, lastStage, 'mid');
    const basis = value ? words.say('sure.basis-single', { count: value.responses, positions: value.positions }) : [];
    return [...basis, ...tail];
  }
  if (headlineClaim(primary.headline) === 'open') {
    const reasons = reasonsText(primary.headline.reasons);
    return [...words.say(reasons ? 'sure.open' : 'sure.open-bare', { reasons }), ...tail];
  }
  const claim = words.say('sure.claim', headlineValues(context, primary));
  return [...claim, ...basis(context), ...tail];
}

function basis(context: Context): Inline[] {
  const { primary, words } = context;
  const centre_hz = primary && headlineCentre(primary);
  const quantity = primary?.headline.quantity;
  if (!primary || !centre_hz || !quantity) return [];
  const before = stageValue(context, { stage: primary.from, quantity, centre_hz });
  const after = stageValue(context, { stage: primary.to, quantity, centre_hz });
  if (!before || !after) return [];
  const counts = {
    before: before.responses,
    after: after.responses,
    positions: Math.max(before.positions, after.positions),
  };
  const place: Inline[] = primary.headline.scope === 'position' ? [' ', ...words.say('sure.position')] : [];
  return [' ', ...words.say('sure.basis', counts), ...place];
}

/** What the result asks for: to record again, to add, to stop, to measure more closely, or nothing. */
export function nextPoint(context: Context): Inline[] {
  const { primary, words, target } = context;
  if (primary && headlineClaim(primary.headline) === 'open') {
    const reasons = reasonsText(primary.headline.reasons);
    return words.say(reasons ? 'next.record' : 'next.record-bare', { reasons });
  }
  if (!primary) {
    const first = context.results.advice && advicePoint(context, context.results.advice);
    return first ?? words.say('next.compare');
  }
  const settle = settlePoint(context);
  if (settle) return settle;
  const advised = context.results.advice && advicePoint(context, context.results.advice);
  if (advised) return advised;
  if (!target.ok)
    return words.say(target.code === 'no-standard' || target.code === 'no-volume' ? 'next.no-target' : 'next.judge');
  const bands = standings(context);
  const advice = (key: string, band: Standing): Inline[][] =>
    bands[band].length > 0 ? [words.say(`next.${key}`, { bands: bandsText(bands[band], words) })] : [];
  const listed = [...advice('absorb', 'above'), ...advice('stop', 'below'), ...advice('narrow', 'unclear')];
  if (listed.length > 0) return listed.flatMap((text, index) => (index === 0 ? text : [' ', ...text]));
  return words.say(bands.within.length > 0 ? 'next.done' : 'next.compare');
}

/** How many more positions would settle a change that is still open; null where nothing is open or no number would. */
function settlePoint(context: Context): Inline[] | null {
  const { primary, words } = context;
  const centre_hz = primary && headlineCentre(primary);
  const quantity = primary?.headline.quantity;
  if (!primary || !centre_hz || !quantity || headlineClaim(primary.headline) !== 'none') return null;
  const open = changeValue(primary, quantity, centre_hz)?.to_settle;
  if (open?.question !== 'detectable' || open.more_positions === null) return null;
  return words.say('next.settle', { positions: open.more_positions });
}

function scopeOf(context: Context, stage: string): string {
  return bestDecay(context, stage, 'mid')?.scope ?? bestDecay(context, stage, 1000)?.scope ?? 'position';
}
