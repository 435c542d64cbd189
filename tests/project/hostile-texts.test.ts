import { expect, test } from 'vitest';
import { parseProject } from '../../src/project/parse-project.ts';
import { drawFrom } from '../hostile/draw.ts';
import { faultOfParsed } from '../hostile/holds.ts';
import { FULL, HOSTILE_TEXTS } from '../hostile/text.ts';

/** As for all drawn inputs. The long run of the same is `npm run bench:fuzz`. */
const SEED = process.env.DRAWN_SEED ?? '20261125';

test('the file that they are all made from is a project', () => {
  expect(parseProject(FULL, 'project.yaml').project).not.toBeNull();
});

test.each(Object.entries(HOSTILE_TEXTS))(
  '%s: is a project of finite numbers, or refused with the line, one sentence and the mend',
  (kind, make) => {
    const faults: string[] = [];
    for (let number = 0; number < 60; number++) {
      const text = new TextDecoder().decode(make(drawFrom(`${SEED} ${kind} ${number}`)));
      const fault = faultOfParsed(parseProject(text, 'project.yaml'), text);
      if (fault !== null) faults.push(`${number}: ${fault}`);
    }
    expect(faults).toEqual([]);
  },
);
