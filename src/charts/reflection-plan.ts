import type { Placement } from '../advice/advice.ts';
import { type LoudSpot, numberedSpots } from '../advice/loud-spots.ts';
import type { Project } from '../project/project.ts';
import { roomBox_m } from '../project/room-size.ts';
import { formatNumber } from '../report/format.ts';
import type { ChartBasis, Layer } from './basis.ts';
import type { Chart, SkippedChart } from './chart.ts';
import { tidyLabel } from './label.ts';
import { planFrame } from './plan-frame.ts';
import { PAPER, PLAN_PX } from './theme.ts';
import { TIP_CHANNEL, TIPPED } from './tip.ts';

interface Path {
  number: number;
  position: string;
  microphone: readonly number[];
  source: readonly number[];
  spot: LoudSpot;
}

/**
 * Plan of the room seen from above, to scale, with the way of each early reflection that asks for something to be done: from the source by
 * the face it likely turned on to the microphone. Spots on the walls carry their number.
 *
 * @returns the chart, or the reason why it cannot be drawn: no box, or no such reflection
 */
export function reflectionPlan(
  project: Pick<Project, 'room' | 'positions'>,
  placement: readonly Placement[],
  basis: ChartBasis,
): Chart | SkippedChart {
  const id = 'reflection-plan';
  const { words } = basis;
  const box = roomBox_m(project.room);
  if (!box) return { id, reason: words.skipped.no_box };
  const paths = wallPaths(project, placement);
  if (paths.length === 0) return { id, reason: words.paths.none };
  const { x, y, walls, page } = planFrame(box, basis);
  return {
    id,
    title: words.paths.title,
    alt: paths.map((path) => pathText(path, basis)).join(' '),
    spec: {
      ...page,
      layer: [walls, wayLayer(paths, { x, y }, basis), ...placeLayers(paths, { x, y }, basis)],
    },
  };
}

/** Ways by floor and ceiling turn over the straight line between source and microphone, where a plan cannot show them. */
function wallPaths(project: Pick<Project, 'positions'>, placement: readonly Placement[]): Path[] {
  return numberedSpots(placement).flatMap((entry): Path[] => {
    const { microphone, source } = project.positions[entry.position] ?? {};
    const wall = entry.spot.likely.face !== 'floor' && entry.spot.likely.face !== 'ceiling';
    return wall && microphone && source ? [{ ...entry, microphone, source }] : [];
  });
}

function wayLayer(paths: readonly Path[], { x, y }: { x: object; y: object }, basis: ChartBasis): Layer {
  const values = paths.flatMap(({ number, source, microphone, spot }) => {
    const way = String(number);
    const points = [source, spot.likely.point_m, microphone];
    return points.map((point, order) => ({ way, order, x_m: rounded(point[0]!), y_m: rounded(point[1]!) }));
  });
  return {
    data: { values },
    mark: { type: 'line', style: 'limit' },
    encoding: {
      x: { ...x, field: 'x_m', type: 'quantitative' },
      y: { ...y, field: 'y_m', type: 'quantitative' },
      order: { field: 'order', type: 'quantitative' },
      detail: { field: 'way', type: 'nominal' },
      stroke: { value: basis.accent },
    },
  };
}

function placeLayers(paths: readonly Path[], { x, y }: { x: object; y: object }, basis: ChartBasis): Layer[] {
  const { words } = basis;
  const domain = [words.legend.microphone, words.legend.source, words.paths.spot];
  const place = (what: string, name: string, point: readonly number[]) => ({
    what,
    name,
    x_m: rounded(point[0]!),
    y_m: rounded(point[1]!),
  });
  const stands = paths.flatMap(({ position, microphone, source }) => [
    place(domain[0]!, tidyLabel(position, 24), microphone),
    place(domain[1]!, '', source),
  ]);
  const spots = paths.map((path) => place(domain[2]!, spotName(path, paths), path.spot.likely.point_m));
  const values = [...new Map([...stands, ...spots].map((row) => [`${row.what} ${row.x_m} ${row.y_m}`, row])).values()];
  const channel = <T>(range: T[]) => ({ field: 'what', type: 'nominal' as const, scale: { domain, range } });
  const encoding = {
    x: { ...x, field: 'x_m', type: 'quantitative' as const },
    y: { ...y, field: 'y_m', type: 'quantitative' as const },
  };
  const names: Layer = {
    data: { values: values.filter(({ name }) => name !== '') },
    mark: { type: 'text', style: 'path' },
    encoding: { ...encoding, text: { field: 'name', type: 'nominal' } },
  };
  const points: Layer = {
    data: { values: values.map((row) => ({ ...row, tip: placeText(row, basis) })) },
    mark: { type: 'point', style: 'strong', ...TIPPED },
    encoding: {
      ...encoding,
      ...TIP_CHANNEL,
      shape: channel<string>([PLAN_PX.microphone, PLAN_PX.source, 'diamond']),
      fill: channel([basis.accent, PAPER, PAPER]),
      stroke: channel([basis.accent, basis.accent, basis.accent]),
    },
  };
  return [points, names];
}

/** Spots of one wall nearer than this share a label, in metres. */
const TOGETHER_M = 0.25;

/** The numbers of a spot and of those close by, at the last of them; empty at the others. */
function spotName(path: Path, paths: readonly Path[]): string {
  const [x, y] = path.spot.likely.point_m;
  const near = paths.filter(({ spot }) => {
    const [otherX, otherY] = spot.likely.point_m;
    return spot.likely.face === path.spot.likely.face && Math.hypot(otherX - x, otherY - y) < TOGETHER_M;
  });
  return near.at(-1) === path ? near.map(({ number }) => number).join(', ') : '';
}

function placeText(
  { what, name, x_m, y_m }: { what: string; name: string; x_m: number; y_m: number },
  { words, lengths }: ChartBasis,
): string {
  // A source has no name of its own here.
  return words.alt.place({ what, name, x: lengths.whole(x_m, 1), y: lengths.whole(y_m, 1) }).replace('  ', ' ');
}

function pathText({ number, position, spot }: Path, { words, lengths }: ChartBasis): string {
  const metres = (value: number) => lengths.whole(value, 1);
  const [x, y, z] = spot.likely.point_m;
  return words.paths.told({
    number: String(number),
    position,
    delay: formatNumber(spot.matched.measured.delay_s * 1000, 1, words.locale),
    x: metres(x),
    y: metres(y),
    z: metres(z),
  });
}

/** Rounded to what the drawing can show, which keeps the specs short. */
function rounded(value: number): number {
  return Math.round(value * 100) / 100;
}
