// The analysis of a project folder alone, every take in every band, with nothing kept: prints its seconds of the clock and of the
// processor, and what it gave, counted. Nothing may be kept in the folder.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { analyseProject } from '../../build/pipeline/analyse-project.js';
import { openPool } from '../../build/pipeline/pool.js';
import { readProject } from '../../build/pipeline/read.js';
import { setForShortRun } from '../../build/pipeline/short-run.js';
import { analysisCounts } from './analysis-counts.js';

setForShortRun();
const [folder, jobs] = process.argv.slice(2);
if (existsSync(join(folder, '.decaybook'))) throw new Error(`something is kept in ${folder}`);
const begun = performance.now();
const used = process.cpuUsage();
const pool = openPool(jobs === undefined ? {} : { jobs: Number(jobs) });
const analysed = await analyseProject(await readProject(folder), { pool });
const clock_s = (performance.now() - begun) / 1000;
const { user, system } = process.cpuUsage(used);
await pool.close();
process.stdout.write(JSON.stringify({ clock_s, cpu_s: (user + system) / 1e6, ...analysisCounts(analysed) }));
