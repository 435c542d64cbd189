import { expect, test } from 'vitest';
import { projectSchema } from '../../src/project/project.ts';
import { type Remark, remarksOn } from '../../src/report/remarks.ts';
import { type Mishap, type ProjectShape, projectReadings, type SceneReading } from './project-scene.ts';
import { takesOf } from './project-takes.ts';

/**
 * How often takes are rightly and wrongly named when held against each other. Run by hand: npm run bench:takes. PROJECTS in the
 * environment sets how many projects are drawn for each row, FROM the number of the first.
 */
const PROJECTS = Number(process.env.PROJECTS ?? 200);
const FROM = Number(process.env.FROM ?? 0);

const PROJECT = projectSchema.parse({
  decaybook: 1,
  title: 'Bench',
  date: '2026-01-01',
  stages: [{ id: 'bare' }, { id: 'treated', treatments: [{ name: 'absorber' }] }],
});
const SOURCES = ['clap', 'balloon', 'board'] as const;
const ODD = 'recordings/bare/P0/';

interface Row {
  what: string;
  mishap: Mishap;
  files: number;
  positions?: number;
  after?: (readings: SceneReading[]) => SceneReading[];
  right: (remark: Remark) => boolean;
  least: number;
}

const named = ({ files }: Remark) => files.some((file) => file.startsWith(ODD));
const moved = (remark: Remark) => remark.code === 'wrong-folder' && named(remark);
const swap = (readings: SceneReading[], places: (position: string) => boolean) =>
  readings.map((reading) => {
    if (!places(reading.position)) return reading;
    const stage = reading.stage === 'bare' ? 'treated' : 'bare';
    return { ...reading, stage, take: reading.take.replace(reading.stage, stage) };
  });
const louder = (readings: SceneReading[], gain_db: number) =>
  readings.map((reading) =>
    reading.stage === 'treated' ? { ...reading, direct_db: reading.direct_db + gain_db } : reading,
  );

const ROWS: Row[] = [
  { what: 'a take of another position, of three files', mishap: 'other-position', files: 3, right: named, least: 0.85 },
  { what: 'a take of another position, of two files', mishap: 'other-position', files: 2, right: named, least: 0.6 },
  { what: 'a take of another stage, of three files', mishap: 'other-stage', files: 3, right: named, least: 0.95 },
  { what: 'the same, told where it belongs', mishap: 'other-stage', files: 3, right: moved, least: 0.9 },
  { what: 'a take of another stage, of two files', mishap: 'other-stage', files: 2, right: named, least: 0.9 },
  { what: 'a decay 15 % longer, of three files', mishap: 'longer-decay', files: 3, right: named, least: 0.95 },
  { what: 'a decay 15 % longer, of two files', mishap: 'longer-decay', files: 2, right: named, least: 0.85 },
  {
    what: 'two stages mixed up at one position of three',
    mishap: 'none',
    files: 2,
    positions: 3,
    after: (readings) => swap(readings, (position) => position === 'P0'),
    right: ({ code, files }) => code === 'stages-swapped' && files.every((file) => file.includes('/P0/')),
    least: 0.8,
  },
  {
    what: 'two stages mixed up altogether',
    mishap: 'none',
    files: 2,
    after: (readings) => swap(readings, () => true),
    right: ({ code }) => code === 'stages-swapped',
    least: 0.8,
  },
  {
    what: 'gain raised by 6 dB',
    mishap: 'none',
    files: 2,
    after: (readings) => louder(readings, 6),
    right: ({ code }) => code === 'gain-changed',
    least: 0.6,
  },
];

function shapeOf(number: number, files: number, positions?: number): ProjectShape {
  const claps = [1, 3, 3, 2][number % 4]!;
  return { positions: positions ?? 1 + (number % 3), files, claps, source: SOURCES[Math.floor(number / 2) % 3]! };
}

function drawn(number: number, row: Pick<Row, 'mishap' | 'files' | 'positions' | 'after'>): Remark[] {
  const readings = projectReadings(`takes ${number}`, shapeOf(number, row.files, row.positions), row.mishap);
  return remarksOn(PROJECT, takesOf(row.after ? row.after(readings) : readings));
}

test(`${PROJECTS} clean projects`, () => {
  const remarks: string[] = [];
  for (let i = FROM; i < FROM + PROJECTS; i++) {
    const found = drawn(i, { mishap: 'none', files: 2 + (Math.floor(i / 3) % 2) });
    if (found.length > 0) remarks.push(`${i}: ${found.map(({ message }) => message).join('; ')}`);
  }
  console.log(
    ['| clean projects | accused |', '|---|---|', `| ${PROJECTS} | ${remarks.length} |`, '', ...remarks].join('\n'),
  );
  expect(remarks.length / PROJECTS).toBeLessThanOrEqual(0.01);
});

test(`mishaps in ${Math.ceil(PROJECTS / 4)} projects each`, () => {
  const count = Math.ceil(PROJECTS / 4);
  const rows = ROWS.map((row) => {
    let right = 0;
    let wrong = 0;
    for (let i = FROM; i < FROM + count; i++) {
      const found = drawn(i, row);
      if (found.some(row.right)) right++;
      else if (found.length > 0) wrong++;
    }
    return { ...row, right, wrong };
  });
  const lines = rows.map(({ what, right, wrong }) => `| ${what} | ${right} of ${count} | ${wrong} |`);
  console.log(['| what is wrong | found | something else said |', '|---|---|---|', ...lines].join('\n'));
  expect(rows.filter(({ right, least }) => right < least * count).map(({ what }) => what)).toEqual([]);
});
