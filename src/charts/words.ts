import type { ModeKind } from '../room/modes.ts';
import type { BandQuantity } from '../room/reading.ts';
import type { Verdict } from '../statistics/finding.ts';

/** How much of a decay a take's level range allows to be read. */
export type RangeClass = 't30' | 't20' | 'edt' | 'none';

/** Every word a chart shows or its description says. A second language is a second record of this type. */
export interface ChartWords {
  /** BCP 47 language tag: numbers and lists are written its way. */
  locale: string;
  /** Marks of that language for numbers on axes. */
  marks: { decimal: string; thousands: string };
  /** Quantity as an axis names it, without the unit. */
  quantity: Record<BandQuantity, string>;
  unit: {
    seconds: string;
    seconds_short: string;
    milliseconds: string;
    decibels: string;
    percent: string;
    metres: string;
  };
  verdict: Record<Verdict, string>;
  range_class: Record<RangeClass, string>;
  mode: Record<ModeKind, string>;
  axis: {
    band: string;
    value: (quantity: string, unit: string) => string;
    change: (quantity: string, unit: string) => string;
    after_direct: string;
    time: string;
    along_length: (unit: string) => string;
    along_width: (unit: string) => string;
    mode_frequency: string;
  };
  legend: {
    target: string;
    not_measurable: string;
    between: string;
    flagged: string;
    unnoticeable: (limit: string) => string;
    strong_reflection: string;
    level_step: (from: string, to: string) => string;
    microphone: string;
    source: string;
    schroeder: string;
  };
  note: {
    decay_curves: string;
    energy_time: string;
    energy_map: string;
    cost: string;
    value: string;
    path: (length: string) => string;
    modes: (count: string) => string;
    plus_minus: (value: string, reach: string) => string;
  };
  title: {
    cover: (what: { quantity: string; from: string; to: string }) => string;
    values: (quantity: string) => string;
    change: (what: { quantity: string; from: string; to: string }) => string;
    decay_curves: (what: { from: string; to: string; position: string }) => string;
    early: (what: { from: string; to: string; position: string }) => string;
    energy_map: (what: { from: string; to: string; position: string }) => string;
    progress: (quantity: string) => string;
    quality: string;
    room_plan: string;
    modes: string;
  };
  alt: {
    values: (stage: string, values: string) => string;
    value_at: (value: string, band: string) => string;
    refused: (stage: string, bands: string) => string;
    flagged: (stage: string, bands: string) => string;
    between: (count: number) => string;
    target: string;
    change_at: (what: { band: string; value: string; low: string; high: string }) => string;
    interval: string;
    curves: (what: { stage: string; bands: string }) => string;
    curve_end: (what: { band: string; time: string; level: string }) => string;
    reflections: (stage: string, list: string) => string;
    reflection: (what: { delay: string; level: string }) => string;
    no_reflections: (stage: string) => string;
    strong: string;
    energy_map: string;
    thirty_db: (stage: string, times: string) => string;
    plan: (what: { length: string; width: string; places: string }) => string;
    place: (what: { what: string; name: string; x: string; y: string }) => string;
    modes: (what: { schroeder: string; axial: string; tangential: string; oblique: string; lowest: string }) => string;
    modal_bands: (bands: string) => string;
    cost: (amount: string) => string;
    range: (what: { count: number; name: string }) => string;
    range_take: (take: string, bands: string) => string;
  };
  /** What a mark says of itself when it is pointed at. */
  tip: {
    value: (what: { name: string; at: string; value: string }) => string;
    plain: (what: { name: string; value: string }) => string;
    curve: (what: { name: string; at: string; fall: string; time: string }) => string;
    energy: (what: { name: string; at: string; level: string; from: string; to: string }) => string;
  };
  /** The chart of absorption gained. */
  gain: {
    title: string;
    note: string;
    note_promised: string;
    unit: string;
    at: (what: { band: string; gain: string; promise: string | null }) => string;
  };
  /** The plan of early reflections. */
  paths: {
    title: string;
    spot: string;
    none: string;
    told: (what: { number: string; position: string; delay: string; x: string; y: string; z: string }) => string;
  };
  /** Why a chart is not there. */
  skipped: {
    no_values: string;
    no_change: string;
    no_traces: string;
    one_stage: string;
    no_box: string;
    no_coordinates: string;
    no_modes: string;
  };
}

export const ENGLISH: ChartWords = {
  locale: 'en',
  marks: { decimal: '.', thousands: ',' },
  quantity: {
    edt_s: 'Early decay time EDT',
    t20_s: 'Decay time T20',
    t30_s: 'Decay time T30',
    tfull_s: 'Full-range decay time',
    c50_db: 'Clarity C50',
    c80_db: 'Clarity C80',
    d50: 'Definition D50',
    ts_s: 'Centre time',
    late_level_db: 'Level of the late sound',
  },
  unit: { seconds: 'seconds', seconds_short: 's', milliseconds: 'ms', decibels: 'dB', percent: '%', metres: 'm' },
  verdict: {
    reduced: 'reduced',
    increased: 'increased',
    'no-detectable-change': 'no detectable change',
    'not-measurable': 'not measurable',
  },
  range_class: {
    t30: '45 dB or more: T20 and T30',
    t20: '35 to 45 dB: T20',
    edt: '20 to 35 dB: early and full-range decay time',
    none: 'under 20 dB: nothing',
  },
  mode: { axial: 'Axial', tangential: 'Tangential', oblique: 'Oblique' },
  axis: {
    band: 'Octave band, Hz',
    value: (quantity, unit) => `${quantity}, ${unit}`,
    change: (quantity, unit) => `Change of ${lowerFirst(quantity)}, ${unit}`,
    after_direct: 'Time after the direct sound, ms',
    time: 'Time, seconds',
    along_length: (unit) => `Along the length, ${unit}`,
    along_width: (unit) => `Along the width, ${unit}`,
    mode_frequency: 'Frequency, Hz',
  },
  legend: {
    target: 'Target range',
    not_measurable: 'not measurable',
    between: 'Stages between',
    flagged: 'to be read with care',
    unnoticeable: (limit) => `Too small to notice (±${limit})`,
    level_step: (from, to) => `${from} to ${to} dB`,
    microphone: 'Microphone',
    source: 'Source',
    schroeder: 'Schroeder frequency',
    strong_reflection: 'Less than 10 dB below the direct sound within 15 ms',
  },
  note: {
    decay_curves: 'Level in dB against time. Thick: the part that T20 is read from, −5 to −25 dB. Dotted: the noise.',
    energy_time:
      'Level against the direct sound, dB. Marked: the strongest reflections, some with the length of their detour.',
    energy_map: 'Energy still to come, against the whole, by frequency in Hz. White: lost in the noise.',
    cost: 'Cost',
    value: 'Value',
    modes: (count) => `${count} modes`,
    path: (length) => `+${length}`,
    plus_minus: (value, reach) => `${value} ± ${reach}`,
  },
  title: {
    cover: ({ quantity, from, to }) => `${quantity} by octave band: ${from} and ${to}`,
    values: (quantity) => `${quantity} by octave band and stage`,
    change: ({ quantity, from, to }) => `Change of ${lowerFirst(quantity)} by octave band, ${from} to ${to}`,
    decay_curves: ({ from, to, position }) => `Decay curves by octave band at position ${position}, ${from} and ${to}`,
    early: ({ from, to, position }) => `The first 50 ms at position ${position}, ${from} and ${to}`,
    energy_map: ({ from, to, position }) => `Decay over time and frequency at position ${position}, ${from} and ${to}`,
    progress: (quantity) => `${quantity} at mid frequencies over the stages`,
    quality: 'Level range over the noise, by take and octave band',
    room_plan: 'Plan of the room with the places of microphone and source',
    modes: 'Modes of the room up to its Schroeder frequency',
  },
  alt: {
    values: (stage, values) => `${stage}: ${values}.`,
    value_at: (value, band) => `${value} at ${band}`,
    flagged: (stage, bands) => `${stage}: to be read with care at ${bands}.`,
    refused: (stage, bands) => `${stage}: not measurable at ${bands}.`,
    between: (count) => `The ${count} stages between are drawn as pale lines without marks.`,
    target: 'The target range is shaded.',
    change_at: ({ band, value, low, high }) => `${band}: ${value} (${low} to ${high})`,
    interval: 'Bars are 95 % intervals.',
    curves: ({ stage, bands }) => `${stage}: ${bands}.`,
    curve_end: ({ band, time, level }) => `at ${band} down to ${level} after ${time}`,
    reflections: (stage, list) => `${stage}: strongest reflections at ${list}.`,
    reflection: ({ delay, level }) => `${delay} (${level})`,
    no_reflections: (stage) => `${stage}: no reflection within 20 dB of the direct sound.`,
    strong:
      'Shaded: less than 10 dB below the direct sound within 15 ms, stronger than EBU Tech 3276 allows in a listening room.',
    energy_map: 'Darker means more energy left, in steps of 10 dB.',
    thirty_db: (stage, times) => `${stage}: 30 dB down after ${times}.`,
    plan: ({ length, width, places }) => `The room is ${length} long and ${width} wide. ${places}.`,
    place: ({ what, name, x, y }) => `${what} ${name} at ${x} by ${y}`,
    modes: ({ schroeder, axial, tangential, oblique, lowest }) =>
      `Up to the Schroeder frequency of ${schroeder} there are ${axial} axial, ${tangential} tangential and ${oblique} oblique modes; the lowest lies at ${lowest}.`,
    modal_bands: (bands) => `Octaves wholly below that frequency: ${bands}.`,
    cost: (amount) => `cost ${amount}`,
    range: ({ count, name }) => `${name}: ${count}`,
    range_take: (take, bands) => `${take}: less than 35 dB at ${bands}.`,
  },
  tip: {
    value: ({ name, at, value }) => `${name}, ${at}: ${value}`,
    plain: ({ name, value }) => `${name}: ${value}`,
    curve: ({ name, at, fall, time }) => `${name}, ${at}: ${fall} down after ${time}`,
    energy: ({ name, at, level, from, to }) => `${name}, ${at}: ${level} from ${from} to ${to}`,
  },
  gain: {
    title: 'Absorption gained by octave band, treatment by treatment',
    note: 'Absorption gained, m². Hollow: no gain shown.',
    note_promised: 'Absorption gained, m². Bars: what the data of the product promise. Hollow: no gain shown.',
    unit: 'm²',
    at: ({ band, gain, promise }) => `${band}: ${gain}${promise === null ? '' : `, promised ${promise}`}`,
  },
  paths: {
    title: 'Early reflections on the plan of the room',
    spot: 'Where it likely turns',
    none: 'no early reflection asks for something to be done',
    told: ({ number, position, delay, x, y, z }) =>
      `Spot ${number}, position ${position}: the reflection after ${delay} ms likely turns at ${x}, ${y}, ${z} up.`,
  },
  skipped: {
    no_values: 'no value could be measured',
    no_change: 'no change could be measured',
    no_traces: 'no response is usable on both sides of the comparison',
    one_stage: 'there is only one stage',
    no_box: 'the room is not given as length, width and height, or no decay time is known',
    no_coordinates: 'no position has coordinates within the room',
    no_modes: 'the room has no mode below its Schroeder frequency',
  },
};

/** First letter small, unless the word is an abbreviation. */
function lowerFirst(text: string): string {
  return /^\p{Lu}\p{Lu}/u.test(text) ? text : text.charAt(0).toLowerCase() + text.slice(1);
}
