import { type Band, OCTAVES } from '../signal/bands.ts';
import { type Box, boxModes, boxVolume_m3, type Mode, modeBandwidth_hz, schroederFrequency_hz } from './modes.ts';

/** How an octave stands to the modes in it. */
export interface BandModes {
  centre_hz: number;
  low_hz: number;
  high_hz: number;
  modes: number;
  /** Mean distance between neighbouring modes in Hz; null with fewer than two. */
  mean_spacing_hz: number | null;
  /** modal: wholly below the Schroeder frequency; mixed: it lies inside; statistical: wholly above. */
  standing: 'modal' | 'mixed' | 'statistical';
}

export interface ModeSummary {
  schroeder_hz: number;
  /** Half-power bandwidth of a mode at the decay time given. */
  bandwidth_hz: number;
  /** All modes up to the Schroeder frequency, ascending. */
  modes: Mode[];
  counts: Record<Mode['kind'], number>;
  bands: BandModes[];
  /** The widest step between neighbouring modes that is over one bandwidth: notes there get little support. */
  widest_gap: { from_hz: number; to_hz: number } | null;
  /** Modes of different order that lie within a quarter bandwidth: notes there stand out and ring. */
  coincident: { frequency_hz: number; orders: Mode['order'][] }[];
}

/** Above the 500 Hz octave the rooms this is for are statistical. */
const BASS_OCTAVES = OCTAVES.filter(({ centre_hz }) => centre_hz <= 500);

/**
 * The bass of a box-shaped room in figures: its modes up to the Schroeder frequency, how they are spaced, and which octaves lie
 * beyond statistical treatment. `time_s` is a decay time read above that frequency, in seconds; `speed_m_s` the speed of sound.
 * Wanting no two modes on top of one another and no wide gap follows Bonello (J. Audio Eng. Soc. 29, 1981, 597), from memory;
 * the quarter and the whole bandwidth as limits are our own choice.
 */
export function summariseModes(box: Box, time_s: number, speed_m_s: number): ModeSummary {
  const schroeder_hz = schroederFrequency_hz(time_s, boxVolume_m3(box));
  const bandwidth_hz = modeBandwidth_hz(time_s);
  const modes = boxModes(box, schroeder_hz, speed_m_s);
  const counts = { axial: 0, tangential: 0, oblique: 0 };
  for (const mode of modes) counts[mode.kind]++;
  const upTo = boxModes(box, BASS_OCTAVES.at(-1)!.upper_hz, speed_m_s);
  const bands = BASS_OCTAVES.map((octave) => bandModes(octave, upTo, schroeder_hz));
  return {
    schroeder_hz,
    bandwidth_hz,
    modes,
    counts,
    bands,
    widest_gap: widestGap(modes, bandwidth_hz),
    coincident: coincident(modes, bandwidth_hz / 4),
  };
}

function bandModes(octave: Band, modes: readonly Mode[], schroeder_hz: number): BandModes {
  const { centre_hz, lower_hz: low_hz, upper_hz: high_hz } = octave;
  const inside = modes.filter(({ frequency_hz }) => frequency_hz >= low_hz && frequency_hz < high_hz);
  const first = inside[0];
  const last = inside.at(-1);
  const mean_spacing_hz = inside.length > 1 ? (last!.frequency_hz - first!.frequency_hz) / (inside.length - 1) : null;
  return {
    centre_hz,
    low_hz,
    high_hz,
    modes: inside.length,
    mean_spacing_hz,
    standing: octaveStanding(centre_hz, schroeder_hz),
  };
}

/** How the octave of a nominal midband from 63 Hz to 8 kHz stands to a Schroeder frequency. Throws for other midbands. */
export function octaveStanding(centre_hz: number, schroeder_hz: number): BandModes['standing'] {
  const octave = OCTAVES.find((band) => band.centre_hz === centre_hz);
  if (octave === undefined) throw new RangeError(`${centre_hz} Hz is no octave midband from 63 Hz to 8 kHz`);
  if (octave.upper_hz <= schroeder_hz) return 'modal';
  return octave.lower_hz >= schroeder_hz ? 'statistical' : 'mixed';
}

function widestGap(modes: readonly Mode[], least_hz: number): ModeSummary['widest_gap'] {
  let widest: ModeSummary['widest_gap'] = null;
  for (let i = 1; i < modes.length; i++) {
    const from_hz = modes[i - 1]!.frequency_hz;
    const to_hz = modes[i]!.frequency_hz;
    const step_hz = to_hz - from_hz;
    if (step_hz > least_hz && (widest === null || step_hz > widest.to_hz - widest.from_hz)) widest = { from_hz, to_hz };
  }
  return widest;
}

function coincident(modes: readonly Mode[], within_hz: number): ModeSummary['coincident'] {
  const groups: ModeSummary['coincident'] = [];
  for (let start = 0; start < modes.length; ) {
    let end = start + 1;
    while (end < modes.length && modes[end]!.frequency_hz - modes[start]!.frequency_hz <= within_hz) end++;
    if (end - start > 1) {
      const group = modes.slice(start, end);
      groups.push({ frequency_hz: group[0]!.frequency_hz, orders: group.map(({ order }) => order) });
    }
    start = end;
  }
  return groups;
}
