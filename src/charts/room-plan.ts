import type { Project } from '../project/project.ts';
import { roomBox_m } from '../project/room-size.ts';
import { formatList } from '../report/format.ts';
import type { ChartBasis } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { tidyLabel } from './label.ts';
import { planFrame } from './plan-frame.ts';
import { PAPER, PLAN_PX } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';

interface Place {
  x_m: number;
  y_m: number;
  /** Names of the positions that stand there. */
  name: string;
  what: string;
}

/**
 * Plan of the room seen from above, to scale: walls, microphones and sources where the project gives their coordinates, which
 * count from the corner at the lower left, along the length and along the width.
 *
 * @returns the chart, or the reason why it cannot be drawn: no box, or no coordinates
 */
export function roomPlan(project: Pick<Project, 'room' | 'positions'>, basis: ChartBasis): Chart | SkippedChart {
  const id = 'room-plan';
  const { words } = basis;
  const box = roomBox_m(project.room);
  if (!box) return { id, reason: words.skipped.no_box };
  const { length_m, width_m } = box;
  const places = [
    ...placesOf(project.positions, 'microphone', words.legend.microphone),
    ...placesOf(project.positions, 'source', words.legend.source),
  ].filter(({ x_m, y_m }) => x_m >= 0 && x_m <= length_m && y_m >= 0 && y_m <= width_m);
  if (places.length === 0) return { id, reason: words.skipped.no_coordinates };
  const domain = [words.legend.microphone, words.legend.source].filter((what) =>
    places.some((place) => place.what === what),
  );
  const looks = domain.map((what) => (what === words.legend.microphone ? 'microphone' : 'source'));
  const channel = <T>(range: T[]) => ({ field: 'what', type: 'nominal' as const, scale: { domain, range } });
  const { x, y, walls, page } = planFrame(box, basis);
  return {
    id,
    title: words.title.room_plan,
    alt: planAlt({ length_m, width_m, places }, basis),
    spec: {
      ...page,
      layer: [
        walls,
        {
          data: { values: places.map((place) => ({ ...place, tip: placeText(place, basis) })) },
          mark: { type: 'point', style: 'strong', ...TIPPED },
          encoding: {
            ...TIP_CHANNEL,
            x,
            y,
            shape: channel(looks.map((look) => PLAN_PX[look as 'microphone' | 'source'])),
            fill: channel(looks.map((look) => (look === 'microphone' ? basis.accent : PAPER))),
            stroke: channel(looks.map(() => basis.accent)),
          },
        },
        {
          data: { values: places },
          mark: { type: 'text', style: 'path' },
          encoding: { x, y, text: { field: 'name' } },
        },
      ],
    },
  };
}

/** The places of microphones or sources, each once, with the names of all positions that share it. */
function placesOf(positions: Project['positions'], part: 'microphone' | 'source', what: string): Place[] {
  const places = new Map<string, Place>();
  for (const [id, position] of Object.entries(positions)) {
    const point = position[part];
    if (!point) continue;
    const [x_m, y_m] = point;
    const key = `${x_m} ${y_m}`;
    const known = places.get(key);
    const name = tidyLabel(known ? `${known.name}, ${id}` : id, 24);
    places.set(key, { x_m, y_m, name, what });
  }
  return [...places.values()];
}

function planAlt(of: { length_m: number; width_m: number; places: readonly Place[] }, basis: ChartBasis): string {
  const { words, lengths } = basis;
  const told = of.places.map((place) => placeText(place, basis));
  return words.alt.plan({
    length: lengths.whole(of.length_m, 2),
    width: lengths.whole(of.width_m, 2),
    places: formatList(told, words.locale),
  });
}

function placeText({ what, name, x_m, y_m }: Place, { words, lengths }: ChartBasis): string {
  return words.alt.place({ what, name, x: lengths.whole(x_m, 2), y: lengths.whole(y_m, 2) });
}
