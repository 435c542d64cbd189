import type { Inline } from '../src/report/document.ts';

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Text as HTML shows it unchanged, inside an element or a quoted attribute. Characters HTML cannot hold become U+FFFD. */
export function escapeHtml(text: string): string {
  return text.replace(/(?![\t\n\r])\p{Cc}|\p{Cs}/gu, '\ufffd').replace(/[&<>"']/g, (letter) => ENTITIES[letter]!);
}

/** Runs of text as HTML. Every string is escaped: markup comes only from the kinds of run. */
export function inlineHtml(runs: readonly Inline[]): string {
  return runs
    .map((run) => {
      if (typeof run === 'string') return escapeHtml(run);
      switch (run.kind) {
        case 'strong':
          return `<strong>${inlineHtml(run.text)}</strong>`;
        case 'emphasis':
          return `<em>${inlineHtml(run.text)}</em>`;
        case 'reference':
          return `<a href="#${escapeHtml(run.to)}">${escapeHtml(run.label.replaceAll(' ', '\u00a0'))}</a>`;
        default:
          return run satisfies never;
      }
    })
    .join('');
}

/** Text as a quoted CSS string that nothing can break out of, neither of the string nor of the style element. */
export function cssString(text: string): string {
  const held = text.replace(/\p{Cs}|\p{Cc}/gu, ' ');
  const safe = held.replace(/[^\p{L}\p{N} .,]/gu, (letter) => `\\${letter.codePointAt(0)!.toString(16)} `);
  return `"${safe}"`;
}
