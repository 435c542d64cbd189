import { transform } from 'esbuild';

/** The oldest Node that may run the program. */
export const TARGET = 'node20.19';

/** A part as the bundler writes it, as a module. */
export interface PartModule {
  /** Name of its file, such as `draw-32ISO3BP.js`. */
  name: string;
  text: string;
}

/** The name of the file that a part is written to. */
function partFile(name: string): string {
  return name.replace(/\.js$/, '.cjs');
}

/**
 * The parts of the program as `openPart` runs them: functions, in letters that all take one byte.
 *
 * What a part takes from another it takes once, by value: asking for it anew at every call cost a first report a thirtieth. Values that may
 * change later are asked for anew all the same.
 */
export async function partTexts(modules: readonly PartModule[]): Promise<{ file: string; text: string }[]> {
  const changing = new Map(modules.map(({ name, text }) => [name, changingExports(text)]));
  return Promise.all(
    modules.map(async ({ name, text }) => {
      const taken = text.replace(IMPORT, (_, names: string, from: string) => takeFrom(names, from, changing.get(from)));
      const { code } = await transform(taken, {
        format: 'cjs',
        target: TARGET,
        define: { 'import.meta.url': 'partUrl' },
        legalComments: 'none',
        // Modules are strict by themselves.
        banner: "(function(module,require,later,partUrl){'use strict';",
        footer: '})',
      });
      const calls = code.replace(/(?<![\w.$'"`])import\(/g, 'later(');
      const named = calls.replace(/"\.\/([\w.-]+\.js)"/g, (whole, other: string) =>
        changing.has(other) ? `"./${partFile(other)}"` : whole,
      );
      return { file: partFile(name), text: named.replace(WIDE, escaped) };
    }),
  );
}

/** Letters of more than a byte: the bundler leaves them in regular expressions and comments, where this says the same. */
const WIDE = /[\u0100-\uffff]/g;
const escaped = (letter: string) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`;

/** How the bundler writes what a part takes from another. */
const IMPORT = /^import \{([^}]*)\} from "\.\/([\w.-]+\.js)";$/gm;

function takeFrom(names: string, from: string, changing: ReadonlySet<string> | undefined): string {
  const all = names.split(',').map((name) => name.trim());
  const asked = all.filter((name) => changing?.has(name.split(' as ')[0]!));
  const once = all.filter((name) => !asked.includes(name)).map((name) => name.replace(' as ', ': '));
  return [
    ...(asked.length > 0 ? [`import { ${asked.join(', ')} } from "./${from}";`] : []),
    ...(once.length > 0 ? [`const { ${once.join(', ')} } = require("./${from}");`] : []),
  ].join('\n');
}

/**
 * What a part gives under a name that is set anywhere but where it is declared. Text only is looked at, so a few too many are found: a
 * property or a name within a function that happens to be the same.
 */
export function changingExports(module: string): Set<string> {
  const given = /^export \{([^}]*)\};$/m.exec(module)?.[1] ?? '';
  const lines = module.split('\n');
  const changing = given
    .split(',')
    .map((name) => name.trim().split(' as '))
    .filter(([local]) => local && isSetLater(lines, local))
    .map((names) => names.at(-1)!);
  return new Set(changing);
}

function isSetLater(lines: readonly string[], local: string): boolean {
  const name = `(?<![\\w$.#])${local.replace(/\$/g, '\\$&')}(?![\\w$])`;
  const declared = new RegExp(`^(?:var|let|const) ${name}`);
  const ways = [
    // Also `+=`, `>>>=`, `??=` and the like.
    `${name}\\s*(?:[-+*/%&|^]|\\*\\*|<<|>>>?|&&|\\|\\||\\?\\?)?=(?![=>])`,
    `${name}\\s*(?:\\+\\+|--)`,
    `(?:\\+\\+|--)${name}`,
    `\\bfor \\(${name} (?:of|in)\\b`,
  ];
  const set = new RegExp(ways.join('|'));
  const bare = new RegExp(`^(?:var|let) (?:[^=]*, )?${name}[,;]`);
  // In a list or an object that is taken apart into names that are there already.
  const apart = new RegExp(`^\\s*\\(?[\\[{][^=]*${name}[^=]*[\\]}] =(?!=)`);
  return lines.some((line) => {
    if (!line.includes(local)) return false;
    if (bare.test(line) || apart.test(line)) return true;
    return set.test(line.replace(declared, ''));
  });
}
