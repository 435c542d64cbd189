import { readFile } from 'node:fs/promises';
import { Eta } from 'eta';
import type { Project } from '../src/project/project.ts';
import { leastSourceDistance_m, type RecordingSheet, recordingSheet } from '../src/report/recording-sheet.ts';
import { fontFaceRules } from './fonts.ts';
import { resource } from './resources.ts';

/** Blank rows under those for the stages and positions that are known. */
const SPARE_ROWS = 4;

/** Returns the recording sheet of a project: one HTML page to print, its style within it, nothing to fetch and no script. */
export async function recordingSheetPage(project: Project): Promise<string> {
  const [template, style] = await Promise.all(
    ['sheet.eta', 'sheet.css'].map((name) => readFile(resource('recording-sheet', name), 'utf8')),
  );
  const sheet = recordingSheet(project);
  const { sound_speed_m_s, assumed_decay_s: decay_s } = sheet;
  const letters = `${template} ${sheet.title} ${sheet.rows.map((row) => `${row.stage} ${row.position}`).join(' ')}`;
  const faces = (await fontFaceRules(letters)).split('\n').filter((rule) => rule.includes('Source Sans 3'));
  return new Eta({ autoEscape: true }).renderString(template!, {
    ...sheet,
    style: `${faces.join('\n')}\n${style}`,
    spare: SPARE_ROWS,
    metres: (value_m: number) => value_m.toFixed(1),
    least: (volume_m3: number) => leastSourceDistance_m({ volume_m3, sound_speed_m_s, decay_s }),
    plan: planDrawing(sheet),
  });
}

/** A plan of the room to scale on a grid of half metres, as SVG; null where the room is no known box. */
function planDrawing({ box, positions }: RecordingSheet): string | null {
  if (box === null) return null;
  const { length_m, width_m } = box;
  if (Math.max(length_m, width_m) > 30) return null;
  const scale_mm = Math.min(76 / length_m, 64 / width_m);
  const lines: string[] = [];
  for (let x = 0.5; x < length_m; x += 0.5) lines.push(`M${x} 0V${width_m}`);
  for (let y = 0.5; y < width_m; y += 0.5) lines.push(`M0 ${y}H${length_m}`);
  const inner =
    length_m > 2 && width_m > 2
      ? `<rect x="1" y="1" width="${length_m - 2}" height="${width_m - 2}" fill="none" stroke="#1c2226" stroke-width=".02" stroke-dasharray=".12 .1"/>`
      : '';
  const marks = positions.flatMap(({ name, microphone, source }) => [
    ...(microphone ? [mark(microphone, name, '<circle r=".07" fill="#1c2226"/>')] : []),
    ...(source ? [mark(source, '', '<path d="M-.1-.1L.1 .1M-.1 .1L.1-.1" stroke="#1c2226" stroke-width=".04"/>')] : []),
  ]);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="Plan of the room on a grid" width="${(length_m * scale_mm).toFixed(1)}mm" height="${(width_m * scale_mm).toFixed(1)}mm" viewBox="-.03 -.03 ${length_m + 0.06} ${width_m + 0.06}">`,
    `<path d="${lines.join('')}" stroke="#b9c1c6" stroke-width=".01" fill="none"/>`,
    `<rect width="${length_m}" height="${width_m}" fill="none" stroke="#1c2226" stroke-width=".05"/>`,
    inner,
    ...marks,
    '</svg>',
  ].join('');
}

function mark([x_m, y_m]: [number, number, number], name: string, symbol: string): string {
  return `<g transform="translate(${x_m} ${y_m})">${symbol}<text x=".12" y=".08" font-size=".24" font-family="sans-serif">${name}</text></g>`;
}
