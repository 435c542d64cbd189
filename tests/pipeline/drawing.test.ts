import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { openDrawing } from '../../pipeline/drawing.ts';
import { explained } from '../../pipeline/keep.ts';
import type { Pool } from '../../pipeline/pool.ts';
import type { Chart } from '../../src/charts/chart.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-drawing-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

const chart = (id: string, title = id): Chart => ({ id, title, alt: id, spec: { mark: 'line' } as Chart['spec'] });

/** Threads that draw a chart as its title, and note what they were asked for, part by part. */
function threads(count: number): { pool: Pool; asked: string[][] } {
  const asked: string[][] = [];
  const run = async (_name: string, { charts }: { charts: readonly Chart[] }) => {
    asked.push(charts.map(({ title }) => title));
    if (charts.some(({ title }) => title === 'broken')) throw new Error('chart broken: no such mark');
    return charts.map(({ title }) => `<svg>${title}</svg>`);
  };
  return { pool: { run, threads: count } as unknown as Pool, asked };
}

describe('openDrawing(projectFolder, pool)', () => {
  let folder = '';
  let count = 0;
  beforeEach(() => {
    folder = join(scratch, String(++count));
  });

  it('draws what was begun once, whatever is asked for in the end, and anew what came out otherwise', async () => {
    const { pool, asked } = threads(1);
    const drawing = openDrawing(folder, pool);
    await drawing.begin([chart('a'), chart('b', 'likely')]);
    expect(asked).toEqual([['a', 'likely']]);
    await drawing.begin([chart('a')]);
    const drawn = await drawing.drawn([chart('c'), chart('b', 'true'), chart('a')]);
    expect(drawn.map(({ svg }) => svg)).toEqual(['<svg>c</svg>', '<svg>true</svg>', '<svg>a</svg>']);
    expect(drawn.map(({ chart: { id } }) => id)).toEqual(['c', 'b', 'a']);
    expect(asked).toEqual([
      ['a', 'likely'],
      ['c', 'true'],
    ]);
  });

  it('deals the charts out to the threads there are, and hands nothing to those that would get none', async () => {
    const { pool, asked } = threads(3);
    const drawing = openDrawing(folder, pool);
    await drawing.begin(['a', 'b', 'c', 'd'].map((id) => chart(id)));
    await drawing.begin([chart('e')]);
    expect(asked).toEqual([['a', 'd'], ['b'], ['c'], ['e']]);
  });

  it('keeps what it drew with the project, and draws it no more', async () => {
    const first = openDrawing(folder, threads(1).pool);
    await first.drawn([chart('a')]);
    await first.settled();
    const { pool, asked } = threads(1);
    const { value, events } = await explained(() => openDrawing(folder, pool).drawn([chart('a'), chart('a', 'other')]));
    expect(value.map(({ svg }) => svg)).toEqual(['<svg>a</svg>', '<svg>other</svg>']);
    expect(asked).toEqual([['other']]);
    expect(events.map(({ subject }) => subject)).toEqual(['a', 'a']);
    expect(events.find(({ ran }) => ran)!.reason).toBe('changed: drawing');
    expect(events.find(({ ran }) => !ran)!.reason).toBeNull();
  });

  it('tells what went wrong to whoever wants the drawing, and to nobody else', async () => {
    const drawing = openDrawing(folder, threads(1).pool);
    await drawing.begin([chart('a', 'broken')]);
    await drawing.settled();
    expect((await drawing.drawn([chart('b')])).map(({ svg }) => svg)).toEqual(['<svg>b</svg>']);
    await expect(drawing.drawn([chart('a', 'broken')])).rejects.toThrow('no such mark');
  });
});
