import type { TakeFile } from '../src/project/project.ts';
import type { ResponseTrace, TakeResult } from '../src/report/results.ts';

/** Placeholder until the steps are joined: replaced by the flow. */
export async function analyseTake(
  _folder: string,
  _take: TakeFile & { sha256: string },
  _options: { channel: number | null },
): Promise<{ result: TakeResult; traces: ResponseTrace[] }> {
  throw new Error('the analysis is not joined yet');
}
