import type { Advice, Combination, Forecast } from '../advice/advice.ts';
import { moneyText, sentences, squareMetres } from './advice-phrases.ts';
import type { Context } from './context.ts';
import type { Inline } from './document.ts';
import { formatList } from './format.ts';
import { bandsText } from './phrases.ts';
import { missingSpan } from './sections/advice.ts';
import { setNames } from './sections/combinations.ts';
import { shortText } from './short-text.ts';

/**
 * What the advice asks for, in a sentence or two for the cover: what to add and what that is predicted to do, where to stop, or that
 * nothing is needed. null where it has nothing to say: no target, nothing measured.
 */
export function advicePoint(context: Context, advice: Advice): Inline[] | null {
  const { words } = context;
  const hz = (state: string) =>
    advice.distance.filter((band) => band.state === state).map(({ centre_hz }) => centre_hz);
  const bands = (state: string) => bandsText(hz(state), words);
  const stop = hz('too-dead').length > 0 ? [words.say('next.stop', { bands: bands('too-dead') })] : [];
  const narrow = hz('unclear').length > 0 ? [words.say('next.narrow', { bands: bands('unclear') })] : [];
  switch (advice.status) {
    case 'met':
      return words.say('next.done');
    case 'too-dead':
      return sentences([...stop, ...narrow]);
    case 'unclear':
      return sentences(narrow);
    case 'too-long':
    case 'mixed':
      return sentences([...addition(context, advice), ...stop]);
    case 'no-target':
    case 'not-measured':
      return null;
    default:
      return advice.status satisfies never;
  }
}

function addition(context: Context, advice: Advice): Inline[][] {
  const { words } = context;
  const best = advice.options.find(({ rank }) => rank === 1);
  const set = chosenSet(advice);
  if (set) return [setSentence(context, set), words.say('next.steps')];
  if (best) return [optionSentence(context, best), words.say('next.steps')];
  const long = advice.distance.filter(({ state }) => state === 'too-long').map(({ centre_hz }) => centre_hz);
  return [
    words.say(advice.options.length > 0 ? 'next.missing-none' : 'next.missing', {
      span: missingSpan(context, advice.distance),
      bands: bandsText(long, words),
    }),
  ];
}

/** The set to name: the cheapest within the range, else the closest; null where a set is one option alone or none. */
function chosenSet({ combinations }: Advice): Combination | null {
  const set = combinations.found.find(({ kind }) => kind === 'least-cost') ?? combinations.found[0] ?? null;
  return set && set.options.length > 1 ? set : null;
}

function setSentence(context: Context, set: Combination): Inline[] {
  return context.words.say(set.within_tolerance ? 'next.set-within' : 'next.set-nearer', {
    set: setNames(context, set),
    size: sizeText(context, { area_m2: set.area_m2, cost: set.cost }),
  });
}

function optionSentence(context: Context, option: Forecast): Inline[] {
  return context.words.say('next.option', {
    option: shortText(option.name),
    size: sizeText(context, option),
  });
}

function sizeText(context: Context, of: { area_m2: number | null; cost: number | null }): string {
  const parts = [
    ...(of.area_m2 === null ? [] : [squareMetres(of.area_m2, context.words.locale)]),
    ...(of.cost === null ? [] : [moneyText(context, of.cost)]),
  ];
  return parts.length === 0 ? context.words.plain('document.not-stated') : formatList(parts, context.words.locale);
}
