import { describe, expect, test } from 'vitest';
import { formatDiagnostic } from '../../src/project/diagnostic.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const HEAD = 'decaybook: 1\ntitle: Room\ndate: 2026-05-12\nroom: {length: 5, width: 4, height: 3}\n';
const STAGES = 'stages:\n  - id: bare\n';

/** What a terminal shows for a project file. */
function shown(text: string): string {
  return parseProject(text, 'project.yaml').diagnostics.map(formatDiagnostic).join('\n');
}

describe('parseProject of a sound file', () => {
  test('returns the project with its defaults and no diagnostic', () => {
    const { project, diagnostics } = parseProject(HEAD + STAGES, 'project.yaml');
    expect(diagnostics).toEqual([]);
    expect(project).toMatchObject({ title: 'Room', purpose: 'other', positions: {}, compare: [] });
    expect(project?.stages).toEqual([{ id: 'bare', treatments: [] }]);
  });
});
