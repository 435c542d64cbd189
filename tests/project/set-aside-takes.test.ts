import { describe, expect, test } from 'vitest';
import { assignTakes } from '../../src/project/find-takes.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const HEAD =
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\nstages: [{id: bare}]\n';
const FILES = ['recordings/bare/A/1.wav', 'recordings/bare/A/2.wav', 'recordings/bare/B/1.wav'];

/** Reason of each file that is set aside, and what is wrong. */
function setAside(list: string): { aside: [string, string][]; messages: string[] } {
  const { project, diagnostics } = parseProject(`${HEAD}set_aside: ${list}\n`, 'project.yaml');
  if (project === null) return { aside: [], messages: diagnostics.map(({ message }) => message) };
  const found = assignTakes(project, FILES);
  return {
    aside: found.takes.flatMap(({ file, set_aside }): [string, string][] => (set_aside ? [[file, set_aside]] : [])),
    messages: [...diagnostics, ...found.diagnostics].map(({ message }) => message),
  };
}

describe('set_aside in the project file', () => {
  test('marks the recordings it names, singly, in a list or by a pattern, with its reason', () => {
    expect(setAside('[{files: recordings/bare/A/2.wav, reason: the door stood open}]')).toEqual({
      aside: [['recordings/bare/A/2.wav', 'the door stood open']],
      messages: [],
    });
    const both = [
      ['recordings/bare/A/1.wav', 'wrong place'],
      ['recordings/bare/A/2.wav', 'wrong place'],
    ];
    expect(setAside('[{files: recordings/bare/A/*.wav, reason: wrong place}]').aside).toEqual(both);
    const listed = '[{files: [recordings/bare/A/1.wav, ./recordings/bare/A/2.wav], reason: wrong place}]';
    expect(setAside(listed).aside).toEqual(both);
  });

  test('refuses an entry without a reason, and a path out of the folder', () => {
    expect(setAside('[{files: recordings/bare/A/2.wav}]').messages[0]).toContain('reason');
    expect(setAside('[{files: ../2.wav, reason: no}]').messages[0]).toContain('lies outside the project folder');
  });
});
