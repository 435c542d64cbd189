import type { Decoded } from '../../src/audio/decode-wav.ts';
import type { Fault } from '../../src/audio/faults.ts';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import type { ParsedProject } from '../../src/project/parse-project.ts';

/** What is wrong with the outcome of reading a sound file; null where it is a sound, or one line that says what and how to mend it. */
export function faultOfDecoded(decoded: Decoded): string | null {
  if (!decoded.ok) return faultOfRefusal(decoded.message);
  const { rate_hz, channels, bits } = decoded.sound;
  if (!(rate_hz >= 1 && rate_hz <= 1_000_000)) return `a rate of ${rate_hz} Hz`;
  if (!(bits >= 1 && bits <= 64)) return `${bits} bits`;
  if (channels.length < 1 || channels.length > 64) return `${channels.length} channels`;
  const frames = channels[0]!.length;
  if (frames < 1 || channels.some(({ length }) => length !== frames)) return 'channels of no or unequal length';
  const broken = channels.some((samples) => !samples.every(Number.isFinite));
  return broken ? 'a sample that is no number' : null;
}

/** What is wrong with what is said of a take; null where nothing is. Only what is refused needs a mend. */
export function faultOfFault({ severity, message }: Fault): string | null {
  return severity === 'reject' ? faultOfRefusal(message) : faultOfWords(message);
}

/** A refusal says what to do after a semicolon or colon. */
export function faultOfRefusal(message: string): string | null {
  return faultOfWords(message) ?? (/[;:] ?\S/.test(message) ? null : `no mend: ${message}`);
}

/** What is said is one line, and holds nothing from inside the program. */
export function faultOfWords(message: string): string | null {
  if (/[\n\r]/.test(message)) return `more than one line: ${message}`;
  const inside = /undefined|\[object|\bNaN\b|Infinity|Error\b|\bnull\b/.test(message);
  return inside ? `words of the program: ${message}` : null;
}

/** Where in some data a number is not finite or a value undefined; null where all is well. JSON would hide both. */
export function notFinite(value: unknown, path = 'result'): string | null {
  if (typeof value === 'number') return Number.isFinite(value) ? null : `${path} is ${value}`;
  if (typeof value !== 'object' || value === null) return null;
  if (ArrayBuffer.isView(value)) {
    const samples = value as Float64Array;
    return samples.every(Number.isFinite) ? null : `${path} holds what is no number`;
  }
  for (const [key, inner] of Object.entries(value)) {
    const found = notFinite(inner, `${path}.${key}`);
    if (found !== null) return found;
  }
  return null;
}

/** What is wrong with a project as parsed; null where it is whole, or every error has its place in the text, one line, and a mend. */
export function faultOfParsed({ project, diagnostics }: ParsedProject, text: string): string | null {
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  if ((project === null) !== errors.length > 0)
    return project === null ? 'refused without a word' : 'a project in spite of errors';
  if (diagnostics.length > 400) return `${diagnostics.length} messages`;
  const lines = text.split(/\r\n|[\n\r]/).length;
  for (const { line, column, message, file } of diagnostics) {
    if (file === '') return 'no file is named';
    if (line === null || line < 1 || line > lines + 1) return `line ${line} of ${lines}: ${message}`;
    if (column === null || column < 1 || column > text.length + 2) return `column ${column}: ${message}`;
    const shown = formatDiagnostic({ file, line, column, severity: 'error', message });
    if (shown.length > 1000) return `a message of ${shown.length} letters: ${shown.slice(0, 200)}`;
    if (/\p{Cc}/u.test(shown)) return `control letters: ${JSON.stringify(shown)}`;
    if (!/[:;,?] ?\S/.test(message)) return `no mend: ${message}`;
    if (!text.includes('[object') && /\[object|\bundefined\b/.test(message.replaceAll(/"[^"]*"/g, '')))
      return `words of the program: ${message}`;
  }
  return project === null ? null : notFinite(project, 'project');
}
