import { headlineClaim } from './claim.ts';
import { bestDecay, type Context, coverFigure, quotedStage, stageName, stageValue } from './context.ts';
import { enoughPoint, nextPoint, noticedPoint, surePoint } from './cover-points.ts';
import type { Cover, Inline, KeyFigure } from './document.ts';
import { formatDate } from './format.ts';
import { headlineCentre, headlineSentence } from './headline.ts';
import { bandsText, estimateWithUnit, percentTexts } from './phrases.ts';

/** The first page: the answer in one sentence, its figures, and what follows from it. */
export function buildCover(context: Context): Cover {
  const { project, takes } = context.results;
  const { words } = context;
  const planned = takes.length === 0;
  const issue = context.issues?.issues.at(-1)?.issue;
  const point = (key: string, detail: Inline[] | null) =>
    detail === null ? [] : [{ term: words.say(`cover.question.${key}`), detail }];
  return {
    reference: project.reference ?? null,
    issue: issue === undefined ? null : words.plain('cover.issue', { issue }),
    date: formatDate(project.date, words.locale),
    kind: words.plain(planned ? 'document.plan-kind' : 'document.kind'),
    title: project.title,
    client: project.client ? words.plain('cover.prepared-for', { client: project.client }) : null,
    prepared_by: project.prepared_by ? words.plain('cover.prepared-by', { name: project.prepared_by }) : null,
    address: (project.branding.address ?? '').split(/\r?\n/).filter((line) => line.trim() !== ''),
    answer: planned ? words.say('cover.answer.plan') : answer(context),
    points: planned
      ? []
      : [
          ...point('enough', enoughPoint(context)),
          ...point('noticed', noticedPoint(context)),
          ...point('sure', surePoint(context)),
          ...point('next', nextPoint(context)),
        ],
    key_figures: planned ? [] : keyFigures(context),
    figure: planned ? null : coverFigure(context),
    disclaimer: {
      title: words.plain('document.disclaimer-title'),
      text: words.say(`document.${planned ? 'plan-' : ''}disclaimer`),
    },
  };
}

function answer(context: Context): Inline[] {
  const { primary, lastStage, words } = context;
  if (primary) return headlineSentence(context, primary);
  const value = lastStage === null ? null : bestDecay(context, lastStage, 'mid');
  if (lastStage === null || value === null) return words.say('cover.answer.nothing');
  return words.say('cover.answer.single', {
    stage: quotedStage(context, lastStage),
    value: estimateWithUnit(value, words.locale)!,
    bands: bandsText([500, 1000], words),
    scope: value.scope,
  });
}

/** Before, after and change, where the comparison claims or denies one; else what the last stage holds. */
function keyFigures(context: Context): KeyFigure[] {
  const { primary, words } = context;
  const { locale } = words;
  if (!primary || headlineClaim(primary.headline) === 'open') return [];
  const centre = headlineCentre(primary);
  const quantity = primary.headline.quantity;
  const stages = [primary.from, primary.to].flatMap((stage): KeyFigure[] => {
    const value =
      centre === null || quantity === null ? null : stageValue(context, { stage, quantity, centre_hz: centre });
    const text = value && estimateWithUnit(value, locale);
    const label = words.say('cover.key.stage', { stage: stageName(context, stage) });
    return text ? [{ label, value: text, interval: null }] : [];
  });
  const percent = percentTexts(primary.headline, locale);
  if (!percent) return stages;
  const interval = words.plain('cover.key.confidence', { low: percent.low, high: percent.high });
  return [...stages, { label: words.say('cover.key.change'), value: percent.value, interval }];
}
