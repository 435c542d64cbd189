import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readTake } from '../../pipeline/analyse.ts';
import { decodeAudio } from '../../pipeline/decode.ts';
import { BAND_WIDTHS } from '../../src/room/reading.ts';
import { drawFrom } from '../hostile/draw.ts';
import { faultOfDecoded, faultOfFault, notFinite } from '../hostile/holds.ts';
import { HOSTILE_SOUNDS } from '../hostile/sounds.ts';

/** As for all drawn inputs. The long run of the same is `npm run bench:fuzz`. */
const SEED = process.env.DRAWN_SEED ?? '20261125';
const folder = mkdtempSync(join(tmpdir(), 'decaybook-hostile-'));
afterAll(() => rmSync(folder, { recursive: true }));

const TAKE = { file: 'take.bin', stage: 'bare', position: 'A', kind: null, channel: null, sha256: null };
const SETTINGS = { settings: { channel: 1, source: null, sweep: { sweep: null } }, widths: BAND_WIDTHS };
const KINDS = Object.entries(HOSTILE_SOUNDS);

describe('a broken or hostile sound file', () => {
  it.each(KINDS)('%s: is a sound of finite samples, or refused in one line with the mend', async (kind, make) => {
    const faults: string[] = [];
    const count = kind === 'WAV put together' ? 400 : kind === 'small files that unfold' ? 2 : 25;
    for (let number = 0; number < count; number++) {
      const fault = faultOfDecoded(await decodeAudio(make(drawFrom(`${SEED} ${kind} ${number}`))));
      if (fault !== null) faults.push(`${number}: ${fault}`);
    }
    expect(faults).toEqual([]);
  });

  it('gives a take only finite numbers, or is set aside for a reason', async () => {
    const faults: string[] = [];
    for (let number = 0; number < 60; number++) {
      const [kind, make] = KINDS[number % 2]!;
      writeFileSync(join(folder, TAKE.file), make(drawFrom(`${SEED} take ${kind} ${number}`)));
      const { result, traces } = await readTake(folder, TAKE, SETTINGS);
      const said = result.faults.map(faultOfFault).find((fault) => fault !== null);
      const fault = notFinite(result) ?? notFinite(traces) ?? said;
      if (fault) faults.push(`${number}: ${fault}`);
    }
    expect(faults).toEqual([]);
  });
});
