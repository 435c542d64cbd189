import fc from 'fast-check';

/** Drawn inputs are the same each run, so that a red run means a change. DRAWN_SEED=n draws others. */
fc.configureGlobal({ seed: Number(process.env.DRAWN_SEED ?? 20261125) });
