import type { Centre, Change } from '../statistics/finding.ts';
import { headlineClaim } from './claim.ts';
import { type Context, quotedStage } from './context.ts';
import type { Inline } from './document.ts';
import { bandsText, percentTexts, reasonsText } from './phrases.ts';

/** The place in the results where the headline's own values stand: the mid bands, one band, or null where it rests on others. */
export function headlineCentre(change: Change): Centre | null {
  const bands = change.headline.bands_hz;
  if (bands.length === 2 && bands[0] === 500 && bands[1] === 1000) return 'mid';
  return bands.length === 1 ? bands[0]! : null;
}

/** What a comparison is about, in words: the decay time, in which bands, and of the room or at the measured position. */
export function headlineSubject(context: Context, change: Change): string {
  const { words } = context;
  const { bands_hz, scope } = change.headline;
  if (bands_hz.length === 0) return words.plain('cover.subject.plain');
  return words.plain(`cover.subject.${scope}`, { bands: bandsText(bands_hz, words) });
}

/** The values that a sentence about a comparison may use. */
export function headlineValues(context: Context, change: Change): Record<string, string> {
  const percent = percentTexts(change.headline, context.words.locale);
  return {
    from: quotedStage(context, change.from),
    to: quotedStage(context, change.to),
    subject: headlineSubject(context, change),
    percent: percent?.size ?? '',
    low: percent?.low ?? '',
    high: percent?.high ?? '',
    reasons: reasonsText(change.headline.reasons),
  };
}

/** The answer of a comparison in one sentence, which claims no more than its interval holds. */
export function headlineSentence(context: Context, change: Change): Inline[] {
  return context.words.say(`cover.answer.${headlineClaim(change.headline)}`, headlineValues(context, change));
}
