// What an analysis gave, counted as tests/reference/scipy-speed.py counts, so that the two can be held against each other.

/** Names there, and the fields of a band's reading. */
const FIELDS = {
  edt: 'edt_s',
  t20: 't20_s',
  t30: 't30_s',
  tfull: 'tfull_s',
  'tfull error': 'tfull_standard_error_s',
  c50: 'c50_db',
  c80: 'c80_db',
  d50: 'd50',
  ts: 'ts_s',
  late: 'late_level_db',
  curvature: 'curvature_percent',
  'non-linearity': 'nonlinearity_permille',
};

/** @param {{ takes: import('../../src/report/results.ts').TakeResult[], traces: { speech: { sti: number | null } }[] }} analysed */
export function analysisCounts({ takes, traces }) {
  const responses = takes.flatMap((take) => take.responses).filter(({ used }) => used);
  const bands = responses.flatMap((response) => response.bands);
  const medians = {};
  let values = 0;
  for (const [name, field] of Object.entries(FIELDS)) {
    const given = bands.map((band) => band[field]).filter((value) => value !== null);
    values += given.length;
    if (given.length > 0) medians[name] = { count: given.length, median: median(given) };
  }
  return {
    responses: responses.length,
    values,
    faults: Object.fromEntries(
      takes.map(({ file, faults }) => [file, codesOf(faults)]).filter(([, codes]) => codes.length > 0),
    ),
    second_slopes: bands.filter(({ two_slopes }) => two_slopes !== null).length,
    reflections: responses.reduce((sum, { reflections }) => sum + reflections.length, 0),
    speech_indices: traces.filter(({ speech }) => speech.sti !== null).length,
    medians,
  };
}

/** Faults that are told from the sound, in alphabetical order. */
function codesOf(faults) {
  return [...new Set(faults.map(({ code }) => code))].filter((code) => code !== 'kind-guessed').sort();
}

function median(values) {
  const sorted = values.sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}
