/** The three edges of a box-shaped room, in metres. */
export interface Box {
  length_m: number;
  width_m: number;
  height_m: number;
}

export type ModeKind = 'axial' | 'tangential' | 'oblique';

export interface Mode {
  frequency_hz: number;
  /** Half waves along length, width and height. */
  order: readonly [number, number, number];
  kind: ModeKind;
}

const KINDS = ['axial', 'tangential', 'oblique'] as const;

/** Volume in cubic metres. */
export function boxVolume_m3(box: Box): number {
  return box.length_m * box.width_m * box.height_m;
}

/** Area of the six faces in square metres. */
export function boxSurface_m2(box: Box): number {
  const { length_m: l, width_m: w, height_m: h } = box;
  return 2 * (l * w + l * h + w * h);
}

/**
 * Every mode of a hard-walled box up to and including `to_hz`, ascending; of equal ones those with fewer half waves along
 * the length come first. f = c/2 sqrt((nx/Lx)^2 + (ny/Ly)^2 + (nz/Lz)^2) (Rayleigh, The Theory of Sound, 1878).
 * `speed_m_s` is the speed of sound.
 */
export function boxModes(box: Box, to_hz: number, speed_m_s: number): Mode[] {
  const modes: Mode[] = [];
  const most = (edge_m: number) => Math.floor((2 * edge_m * to_hz) / speed_m_s + 1e-9);
  for (let nx = 0; nx <= most(box.length_m); nx++) {
    for (let ny = 0; ny <= most(box.width_m); ny++) {
      for (let nz = 0; nz <= most(box.height_m); nz++) {
        const directions = Number(nx > 0) + Number(ny > 0) + Number(nz > 0);
        if (directions === 0) continue;
        const frequency_hz = (speed_m_s / 2) * Math.hypot(nx / box.length_m, ny / box.width_m, nz / box.height_m);
        if (frequency_hz > to_hz * (1 + 1e-12)) continue;
        modes.push({ frequency_hz, order: [nx, ny, nz], kind: KINDS[directions - 1]! });
      }
    }
  }
  const key = (mode: Mode) => Math.round(mode.frequency_hz * 1e6);
  return modes.sort((a, b) => key(a) - key(b) || a.order[0] - b.order[0] || a.order[1] - b.order[1]);
}

/**
 * How many modes a box has below `frequency_hz`, by the smoothed formula
 * 4 pi V f^3 / (3 c^3) + pi S f^2 / (4 c^2) + L f / (8 c), L the sum of all twelve edges (Maa; Bolt, both J. Acoust. Soc. Am. 10, 1939).
 */
export function modeCountEstimate(box: Box, frequency_hz: number, speed_m_s: number): number {
  const waves_per_m = frequency_hz / speed_m_s;
  const edges_m = 4 * (box.length_m + box.width_m + box.height_m);
  return (
    (4 / 3) * Math.PI * boxVolume_m3(box) * waves_per_m ** 3 +
    (Math.PI / 4) * boxSurface_m2(box) * waves_per_m ** 2 +
    (edges_m * waves_per_m) / 8
  );
}

/**
 * The frequency in Hz above which three modes and more lie in one half-power bandwidth, and a decay may be treated
 * statistically: 2000 sqrt(T/V) (Schroeder, J. Acoust. Soc. Am. 99, 1996, 3240).
 */
export function schroederFrequency_hz(time_s: number, volume_m3: number): number {
  return 2000 * Math.sqrt(time_s / volume_m3);
}

/** Half-power bandwidth in Hz of a mode that decays by 60 dB in `time_s`: 2.2 / T (Schroeder 1996, as above). */
export function modeBandwidth_hz(time_s: number): number {
  return 2.2 / time_s;
}
