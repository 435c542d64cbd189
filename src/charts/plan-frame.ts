import { type ChartBasis, frame, type Layer } from './basis.ts';
import { planAxis } from './plan-axis.ts';
import { FULL_PANEL_PX, PLAN_PX } from './theme.ts';

/** What every plan of a room shares: its axes to scale, its size on the page, and the walls. */
export function planFrame({ length_m, width_m }: { length_m: number; width_m: number }, basis: ChartBasis) {
  const { words, lengths } = basis;
  const scale_px = Math.min(PLAN_PX.width / length_m, PLAN_PX.height / width_m);
  const x = {
    field: 'x_m',
    type: 'quantitative' as const,
    // The axis runs on past the far wall, so that a metre is as long across as up.
    scale: { domain: [0, FULL_PANEL_PX / scale_px], nice: false },
    axis: {
      title: words.axis.along_length(lengths.unit),
      titleAnchor: 'start' as const,
      ...planAxis(length_m, lengths),
    },
  };
  const y = {
    field: 'y_m',
    type: 'quantitative' as const,
    scale: { domain: [0, width_m], nice: false },
    axis: { title: words.axis.along_width(lengths.unit), ...planAxis(width_m, lengths), grid: false },
  };
  const walls: Layer = {
    data: { values: [{ x_m: 0, y_m: 0, length_m, width_m }] },
    mark: { type: 'rect', style: 'walls' },
    encoding: { x, x2: { field: 'length_m' }, y, y2: { field: 'width_m' } },
  };
  const page = {
    ...frame(basis),
    autosize: { type: 'pad' as const },
    width: FULL_PANEL_PX,
    height: Math.round(width_m * scale_px),
  };
  return { x, y, walls, page };
}
