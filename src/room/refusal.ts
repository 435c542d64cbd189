/** Every sentence that says why a reading is refused or to be read with care. Short, with the figure found and the figure needed. */

const db = (level_db: number) => `${Math.floor(level_db)} dB`;

export const refusal = {
  silent: () => 'no sound in this band',
  noDecay: () => 'no decay stands out of the noise in this band',
  overRate: (rate_hz: number) => `the band reaches above what a rate of ${rate_hz} Hz can hold`,
  range: (options: { range_db: number; needed_db: number }) =>
    `range ${db(Math.max(0, options.range_db))}, ${options.needed_db} needed`,
  tooShort: (bt: number) => `B·T ${bt.toFixed(1)}, 4 needed: the decay is shorter than the filter can follow`,
  notVouched: () => 'neither T20 nor a fitted decay vouches for this band',
  fit: () => 'the decay does not follow one slope with steady noise',
  twoSlopes: () => 'the decay has two slopes',
  fewCells: () => 'too little decay in this band to fit',
  cutShort: () => 'the decay is cut off before it has fallen far enough',
} as const;

export const flag = {
  shortDecay: (bt: number) => `B·T ${bt.toFixed(1)}, under 8: close to what the filter can follow`,
  noisy: () => 'noise alone may move one reading of it by more than the just noticeable 5 %: repeats average that out',
  nonlinear: (permille: number) => `non-linearity ${permille.toFixed(0)} per mille, over 10: the decay is not straight`,
  curved: (percent: number) => `T30 is ${percent.toFixed(0)} % over T20, more than 10: two slopes`,
  cutAbove: (depth_db: number) => `of the first ${depth_db} dB: a slower decay takes over below`,
  twoSlopesAlike: () => 'the decay has two slopes; over its first 20 to 30 dB they read as this one',
  misfit: () => 'the whole decay does not follow one slope: a second sound, a gate or a moving gain may be in it',
  unsteady: () => 'the fitted decay scatters more than a diffuse one would',
} as const;
