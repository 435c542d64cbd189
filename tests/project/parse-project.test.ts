import { describe, expect, test } from 'vitest';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const HEAD = 'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\n';
const STAGES = 'stages:\n  - id: bare\n';
const SOUND = HEAD + STAGES;

/** What a terminal shows for a project file. */
function shown(text: string): string[] {
  return parseProject(text, 'project.yaml').diagnostics.map(formatDiagnostic);
}

describe('parseProject of a sound file', () => {
  test('returns the project with its defaults and no diagnostic', () => {
    const { project, diagnostics } = parseProject(SOUND, 'project.yaml');
    expect(diagnostics).toEqual([]);
    expect(project).toMatchObject({ title: 'Room', purpose: 'other', audience: 'client', positions: {}, compare: [] });
    expect(project?.stages).toEqual([{ id: 'bare', treatments: [] }]);
  });

  test('takes a blank key for one left out, and a blank position for one of which only the name is known', () => {
    const { project, diagnostics } = parseProject(
      `${SOUND}client:\npositions:\n  A:\n  B: {note: desk}\n`,
      'project.yaml',
    );
    expect(diagnostics).toEqual([]);
    expect(project).not.toHaveProperty('client');
    expect(project?.positions).toEqual({ A: {}, B: { note: 'desk' } });
  });

  test('takes a number for a text as it is spelled, zeros and all', () => {
    const text = `${HEAD}reference: 007\nstages:\n  - {id: 2026, takes: [{files: 1}]}\n`;
    const { project } = parseProject(text, 'project.yaml');
    expect(project?.reference).toBe('007');
    expect(project?.stages[0]?.id).toBe('2026');
    expect(project?.stages[0]?.takes?.[0]?.files).toBe('1');
  });

  test('follows aliases, so that a treatment written once can be used twice', () => {
    const text = `${HEAD}stages:\n  - {id: a, treatments: [&t {name: panel, area: 2}]}\n  - {id: b, treatments: [*t]}\n`;
    const { project, diagnostics } = parseProject(text, 'project.yaml');
    expect(diagnostics).toEqual([]);
    expect(project?.stages[1]?.treatments).toEqual([{ name: 'panel', area: 2 }]);
  });

  test('reads the line ends of Windows and a byte order mark', () => {
    expect(shown(`\ufeff${SOUND.replaceAll('\n', '\r\n')}`)).toEqual([]);
  });

  test('tells where a value and a key stand', () => {
    const { placeOf } = parseProject(SOUND, 'project.yaml');
    expect(placeOf(['stages', 0, 'id'])).toEqual({ line: 6, column: 9 });
    expect(placeOf(['stages', 0, 'id'], { key: true })).toEqual({ line: 6, column: 5 });
    expect(placeOf(['stages', 1])).toBeNull();
  });
});

describe('parseProject with several faults', () => {
  test('collects them all, in the order of the file, and gives no project', () => {
    const text = HEAD.replace('length: 5', 'length: wide').replace('Room', '') + STAGES.replace('bare', 'a b');
    expect(parseProject(text, 'project.yaml').project).toBeNull();
    expect(shown(`${text}purpos: mixing\n`)).toEqual([
      'project.yaml:2:1: error: "title" has no value: write, for example, Choir practice room, Millrace School (name of the room or job, printed on the cover)',
      'project.yaml:4:16: error: "length" needs a number but is the text "wide": write, for example, 5.2 (metres)',
      'project.yaml:6:9: error: the id is "a b", which cannot name a folder everywhere: use letters, digits, dots, dashes and underscores, with a letter or digit at either end, and no name that Windows keeps for a device, such as con',
      'project.yaml:7:1: error: "purpos" is not known here: did you mean purpose?',
    ]);
  });

  // Microsoft, "Naming Files, Paths, and Namespaces": CON, PRN, AUX, NUL, COM0 to COM9, LPT0 to LPT9, with or without more after a dot (from memory).
  test.each(['con', 'NUL', 'Aux', 'prn', 'com1', 'LPT9', 'con.old'])('%s cannot name a stage', (name) => {
    const { project, diagnostics } = parseProject(SOUND.replace('bare', name), 'project.yaml');
    expect(project).toBeNull();
    expect(diagnostics.map(({ message }) => message)).toEqual([expect.stringContaining('Windows keeps for a device')]);
  });

  test.each(['console', 'com', 'con-1', 'auxiliary', 'com12'])('%s can', (name) => {
    expect(parseProject(SOUND.replace('bare', name), 'project.yaml').project).not.toBeNull();
  });

  test('a warning leaves the project standing', () => {
    const { project, diagnostics } = parseProject(SOUND.replace(/room:.*\n/, ''), 'project.yaml');
    expect(project).not.toBeNull();
    expect(diagnostics.map(({ severity }) => severity)).toEqual(['warning']);
  });
});
