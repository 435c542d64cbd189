import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { PhotonImage } from '@silvia-odwyer/photon-node';
import { stringify } from 'yaml';
import { smallTake, writeSmallTake } from '../pipeline/small-project.ts';
import { type Draw, mutated } from './draw.ts';

/** Texts that would be markup, script or a fetch wherever they are not taken for text. `ADDRESS` stands for a server that listens. */
export const PAYLOADS = [
  '<script>window.ran = 1</script>',
  '"><img src="ADDRESS/a" onerror="window.ran=2">',
  "'><svg onload='window.ran=3'>",
  '</title><script src="ADDRESS/b"></script>',
  '</style><style>@import url(ADDRESS/c);</style>',
  '"}body{background:url(ADDRESS/d)}',
  '<iframe srcdoc="<script>parent.ran=4</script>"></iframe>',
  '<meta http-equiv="refresh" content="0;url=ADDRESS/e">',
  '<base href="ADDRESS/f"><link rel="stylesheet" href="ADDRESS/g">',
  '<a href="javascript:window.ran=5" autofocus onfocus="window.ran=6">x</a>',
  '</svg><foreignObject><body onload="window.ran=7"></foreignObject>',
  ']]></desc><script>window.ran=8</script>',
  '<!-- <object data="ADDRESS/h"> --><embed src="ADDRESS/i">',
  '&lt;script&gt;window.ran=9&lt;/script&gt; &#60;b&#62;',
  '<%= process.exit(7) %> #{window.ran=10} {{constructor.constructor("window.ran=11")()}}',
  '{name} <ref>nowhere</ref> {n, plural, other {#}}',
  '=HYPERLINK("ADDRESS/j","x")',
  '\u202e<b>turned</b>\u2066\u0085\u2028',
  '<math><mtext></mtext><mglyph><style><img src=ADDRESS/k onerror=window.ran=12></style>',
] as const;

/** Logos that would run, fetch or unfold. */
export const LOGOS: Readonly<Record<string, string>> = {
  script:
    '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9" onload="parent.ran=20"><script>parent.ran=21</script></svg>',
  foreign:
    '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><foreignObject width="9" height="9"><body xmlns="http://www.w3.org/1999/xhtml"><script>parent.ran=22</script><img src="ADDRESS/l"/></body></foreignObject></svg>',
  fetch:
    '<?xml-stylesheet href="ADDRESS/m"?><svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="9" height="9"><image xlink:href="ADDRESS/n"/><use href="ADDRESS/o#x"/><style>@import url(ADDRESS/p); rect{fill:url(ADDRESS/q)}</style><rect width="9" height="9"/></svg>',
  entities: `<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa">${[...'bcdefghi'].map((name, i) => `<!ENTITY ${name} "${`&${'abcdefgh'[i]};`.repeat(10)}">`).join('')}<!ENTITY x SYSTEM "file:///etc/passwd">]><svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><text>&i;&x;</text></svg>`,
  broken: '<svg xmlns="http://www.w3.org/2000/svg"><g',
};

/** Writes a small project whose every text, name of a file and picture is hostile. */
export function writeHostileProject(folder: string, draw: Draw, address: string): void {
  const text = () => draw.pick(PAYLOADS).replaceAll('ADDRESS', address);
  const fileName = () =>
    text()
      .replaceAll(/[/\\*?{}\p{Cc}]/gu, '')
      .slice(0, 60);
  writeSmallTake(folder, 'recordings/bare/A/01.wav', 1);
  writeSmallTake(folder, 'recordings/treated/A/01.wav', 2);
  const names = [fileName(), `${fileName()} 2`].map((name) => `${name}.wav`);
  for (const [i, name] of names.entries()) {
    writeFileSync(join(folder, 'recordings', i === 0 ? 'bare' : 'treated', 'A', name), smallTake(11 + i));
  }
  writeFileSync(join(folder, 'recordings/bare/A/broken.wav'), 'RIFF no sound');
  const photo = new PhotonImage(new Uint8Array(16 * 12 * 4).fill(200), 16, 12).get_bytes_jpeg(80);
  const photoNames = [`${fileName()}.jpg`, 'altered.jpg', 'markup.png'];
  for (const [i, name] of photoNames.entries()) {
    writeFileSync(
      join(folder, name),
      i === 0 ? photo : i === 1 ? mutated(draw, photo) : '<svg onload="window.ran=30"></svg>',
    );
  }
  const logo = draw.pick(Object.keys(LOGOS));
  writeFileSync(join(folder, 'logo.svg'), LOGOS[logo]!.replaceAll('ADDRESS', address));
  const treatment = () => ({ name: text(), area: 6.4, thickness: 50, cost: 200, absorption: { 500: 0.5, 1000: 0.7 } });
  const project = {
    ...{ decaybook: 1, title: text(), reference: text(), client: text(), prepared_by: text(), date: '2026-05-04' },
    ...{
      audience: draw.pick(['client', 'self']),
      language: draw.pick(['en', 'de']),
      paper: draw.pick(['a4', 'letter']),
    },
    room: { length: 3.4, width: 2.6, height: 2.4, surfaces: [{ name: text(), area: 20, material: text() }] },
    microphone: { description: text(), pattern: text() },
    source: { description: text(), kind: 'clap' },
    recorder: { description: text() },
    positions: { A: { note: text(), microphone: [1, 1, 1], source: [2, 2, 1] } },
    stages: [
      { id: 'bare', title: text(), note: text(), photos: photoNames.map((file) => ({ file, caption: text() })) },
      { id: 'treated', title: text(), note: text(), treatments: [treatment()] },
    ],
    ...{ currency: 'EUR', options: [treatment(), { name: text(), area: 3 }], budget: 900, free_area: 9 },
    set_aside: [{ files: `recordings/bare/A/${names[0]}`, reason: text() }],
    branding: { logo: 'logo.svg', colour: '#2b4a66', address: `${text()}\n${text()}` },
  };
  writeFileSync(join(folder, 'project.yaml'), stringify(project));
  writeFileSync(
    join(folder, 'materials.yaml'),
    stringify({ materials: [{ id: 'own', name: text(), use: 'lining', absorption: { 500: 0.5 }, source: text() }] }),
  );
}

/**
 * Run in a page: everything in it that could run, fetch or lead away, as text; none in a clean page.
 *
 * @param scripts how many scripts there may be
 */
export const suspicious = (scripts: number): string => `(() => {
  const found = [];
  const seen = document.querySelectorAll('script').length;
  if (seen !== ${scripts}) found.push(seen + ' scripts');
  for (const element of document.querySelectorAll('*')) {
    const name = element.localName;
    if (['iframe', 'object', 'embed', 'link', 'base', 'form', 'foreignObject', 'image', 'math', 'frame', 'animate', 'set'].includes(name)) found.push('<' + name + '>');
    if (name === 'meta' && !['charset', 'name'].some((one) => element.hasAttribute(one)) && element.httpEquiv !== 'Content-Security-Policy') found.push('meta');
    for (const { name: attribute, value } of element.attributes) {
      if (/^on/i.test(attribute)) found.push(name + ' ' + attribute);
      if (['src', 'href', 'xlink:href', 'action', 'data', 'poster', 'srcset', 'formaction'].includes(attribute) && !/^(#|data:(image|audio)\\/)/.test(value)) found.push(name + ' ' + attribute + '=' + value.slice(0, 60));
      if (attribute === 'style' && /url\\(/.test(value)) found.push(name + ' style');
    }
  }
  if (window.ran !== undefined) found.push('ran ' + window.ran);
  return found;
})()`;
