import { AsyncLocalStorage } from 'node:async_hooks';
import { stat, utimes } from 'node:fs/promises';
import { join } from 'node:path';
import cacache from 'cacache';
import { type CodePart, codeId } from './code-id.ts';
import { heldBack } from './held-writes.ts';
import { countPut } from './kept-size.ts';
import { reasonToMake } from './reason-to-make.ts';
import { utf8 } from './utf8.ts';

/** What a kept result depends on. The key is made of just these, so nothing else decides what runs again. */
export interface StepInputs {
  step: string;
  /** Raised whenever the step would give another result for the same inputs. */
  version: number;
  inputs: Record<string, unknown>;
  /** Which code makes it: another build of that code makes it anew. Left out, the analysis. */
  code?: CodePart;
  /** What a reader calls the thing that is made, such as the file of a take. No part of the key. */
  subject?: string;
}

/** What became of one step, and why. */
export interface StepEvent {
  step: string;
  subject: string;
  ran: boolean;
  /** Why it ran; null where it was kept. */
  reason: string | null;
}

const events = new AsyncLocalStorage<StepEvent[]>();

/**
 * Runs some work and tells, beside its result, which steps within it ran and why.
 *
 * @param wanted whether that is asked for: where it is not there are no events, and no step looks up why it runs
 */
export async function explained<T>(work: () => Promise<T>, wanted = true): Promise<{ value: T; events: StepEvent[] }> {
  const told: StepEvent[] = [];
  if (!wanted) return { value: await work(), events: told };
  return { value: await events.run(told, work), events: told };
}

/** Tells of a step that `explained` is listening for. */
export function tellStep(event: StepEvent): void {
  events.getStore()?.push(event);
}

/** The key as text, with the names in code-unit order, so that it can be compared and explained. */
export function keyText({ step, version, inputs, code }: StepInputs): string {
  const sorted = Object.fromEntries(Object.entries(inputs).sort(([a], [b]) => (a < b ? -1 : 1)));
  return JSON.stringify({ step, version, code: codeId(code ?? 'analysis'), inputs: sorted });
}

/**
 * What tells a folder from every other, and from a copy of itself: its number on the disk and the moment it was made there. Kept results count only in the
 * folder they were made in. Whoever makes a project for somebody else can put anything into its folder, and know every input, but not these.
 * null where there is no such folder.
 */
async function placeId(folder: string): Promise<string | null> {
  return stat(folder, { bigint: true }).then(
    ({ ino, birthtimeNs }) => `${ino}-${birthtimeNs}`,
    () => null,
  );
}

const placedKey = (key: string, place: string | null): string => JSON.stringify({ key, place });

/** Where a project's kept results lie. Safe to delete. */
export function keepFolder(project_folder: string): string {
  return join(project_folder, '.decaybook', 'kept');
}

/** Whether a project was worked on before: false where all is still to be made. */
export async function anythingKept(project_folder: string): Promise<boolean> {
  return (await placeId(keepFolder(project_folder))) !== null;
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
  return keepPacked(folder, inputs, {
    make: async () => utf8(JSON.stringify(await make())),
    unpack: parsed<T>,
  });
}

/**
 * The same for plain data that is used as it was made, since text gives back the very same. Its text is made when it is written: where writes
 * are held back, nothing waits for that.
 */
export async function keepLater<T>(
  folder: string,
  inputs: StepInputs,
  make: () => T,
): Promise<{ value: T; ran: boolean }> {
  const found = await keptValue(folder, inputs, parsed<T>);
  if (found !== null) return { ...found, ran: false };
  const value = make();
  // It takes no memory until then.
  await writeOrHold(folder, () => writeEntry(folder, inputs, JSON.stringify(value)), 0);
  return { value, ran: true };
}

function parsed<T>({ buffer, byteOffset, length }: Uint8Array): T {
  return JSON.parse(Buffer.from(buffer, byteOffset, length).toString()) as T;
}

/** The same for a result that `make` gives as bytes, and `unpack` makes of them; it throws where they are none of its kind. */
export async function keepPacked<T>(
  folder: string,
  inputs: StepInputs,
  { make, unpack }: { make: () => Promise<Uint8Array>; unpack: (bytes: Uint8Array) => T },
): Promise<{ value: T; ran: boolean }> {
  const found = await keptValue(folder, inputs, unpack);
  if (found !== null) return { ...found, ran: false };
  const bytes = await make();
  await put(folder, inputs, bytes);
  // Unpacked as a kept one is, so that a first run and a later one cannot differ.
  return { value: unpack(bytes), ran: true };
}

async function keptValue<T>(
  folder: string,
  inputs: StepInputs,
  unpack: (bytes: Uint8Array) => T,
): Promise<{ value: T } | null> {
  const found = await kept(folder, inputs);
  try {
    return found && { value: unpack(found) };
  } catch {
    // Whole, but nothing of ours: made anew.
    return null;
  }
}

/** The same for bytes as they are. */
export async function keepBytes(
  folder: string,
  inputs: StepInputs,
  make: () => Promise<Uint8Array>,
): Promise<Uint8Array> {
  const found = await kept(folder, inputs);
  if (found !== null) return found;
  const bytes = await make();
  await put(folder, inputs, bytes);
  return bytes;
}

/** The bytes kept for a step, null where there are none that are whole. Looked at counts as used. */
export async function kept(folder: string, inputs: StepInputs): Promise<Buffer | null> {
  const found = await find(folder, inputs);
  await tell(folder, inputs, { ...found, ran: found.data === null });
  return found.data;
}

/** The same where nobody is told of it, since it is no step that a user would know. */
export async function look(folder: string, inputs: StepInputs): Promise<Buffer | null> {
  return (await find(folder, inputs)).data;
}

async function find(
  folder: string,
  inputs: StepInputs,
): Promise<{ key: string; place: string | null; data: Buffer | null }> {
  const key = keyText(inputs);
  const place = await placeId(folder);
  try {
    const info = place === null ? null : await cacache.get.info(folder, placedKey(key, place));
    if (!info) return { key, place, data: null };
    const data = await cacache.get.byDigest(folder, info.integrity);
    const now = new Date();
    await utimes(info.path, now, now).catch(() => undefined);
    return { key, place, data };
  } catch {
    // Damaged: as if there were none.
    return { key, place, data: null };
  }
}

/** Whether something is kept for a step, by its entry alone: what is damaged shows only when it is read. */
export async function isKept(folder: string, inputs: StepInputs): Promise<boolean> {
  const place = await placeId(folder);
  const info = await cacache.get.info(folder, placedKey(keyText(inputs), place)).catch(() => null);
  return info !== null;
}

/** Keeps the result of a step: at once, or where writes are held back as soon as they no longer are. */
export async function put(folder: string, inputs: StepInputs, data: string | Uint8Array): Promise<void> {
  await writeOrHold(folder, () => writeEntry(folder, inputs, data), data.length);
}

async function writeOrHold(folder: string, write: () => Promise<void>, size: number): Promise<void> {
  if (!heldBack(folder, write, size)) await write();
}

async function writeEntry(folder: string, inputs: StepInputs, data: string | Uint8Array): Promise<void> {
  const key = keyText(inputs);
  try {
    const bytes = typeof data === 'string' ? utf8(data) : data;
    await countPut(folder, bytes.length);
    const place = await placeId(folder);
    const content = await cacache.put(folder, placedKey(key, place), bytes);
    if (inputs.subject !== undefined) await insertEntry(folder, lastKey(inputs), content, { metadata: { key, place } });
  } catch {
    // A folder that cannot be written only costs time.
  }
}

/** Notes an entry for content that is there, in a tenth of the steps that putting it anew would take. Its types leave this out. */
const insertEntry = (
  cacache as unknown as {
    index: {
      insert: (folder: string, key: string, content: string, options: { metadata: unknown }) => Promise<unknown>;
    };
  }
).index.insert;

/** Where the key lies under which a subject was last made. */
function lastKey({ step, subject }: StepInputs): string {
  return JSON.stringify({ last: step, subject });
}

async function tell(
  folder: string,
  inputs: StepInputs,
  { key, place, ran }: { key: string; place: string | null; ran: boolean },
): Promise<void> {
  const told = events.getStore();
  if (!told) return;
  const info = ran ? await cacache.get.info(folder, lastKey(inputs)).catch(() => null) : null;
  const last = (info?.metadata as { key: string; place: string } | undefined) ?? null;
  const { step, subject = '' } = inputs;
  const moved = last !== null && last.place !== place;
  const reason = moved ? 'what is kept of it was made in another folder' : reasonToMake(key, last?.key ?? null);
  told.push({ step, subject, ran, reason: ran ? reason : null });
}
