/** What the lockfile says of one package, as far as it is asked here. */
export interface LockedPackage {
  version?: string;
  license?: string;
  dev?: boolean;
  optional?: boolean;
}

/** A package that comes with an installed Decaybook. */
export interface Shipped {
  /** Where it lies, as the lockfile names it. */
  path: string;
  name: string;
  version: string;
  licence: string;
  /** Only comes where the optional dependencies do. */
  optional: boolean;
}

/** Licences that ask for no more than their notice to be kept, by SPDX name. */
const ALLOWED = [
  '0BSD',
  'Apache-2.0',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'BSL-1.0',
  'BlueOak-1.0.0',
  'ISC',
  'MIT',
  'OFL-1.1',
  'Unlicense',
];

/** Packages under another licence that were weighed one by one, and why each is kept. */
const WEIGHED: Record<string, { licence: string; onlyOptional: boolean; why: string }> = {
  'codec-parser': {
    licence: 'LGPL-3.0-or-later',
    onlyOptional: false,
    why: 'splits FLAC, Opus and Vorbis files into frames. It stays a package of its own, unchanged, and can be replaced',
  },
  '@audio/decode-aac': { licence: 'GPL-2.0', onlyOptional: true, why: 'AAC, which most phones record' },
  '@audio/decode-ac3': {
    licence: 'GPL-2.0-or-later',
    onlyOptional: true,
    why: 'comes with the reader of MP4, loaded for sound of that kind',
  },
  '@audio/decode-dts': {
    licence: 'GPL-2.0-or-later',
    onlyOptional: true,
    why: 'comes with the reader of MP4, loaded for sound of that kind',
  },
  '@audio/decode-eac3': {
    licence: 'LGPL-2.1-or-later',
    onlyOptional: true,
    why: 'comes with the reader of MP4, loaded for sound of that kind',
  },
};

/** What a package holds under another licence than the one it declares. */
const WITHIN: Record<string, string> = {
  'mpg123-decoder': 'declares MIT; the decoder compiled into it is libmpg123, which its makers give under LGPL-2.1',
};

/** Returns the packages that an installed Decaybook has about it, by name, without the tools of its developers. */
export function shippedPackages(lock: Record<string, LockedPackage>): Shipped[] {
  return Object.entries(lock)
    .filter(([path, { dev }]) => path !== '' && dev !== true)
    .map(([path, { version = '', license = 'none', optional = false }]) => {
      return { path, name: path.split('node_modules/').at(-1)!, version, licence: license, optional };
    })
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : a.version < b.version ? -1 : 1));
}

/** Returns what stands against shipping each of the packages: nothing where its licence is allowed, or was weighed as it stands. */
export function licenceFaults(packages: readonly Shipped[]): string[] {
  return packages
    .filter(({ licence }) => !licence.split(' AND ').every((part) => ALLOWED.includes(part)))
    .filter(({ name, licence, optional }) => {
      const weighed = WEIGHED[name];
      return weighed?.licence !== licence || (weighed.onlyOptional && !optional);
    })
    .map(({ name, version, licence, optional }) => `${name} ${version}: ${licence}${optional ? ', optional' : ''}`);
}

/** Returns the list of licences for readers, by licence, as Markdown. */
export function licenceList(packages: readonly Shipped[]): string {
  const licences = [...new Set(packages.map(({ licence }) => licence))].sort();
  const named = ({ name, version, optional }: Shipped) => `${name} ${version}${optional ? ' (optional)' : ''}`;
  const sections = licences.map((licence) => {
    const names = packages.filter((each) => each.licence === licence).map(named);
    return `## ${licence}\n\n${[...new Set(names)].map((name) => `- ${name}\n`).join('')}`;
  });
  const weighed = Object.entries(WEIGHED).map(([name, { licence, why }]) => `| ${name} | ${licence} | ${why} |`);
  const within = Object.entries(WITHIN).map(([name, what]) => `- ${name} ${what}.`);
  return `# Licences of third parties

What comes with an installed Decaybook, by the licence each package declares. Most of them are in the packed Decaybook, joined to few
files, with their licence texts in dist/LICENCES-OF-PARTS.txt; npm fetches each besides, with its own. What a report holds of them are the outlines of Source Sans 3 and Source Serif 4, which the OFL lets a document embed.

Made from package-lock.json by \`npm run licences\`; a test fails when it is stale.

## Weighed one by one

| package | licence | why it is kept |
|---|---|---|
${weighed.join('\n')}

Packages marked optional can be left out (\`npm install --omit=optional\`): no GPL is left then, and AAC and MP4 files are refused in a line.

Within a package, other than it declares:

${within.join('\n')}

${sections.join('\n')}`;
}
