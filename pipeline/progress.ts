/** What a long command tells while it works: on a terminal one line that is written over, elsewhere a line a step. */
export interface Progress {
  step: (text: string) => void;
  /** Within a step; shown on a terminal only. */
  part: (text: string) => void;
  /** Clears the line, so that what follows stands alone. */
  end: () => void;
}

/** Says nothing. */
export const SILENT: Progress = { step: () => undefined, part: () => undefined, end: () => undefined };

/** Progress on standard error, so that standard output holds the result and nothing else. */
export function terminalProgress(stream: NodeJS.WriteStream = process.stderr): Progress {
  const over = (text: string) => stream.write(`\r\u001b[2K${text.slice(0, 79)}`);
  if (!stream.isTTY) return { ...SILENT, step: (text) => void stream.write(`${text}\n`) };
  return { step: over, part: over, end: () => void stream.write('\r\u001b[2K') };
}
