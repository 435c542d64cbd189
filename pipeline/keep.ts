import { join } from 'node:path';
import cacache from 'cacache';

/** What a kept result depends on. The key is made of just these, so nothing else decides what runs again. */
export interface StepInputs {
  step: string;
  /** Raised whenever the step would give another result for the same inputs. */
  version: number;
  inputs: Record<string, unknown>;
}

/** The key as text, with the names in code-unit order, so that it can be compared and explained. */
export function keyText({ step, version, inputs }: StepInputs): string {
  const sorted = Object.fromEntries(Object.entries(inputs).sort(([a], [b]) => (a < b ? -1 : 1)));
  return JSON.stringify({ step, version, inputs: sorted });
}

/** Where a project's kept results lie. Safe to delete. */
export function keepFolder(project_folder: string): string {
  return join(project_folder, '.decaybook', 'kept');
}

/**
 * The kept result of a step, or the result of `make`, kept for the next time.
 * A damaged entry fails its integrity check and is made again; a folder that cannot be written only costs time.
 */
export async function keep<T>(
  folder: string,
  inputs: StepInputs,
  make: () => Promise<T>,
): Promise<{ value: T; ran: boolean }> {
  const key = keyText(inputs);
  try {
    const entry = await cacache.get(folder, key);
    return { value: JSON.parse(entry.data.toString('utf8')) as T, ran: false };
  } catch {
    // Not kept yet, or damaged: either way it is made anew.
  }
  const value = await make();
  const text = JSON.stringify(value);
  await cacache.put(folder, key, text).catch(() => undefined);
  // Through the same text as a kept one, so that a first run and a later one cannot differ.
  return { value: JSON.parse(text) as T, ran: true };
}
