import type { compile } from 'vega-lite';

type Logger = NonNullable<NonNullable<Parameters<typeof compile>[1]>['logger']>;

/** A logger for vega-lite that puts warnings and errors into `out` and lets the rest go. */
export function collectingLogger(out: string[]): Logger {
  const keep = (...message: readonly unknown[]) => {
    out.push(message.join(' '));
    return logger;
  };
  const drop = () => logger;
  const logger = { level: drop, warn: keep, error: keep, info: drop, debug: drop } as unknown as Logger;
  return logger;
}
