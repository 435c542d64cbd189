import { stringify } from 'yaml';
import { knownKeys } from '../../src/project/schema-facts.ts';
import { type Draw, mutated } from './draw.ts';

/** A project file that says something under every key there is. */
export const FULL = `decaybook: 1
title: "Choir practice room"
reference: MR-07
client: Millrace School
prepared_by: 'Room survey team'
date: 2026-05-12
issue: 2
purpose: music-practice
audience: client
language: en
units: metres
paper: a4
room: { length: 5.2, width: 3.6, height: 2.6, temperature: 21, humidity: 45, surfaces: [{ name: walls, area: 45.8, material: gypsum-on-studs }] }
microphone: { description: omni on a stand, pattern: omnidirectional }
source: &source { description: hand clap, kind: clap }
recorder: { description: portable, fixed_gain: true, processing_off: true }
positions:
  A: { microphone: [2.1, 1.2, 1.4], source: [3.9, 2.4, 1.5], note: desk }
  B: { microphone: [1.1, 1.2, 1.4] }
stages:
  - id: bare
    title: Bare room
    date: 2026-04-02
    takes:
      - { files: recordings/bare/A/*.wav, position: A, kind: impulse, channel: 1 }
      - files: [a.wav, "b?.wav"]
        position: B
    source: *source
  - id: curtains
    note: |
      door open
      a hand wide
    treatments:
      - { name: wool curtain, area: 6.4, thickness: 12, air_gap: 100, cost: 210, absorption: { 500: 0.55, 1000: 0.7 } }
    photos: [{ file: photos/a.jpg, caption: The window wall }]
currency: EUR
options: [{ name: panel, area: 4, thickness: 50, cost: 180 }]
budget: 1500
free_area: 12
target: { time: 0.3, tolerance: 0.05 }
compare: [[bare, curtains]]
set_aside: [{ files: recordings/bare/A/03.wav, reason: the door stood open }]
branding: { logo: logo.svg, colour: "#2b4a66", address: 12 Ford Lane }
`;

const KEYS = [
  ...knownKeys([]),
  ...knownKeys(['room']),
  ...knownKeys(['stages', 0]),
  ...knownKeys(['stages', 0, 'takes', 0]),
  ...[
    '__proto__',
    'constructor',
    'prototype',
    'toString',
    'hasOwnProperty',
    'length',
    'titel',
    'stage',
    '',
    ' ',
    '0',
    '-1',
    '<<',
    '?',
    '~',
    'null',
    'true',
    '1e999',
    'Title',
    'TITLE',
    'tit\u0000le',
    '\u202etitle',
    'x'.repeat(2000),
    '2026-05-12',
    '[object Object]',
  ],
];

const WORDS = [
  '.nan',
  '.inf',
  '-.inf',
  '1e999',
  '-1',
  '0',
  '-0',
  '0x1F',
  '0o17',
  '1_000',
  '007',
  '1e-400',
  '99999999999999999999',
  '~',
  'null',
  'true',
  'yes',
  'NO',
  '2026-02-30',
  '2026-13-01',
  '0000-00-00',
  '9999-12-31',
  '2026-05-12T10:00:00Z',
  '-2026-05-12',
  '12/05/2026',
  '!!binary aGk=',
  '!!js/function "x"',
  '!!python/object:os.system x',
  '../../etc/passwd',
  '/etc/passwd',
  '~/x.wav',
  'C:\\x.wav',
  'a\\b.wav',
  '"a\\0b.wav"',
  'http://example.com/a.wav',
  'file:///etc/passwd',
  '//host/share/a.wav',
  '**/**/**/*',
  '{a,b}{c,d}{e,f}{g,h}{i,j}{k,l}{m,n}',
  '[[[',
  '*',
  '*x',
  '&x',
  '"\\u202e"',
  '"\\ud800"',
  '"\\x07"',
  "''",
  '" "',
  '{}',
  '[]',
  '[[]]',
  '[~]',
  '{a: 1}',
  '[1, 2]',
  '<script>alert(1)</script>',
  '|',
  '>',
  '- a',
  'a: b',
  '#',
  '%YAML 9.9',
  '@',
  '`',
  '\ufeff',
  '\u0085',
  '\u2028',
];

/** Texts that are whole but strange, each made to hit one weakness. */
const MADE: readonly ((draw: Draw) => string)[] = [
  (draw) => bomb(2 + draw.int(30), 2 + draw.int(12)),
  (draw) => `${FULL}${draw.pick(KEYS)}: ${draw.pick(WORDS)}\n`.repeat(1 + draw.int(3)),
  (draw) => '- '.repeat(draw.int(400)) + draw.pick(WORDS),
  (draw) => draw.pick(['[', '{', '{a: ', '- ', '? ', '  ', '!', '&a ']).repeat(draw.int(3000)),
  (draw) =>
    `a: ${draw.pick(['"', "'", '|\n ', '>\n '])}${draw.pick(['x', '\\', "''", ' ', '\n', '\t']).repeat(draw.int(30_000))}`,
  (draw) => FULL.replaceAll('  ', '\t').slice(0, draw.int(FULL.length)),
  (draw) => `${draw.pick(['\ufeff', '\u0000', '---\n', '%YAML 1.1\n---\n', '...\n', '\r\n', '\u2028'])}${FULL}`,
  (draw) => FULL.replaceAll('\n', draw.pick(['\r\n', '\r', '\n\n', '\u0085', '\u2028'])),
  (draw) => `${FULL}---\n${FULL.slice(0, draw.int(FULL.length))}`,
  (draw) => `&a ${draw.pick(['*a', '[*a]', '{x: *a}', '{<<: *a}'])}`,
  (draw) => `x: &a [*a]\n${FULL}`.slice(0, 20 + draw.int(FULL.length)),
  (draw) => stringify(Object.fromEntries(draw.many(draw.int(40), () => [draw.pick(KEYS), anyValue(draw, 4)]))),
  (draw) =>
    draw
      .many(
        draw.int(30),
        () => `${' '.repeat(draw.int(6))}${draw.pick(['', '- ', '? ', ': '])}${draw.pick(KEYS)}: ${draw.pick(WORDS)}`,
      )
      .join('\n'),
];

/** Anchors that multiply: each line holds the one before several times. */
function bomb(depth: number, width: number): string {
  const lines = ['a0: &a0 [x]'];
  for (let i = 1; i <= depth; i++)
    lines.push(
      `a${i}: &a${i} [${Array(width)
        .fill(`*a${i - 1}`)
        .join(', ')}]`,
    );
  return `${lines.join('\n')}\ntitle: *a${depth}\n`;
}

function anyValue(draw: Draw, depth: number): unknown {
  switch (draw.int(depth > 0 ? 7 : 5)) {
    case 0:
      return draw.pick(WORDS);
    case 1:
      return draw.pick([0, -1, 1e308, Number.NaN, Number.POSITIVE_INFINITY, 5e-324, 2 ** 53, -0.5]);
    case 2:
      return draw.pick([null, true, false]);
    case 3:
      return 'x'.repeat(draw.int(300));
    case 4:
      return draw.pick(WORDS).repeat(draw.int(20));
    case 5:
      return draw.many(draw.int(4), () => anyValue(draw, depth - 1));
    default:
      return Object.fromEntries(draw.many(draw.int(4), () => [draw.pick(KEYS), anyValue(draw, depth - 1)]));
  }
}

/** One value of the full file replaced by a strange one, or one key by another. */
function replaced(draw: Draw): string {
  let text = FULL;
  for (let left = 1 + draw.int(3); left > 0; left--) {
    const parts = [...text.matchAll(draw.chance(0.3) ? /\b[a-z_]+(?=:)/g : /(?<=: |\[|, )[^\s,{}[\]][^,{}[\]\n]*/g)];
    if (parts.length === 0) return text;
    const part = draw.pick(parts);
    const put = draw.chance(0.3) ? draw.pick(KEYS) : draw.pick(WORDS);
    text = text.slice(0, part.index) + put + text.slice(part.index + part[0].length);
  }
  return text;
}

/** The kinds of broken or hostile project file, as bytes. */
export const HOSTILE_TEXTS: Readonly<Record<string, (draw: Draw) => Uint8Array>> = {
  'project file with strange values': (draw) => bytesOf(replaced(draw)),
  'project file altered': (draw) => mutated(draw, bytesOf(FULL)),
  'project file made to hurt': (draw) => bytesOf(draw.pick(MADE)(draw)),
  'project file in another encoding': (draw) => {
    const text = draw.chance(0.5) ? FULL : replaced(draw);
    const encoded = Buffer.from(text, draw.pick(['utf16le', 'latin1', 'base64', 'hex'] as const));
    return new Uint8Array(draw.chance(0.3) ? Buffer.concat([Buffer.from([0xff, 0xfe]), encoded]) : encoded);
  },
};

function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
