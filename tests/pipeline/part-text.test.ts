import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { openPart } from '../../pipeline/code-parts.ts';
import { changingExports, type PartModule, partTexts } from '../../pipeline/part-text.ts';

const scratch = mkdtempSync(join(tmpdir(), 'decaybook-parts-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

let written = 0;
/** Opens the first of some parts, written to a folder of their own. */
async function opened(modules: readonly PartModule[]) {
  const folder = join(scratch, String(written++));
  mkdirSync(folder);
  for (const { file, text } of await partTexts(modules)) writeFileSync(join(folder, file), text, 'latin1');
  return openPart(pathToFileURL(join(folder, modules[0]!.name.replace('.js', '.cjs'))).href);
}

describe('partTexts', () => {
  const counter = {
    name: 'counter.js',
    text: `var count = 0;
var step = 2;
function raise() {
  count += step;
}
export {
  count,
  raise as go,
  step
};
`,
  };

  it('gives a part what it takes from another, under its own names, and from Node', async () => {
    const part = await opened([
      {
        name: 'first.js',
        text: `import {
  go as run,
  step
} from "./counter.js";
import { basename } from "node:path";
import path from "node:path";
function twice() {
  run();
  run();
  return step * 2;
}
export {
  twice,
  basename as last,
  path as default
};
`,
      },
      counter,
    ]);
    expect((part.twice as () => number)()).toBe(4);
    expect((part.last as (path: string) => string)('a/b')).toBe('b');
    expect((part.default as { sep: string }).sep).toMatch(/[\\/]/);
  });

  it('shows a value that changes as it is now', async () => {
    const part = await opened([
      {
        name: 'asking.js',
        text: `import {
  count,
  go
} from "./counter.js";
function after() {
  go();
  return count;
}
export {
  after
};
`,
      },
      counter,
    ]);
    expect([(part.after as () => number)(), (part.after as () => number)()]).toEqual([2, 4]);
  });

  it('loads a part or a package late, from where a name is in a variable too, and knows its own address', async () => {
    const part = await opened([
      {
        name: 'late.js',
        text: `var name = "node:os";
async function load() {
  const [{ step }, { tmpdir }] = await Promise.all([import("./counter.js"), import(name)]);
  return [step, tmpdir()];
}
var here = import.meta.url;
export {
  here,
  load
};
`,
      },
      counter,
    ]);
    expect(await (part.load as () => Promise<unknown>)()).toEqual([2, tmpdir()]);
    expect(part.here).toMatch(/^file:.*late\.cjs$/);
  });

  it('keeps every letter', async () => {
    const text = 'var found = ["\u00b0", "\u2192", "\ud83d\ude00"].map((one) => /^[°→😀]$/u.test(one));\n';
    const part = await opened([{ name: 'letters.js', text: `${text}// …\nexport {\n  found\n};\n` }]);
    expect(part.found).toEqual([true, true, true]);
  });

  it('runs as modules do: strictly, and once', async () => {
    const part = await opened([
      {
        name: 'strict.js',
        text: `import "./shouting.js";
import {
  heard
} from "./shouting.js";
var self = (function() {
  return this;
})();
export {
  heard,
  self
};
`,
      },
      {
        name: 'shouting.js',
        text: 'var heard = [];\nheard.push("\\u00e4");\nexport {\n  heard\n};\n',
      },
    ]);
    expect(part.self).toBeUndefined();
    expect(part.heard).toEqual(['ä']);
  });
});

describe('changingExports', () => {
  const changing = (body: string, given = 'x') => [...changingExports(`${body}\nexport {\n  ${given}\n};\n`)];

  it('finds what is set after its declaration, in any way', () => {
    for (const set of [
      'x = 1;',
      'x += 1',
      'x ||= {}',
      'x++',
      '--x',
      '[x] = [1];',
      '({ a: x } = b);',
      'for (x of y) {}',
    ])
      expect(changing(`var x = 0;\nfunction later() {\n  ${set}\n}`), set).toEqual(['x']);
    expect(changing('var x;')).toEqual(['x']);
    expect(changing('var y, x;')).toEqual(['x']);
    expect(changing('var $x = 0;\n$x = 1;', '$x as given')).toEqual(['given']);
  });

  it('leaves what stays as it is', () => {
    for (const body of [
      'function x() {}',
      'var x = class {\n};',
      'var x = (y) => y == 1;',
      'var x = 1;\nif (x === 1 || x <= 2 || x >= 3 || x != 4) y.x = 1;',
      'var x = 1;\nvar xx = 2;\nxx = 3;',
      'var x = 1;\nvar y = { x: 1 };',
      'var x = [];\nx.push(1);\nx[0] = 2;',
    ])
      expect(changing(body), body).toEqual([]);
  });
});
