import { CannotWrite } from './cannot-write.ts';
import { systemReason } from './system-reason.ts';

/** What a user is told of a fault: one line, with what to do. No stack trace. */
export function faultText(fault: unknown): string {
  const error = fault instanceof Error ? fault : new Error(String(fault));
  if (error instanceof CannotWrite) return error.message;
  const { path } = error as NodeJS.ErrnoException;
  try {
    const reason = systemReason(error);
    return `${path ?? 'the system'}: ${reason}: mend that and run the command again`;
  } catch {
    const what = `${error.name}: ${error.message.split('\n')[0]}`;
    return `a fault of the tool itself (${what}): please report it with this line, and with what DECAYBOOK_DEBUG=1 adds to it`;
  }
}
