import type { Diagnostic } from '../src/project/diagnostic.ts';
import * as messages from '../src/project/messages.ts';
import { faultText } from './fault-text.ts';
import { restoreInterrupted } from './swap.ts';

/** Puts back a report that a run had moved away when it was ended by force, and says so; empty where there was none. */
export async function putBackReport(folder: string): Promise<Diagnostic[]> {
  const told = { file: 'report', line: null, column: null };
  try {
    const restored = await restoreInterrupted(folder, 'report');
    return restored ? [{ ...told, severity: 'note', message: messages.reportPutBack() }] : [];
  } catch (fault) {
    return [{ ...told, severity: 'warning', message: messages.reportNotPutBack(faultText(fault)) }];
  }
}
