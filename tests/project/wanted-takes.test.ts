import { expect, test } from 'vitest';
import { PURPOSES } from '../../src/project/project.ts';
import { wantedTakes } from '../../src/project/wanted-takes.ts';

// ISO 3382-2:2008, Table 1 (from memory): source-microphone pairs and, for an impulse response, fewest responses at each.
const TABLE_1 = { survey: { pairs: 2, responses: 1 }, engineering: { pairs: 6, responses: 1 } };

test.each(PURPOSES)('wantedTakes of %s asks for no less than the effort it names', (purpose) => {
  const { positions, responses, effort } = wantedTakes(purpose);
  expect(positions).toBeGreaterThanOrEqual(TABLE_1[effort].pairs);
  expect(responses).toBeGreaterThanOrEqual(TABLE_1[effort].responses);
});

test('wantedTakes asks for the engineering effort where a room is used all over', () => {
  expect(wantedTakes('classroom').effort).toBe('engineering');
  expect(wantedTakes('mixing').effort).toBe('survey');
});
