import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { assignTakes } from '../../src/project/find-takes.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import type { Project } from '../../src/project/project.ts';

const HEAD = 'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\n';

function project(rest: string): Project {
  const parsed = parseProject(HEAD + rest, 'project.yaml');
  expect(parsed.diagnostics).toEqual([]);
  return parsed.project!;
}

/** Stage, position and file of each take, in order. */
function assigned(rest: string, files: string[]): string[] {
  return assignTakes(project(rest), files).takes.map(({ stage, position, file }) => `${stage} ${position} ${file}`);
}

describe('assignTakes by folders', () => {
  test('takes recordings/<stage>/<position>/ whole, stages in their order, then positions and names by number', () => {
    const files = [
      'recordings/bare/B/1.wav',
      'recordings/bare/A/10.wav',
      'recordings/bare/A/2.wav',
      'recordings/absorbers/A/1.WAV',
    ];
    expect(assigned('stages: [{id: bare}, {id: absorbers}]\n', files)).toEqual([
      'bare A recordings/bare/A/2.wav',
      'bare A recordings/bare/A/10.wav',
      'bare B recordings/bare/B/1.wav',
      'absorbers A recordings/absorbers/A/1.WAV',
    ]);
  });

  test('leaves alone what is no recording, and the hidden companions that systems write', () => {
    const files = [
      'recordings/bare/A/1.wav',
      'recordings/bare/A/._1.wav',
      'recordings/bare/A/notes.txt',
      'recordings/bare/A/wav',
    ];
    expect(assigned('stages: [{id: bare}]\n', files)).toEqual(['bare A recordings/bare/A/1.wav']);
  });

  test('counts other kinds of audio file as takes, to be decoded or refused by name', () => {
    const files = ['flac', 'mp3', 'm4a', 'aac', 'ogg', 'opus', 'mp4', 'mov'].map(
      (ending) => `recordings/bare/A/1.${ending}`,
    );
    expect(assigned('stages: [{id: bare}]\n', files)).toHaveLength(files.length);
  });

  test('gives recordings directly in the folder of the stage the only position listed', () => {
    const files = ['recordings/bare/1.wav'];
    expect(assigned('positions: {desk: }\nstages: [{id: bare}]\n', files)).toEqual(['bare desk recordings/bare/1.wav']);
    expect(assigned('stages: [{id: bare}]\n', files)).toEqual(['bare A recordings/bare/1.wav']);
  });

  test('keeps a stage apart from another whose id begins alike', () => {
    const files = ['recordings/bare/A/1.wav', 'recordings/bare-2/A/1.wav'];
    expect(assigned('stages: [{id: bare}, {id: bare-2}]\n', files)).toEqual([
      'bare A recordings/bare/A/1.wav',
      'bare-2 A recordings/bare-2/A/1.wav',
    ]);
  });
});

describe('assignTakes by lists', () => {
  const listed = (takes: string, rest = ''): string => `${rest}stages:\n  - id: bare\n    takes: [${takes}]\n`;

  test('takes names and patterns, with what the list says of them', () => {
    const text = listed("{files: [a/*.wav, b.flac], position: B, kind: passage, channel: 2}, {files: '**/c?.wav'}");
    const { takes, diagnostics } = assignTakes(project(text), ['a/1.wav', 'a/x/2.wav', 'b.flac', 'x/y/c1.wav']);
    expect(diagnostics).toEqual([]);
    expect(takes).toEqual([
      { file: 'x/y/c1.wav', stage: 'bare', position: 'A', kind: null, channel: null },
      { file: 'a/1.wav', stage: 'bare', position: 'B', kind: 'passage', channel: 2 },
      { file: 'b.flac', stage: 'bare', position: 'B', kind: 'passage', channel: 2 },
    ]);
  });

  test('reads the position off the folders where the list does not say', () => {
    const text = listed('{files: recordings/bare/*/*.wav}', 'positions: {A: , B: }\n');
    expect(assigned(text, ['recordings/bare/B/1.wav'])).toEqual(['bare B recordings/bare/B/1.wav']);
  });

  test('takes a name that looks like a pattern as it stands first', () => {
    expect(assigned(listed('{files: "take[1].wav"}'), ['take[1].wav', 'take1.wav'])).toEqual(['bare A take[1].wav']);
  });

  test('finds a name whose accents are stored decomposed, and keeps it as stored', () => {
    const stored = 'pièce.wav'.normalize('NFD');
    expect(assigned(listed(`{files: ${'pièce.wav'.normalize('NFC')}}`), [stored])).toEqual([`bare A ${stored}`]);
    expect(assigned(listed(`{files: '${'pièc*'.normalize('NFC')}.wav'}`), [stored])).toEqual([`bare A ${stored}`]);
  });

  test('says nothing of recordings that a list leaves out on purpose', () => {
    const { takes, diagnostics } = assignTakes(project(listed('{files: recordings/bare/A/1.wav}')), [
      'recordings/bare/A/1.wav',
      'recordings/bare/A/2.wav',
    ]);
    expect(takes).toHaveLength(1);
    expect(diagnostics).toEqual([]);
  });
});

test('assignTakes gives the same takes for the files in any order', () => {
  const files = ['bare/A/1', 'bare/A/10', 'bare/A/2', 'bare/B/01', 'bare/B/1', 'felt/A/x', 'felt/x'].map(
    (name) => `recordings/${name}.wav`,
  );
  const stages = 'stages: [{id: bare}, {id: felt}]\n';
  const sorted = assigned(stages, files);
  fc.assert(
    fc.property(fc.shuffledSubarray(files, { minLength: files.length }), (shuffled) => {
      expect(assigned(stages, shuffled)).toEqual(sorted);
    }),
    { numRuns: 50, seed: 1 },
  );
});
