/** More alternatives than this in braces and the pattern is taken as it stands. */
const MOST_ALTERNATIVES = 64;

/** Whether a text holds anything that matchPattern reads as more than itself. */
export function isPattern(text: string): boolean {
  return /[*?{]/.test(text);
}

/**
 * Returns the function that tells whether a path, with forward slashes, fits a pattern: `?` stands for one character, `*` for
 * any number, neither for a slash; `**` between slashes for any number of folders; `{a,b}` for either. Nothing but a dot
 * stands for the dot at the beginning of a name. Everything else stands for itself, capitals too unless `anyCase` is set.
 *
 * Works through text and pattern once for each star (dynamic programming over folders, the greedy walk within a name), so
 * that no pattern, however it is made, takes long: regular expressions made from patterns can run for years.
 */
export function matchPattern(pattern: string, { anyCase = false } = {}): (path: string) => boolean {
  const fold = (text: string): string => (anyCase ? text.toLowerCase() : text);
  const alternatives = expandBraces(fold(pattern)).map((one) => partsOf(one));
  return (path) => {
    const names = fold(path).split('/');
    return alternatives.some((parts) => foldersFit(parts, names));
  };
}

/** Two `**` in a row mean no more than one; one at the end stands for at least the file itself. */
function partsOf(pattern: string): string[] {
  const parts = pattern.split('/').filter((part, i, all) => part !== '**' || all[i - 1] !== '**');
  return parts.at(-1) === '**' ? [...parts, '*'] : parts;
}

function foldersFit(parts: readonly string[], names: readonly string[]): boolean {
  // fits[j]: the parts so far fit the first j names.
  let fits = [true, ...names.map(() => false)];
  for (const part of parts) {
    const next = names.map(() => false);
    if (part === '**') {
      let open = fits[0]!;
      next.unshift(open);
      for (let j = 0; j < names.length; j++) {
        open = (open && !names[j]!.startsWith('.')) || fits[j + 1]!;
        next[j + 1] = open;
      }
    } else {
      next.unshift(false);
      for (let j = 0; j < names.length; j++) next[j + 1] = fits[j]! && nameFits(part, names[j]!);
    }
    fits = next;
  }
  return fits[names.length]!;
}

/** Goes forward while it can, and back only to the last star: where that fails, no other way fits either. */
function nameFits(part: string, name: string): boolean {
  if (name.startsWith('.') && !part.startsWith('.')) return false;
  let p = 0;
  let star = -1;
  let resume = 0;
  for (let n = 0; n < name.length; ) {
    if (part[p] === '*') {
      star = p++;
      resume = n;
    } else if (part[p] === '?' || part[p] === name[n]) {
      p++;
      n++;
    } else if (star >= 0) {
      p = star + 1;
      n = ++resume;
    } else return false;
  }
  while (part[p] === '*') p++;
  return p === part.length;
}

/** All ways to choose in the braces of a pattern; the pattern as it stands where a brace has no partner or there are too many. */
function expandBraces(pattern: string): string[] {
  let done = [''];
  let rest = pattern;
  for (;;) {
    const found = /^([^{]*)\{([^{}]*)\}(.*)$/s.exec(rest);
    if (found === null) return done.map((start) => start + rest);
    const [, before, inside, after] = found as unknown as [string, string, string, string];
    const choices = inside.split(',');
    done = done.flatMap((start) => choices.map((choice) => start + before + choice));
    if (done.length > MOST_ALTERNATIVES) return [pattern];
    rest = after;
  }
}
