import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkFolder } from '../../pipeline/check.ts';
import { explained, type StepEvent } from '../../pipeline/keep.ts';
import { SILENT } from '../../pipeline/progress.ts';
import { reportFolder } from '../../pipeline/report.ts';
import { SMALL_SETTINGS, writeSmallProject, writeSmallTake, writeSmallYaml } from './small-project.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-fresh-'));
const project = join(scratch, 'project');
const BARE = 'recordings/bare/A/01.wav';

async function run(folder = project): Promise<StepEvent[]> {
  const { value, events } = await explained(() => reportFolder(folder, { pdf: false, progress: SILENT }));
  expect(value.status).toBe(0);
  return events;
}

/** How many steps of each kind ran. */
function ran(events: readonly StepEvent[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const { step } of events.filter((event) => event.ran)) counts[step] = (counts[step] ?? 0) + 1;
  return counts;
}

function contents(folder: string): Record<string, string> {
  const names = readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort();
  const files = names.filter((name) => statSync(join(folder, name)).isFile());
  return Object.fromEntries(files.map((name) => [name, readFileSync(join(folder, name), 'latin1')]));
}

/** What may not depend on earlier reports: all but the issues, which are numbered and tell what differs, and the pages that show them. */
function measured(folder: string): Record<string, string> {
  return Object.fromEntries(
    Object.entries(contents(folder)).filter(([name]) => !/\.(html|pdf)$|^issues\.json$/.test(name)),
  );
}

beforeAll(async () => {
  writeSmallProject(project);
  await run();
});

afterAll(() => rmSync(scratch, { recursive: true, force: true }));

describe('a report after one thing has changed', () => {
  it('is not made where nothing has', async () => {
    const events = await run();
    expect(events.map(({ step, ran, reason }) => [step, ran, reason])).toEqual([['report', false, null]]);
  });

  it('is not made where a recording was touched', async () => {
    utimesSync(join(project, BARE), new Date(), new Date());
    expect(ran(await run())).toEqual({});
  });

  it('reads no take again where one was renamed', async () => {
    renameSync(join(project, BARE), join(project, 'recordings/bare/A/first.wav'));
    const events = await run();
    expect(ran(events).analyse).toBeUndefined();
    expect(ran(events).report).toBe(1);
    renameSync(join(project, 'recordings/bare/A/first.wav'), join(project, BARE));
    await run();
  });

  it('reads no take again and draws no chart again where the title was edited, and says so', async () => {
    writeSmallYaml(project, { ...SMALL_SETTINGS, title: 'Another name' });
    const events = await run();
    expect(ran(events)).toEqual({ report: 1 });
    expect(events.find(({ step }) => step === 'report')!.reason).toBe('changed: project.title');
  });

  it('reads no take again where a caption or a dimension of the room was', async () => {
    writeSmallYaml(project, { ...SMALL_SETTINGS, caption: 'As found' });
    expect(ran(await run()).analyse).toBeUndefined();
    writeSmallYaml(project, { ...SMALL_SETTINGS, length: 4.1 });
    const events = await run();
    expect([ran(events).analyse, ran(events).compare]).toEqual([undefined, undefined]);
    expect(events.find(({ step }) => step === 'report')!.reason).toBe('changed: project.room.length, project.stages');
    writeSmallYaml(project);
    await run();
  });

  it('reads one take where one is new, and one where one was recorded again', async () => {
    writeSmallTake(project, 'recordings/treated/A/02.wav', 3);
    const events = await run();
    expect(ran(events).analyse).toBe(1);
    // It comes last in the project, and is begun before the others are looked up.
    expect(events.find(({ step }) => step === 'analyse')!.ran).toBe(true);
    expect(events).toContainEqual({
      step: 'analyse',
      subject: 'recordings/treated/A/02.wav',
      ran: true,
      reason: 'not made before',
    });
    const compared = events.filter(({ step, ran }) => step === 'compare' && ran);
    expect(compared.map(({ subject }) => subject)).toEqual(['octave', 'third-octave']);
    for (const { reason } of compared) expect(reason).toMatch(/^changed: .*takes\.recordings\/treated\/A\/02\.wav$/);
    writeSmallTake(project, 'recordings/treated/A/02.wav', 4);
    const again = await run();
    expect(ran(again).analyse).toBe(1);
    expect(again.find(({ step, ran }) => step === 'analyse' && ran)!.reason).toBe('changed: sha256');
    rmSync(join(project, 'recordings/treated/A/02.wav'));
    await run();
  });

  it('is put together again from what is kept where a file of it was altered', async () => {
    const before = contents(join(project, 'report'));
    writeFileSync(join(project, 'report', 'report.html'), 'somebody wrote this');
    const events = await run();
    expect(ran(events)).toEqual({ report: 1 });
    expect(contents(join(project, 'report'))).toEqual(before);
  });

  it('takes what a check has read, and is the same as without', async () => {
    const before = measured(join(project, 'report'));
    rmSync(join(project, '.decaybook'), { recursive: true });
    rmSync(join(project, 'report'), { recursive: true });
    const { events } = await explained(() => checkFolder(project));
    expect(ran(events)).toEqual({ analyse: 2 });
    const after = ran(await run());
    expect([after.analyse, after.thirds]).toEqual([undefined, 2]);
    expect(measured(join(project, 'report'))).toEqual(before);
  });

  it('is the same again where all that was kept is damaged', async () => {
    const before = contents(join(project, 'report'));
    const kept = join(project, '.decaybook', 'kept', 'content-v2');
    for (const name of readdirSync(kept, { recursive: true, encoding: 'utf8' })) {
      if (statSync(join(kept, name)).isFile()) writeFileSync(join(kept, name), 'damaged');
    }
    const events = await run();
    expect(ran(events).analyse).toBe(2);
    expect(events.find(({ step }) => step === 'analyse')!.reason).toBe('what was kept of it is gone or damaged');
    expect(contents(join(project, 'report'))).toEqual(before);
  });

  it('is whole after runs at once, with nothing left aside', async () => {
    const before = measured(join(project, 'report'));
    rmSync(join(project, '.decaybook'), { recursive: true });
    rmSync(join(project, 'report'), { recursive: true });
    await Promise.all([run(), run(), run()]);
    expect(measured(join(project, 'report'))).toEqual(before);
    expect(existsSync(join(project, 'report', 'report.html'))).toBe(true);
    const aside = readdirSync(join(project, '.decaybook')).filter((name) => /^report[-.]/.test(name));
    expect(aside).toEqual([]);
  });
});

type Edit = {
  what: 'add' | 'remove' | 'move' | 'replace' | 'caption' | 'length' | 'unkeep';
  which: number;
  /** Whether `check` looks at the takes before the report does: it reads the octaves alone. */
  checked: boolean;
};

/** One edit of a project, of a take that is there where it is about one. */
function edit(folder: string, { what, which }: Edit): void {
  const takes = readdirSync(join(folder, 'recordings'), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.wav'))
    .sort()
    .map((name) => `recordings/${name.replaceAll('\\', '/')}`);
  const take = takes[which % takes.length]!;
  const added = `recordings/${which % 2 === 0 ? 'bare' : 'treated'}/A/added-${which}.wav`;
  const pick = {
    add: () => writeSmallTake(folder, added, 10 + which),
    remove: () => (takes.length > 2 ? rmSync(join(folder, take)) : undefined),
    move: () => renameSync(join(folder, take), join(folder, take.replace(/\.wav$/, '-moved.wav'))),
    replace: () => writeSmallTake(folder, take, 20 + which),
    caption: () => writeSmallYaml(folder, { ...SMALL_SETTINGS, caption: `Caption ${which}` }),
    length: () => writeSmallYaml(folder, { ...SMALL_SETTINGS, length: 3 + which / 10 }),
    unkeep: () => rmSync(join(folder, '.decaybook'), { recursive: true, force: true }),
  };
  pick[what]();
}

describe('a report after any history of edits', () => {
  it('has the results, charts and clips, byte for byte, of one made at once', async () => {
    let count = 0;
    const edits = fc.array(
      fc.record<Edit>({
        what: fc.constantFrom('add', 'remove', 'move', 'replace', 'caption', 'length', 'unkeep'),
        which: fc.nat(9),
        checked: fc.boolean(),
      }),
      { minLength: 2, maxLength: 3 },
    );
    await fc.assert(
      fc.asyncProperty(edits, async (history) => {
        const [warm, cold] = ['warm', 'cold'].map((name) => join(scratch, `${name}-${++count}`)) as [string, string];
        cpSync(project, warm, { recursive: true });
        for (const one of history) {
          edit(warm, one);
          if (one.checked) await checkFolder(warm);
          await run(warm);
        }
        cpSync(warm, cold, { recursive: true, filter: (path) => !/[\\/](report|\.decaybook)$/.test(path) });
        expect(existsSync(join(cold, '.decaybook'))).toBe(false);
        await run(cold);
        expect(Object.keys(measured(join(warm, 'report')))).toContain('results.json');
        expect(measured(join(warm, 'report'))).toEqual(measured(join(cold, 'report')));
      }),
      { numRuns: 3, endOnFailure: true },
    );
  }, 60_000);
});
