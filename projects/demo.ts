import { join } from 'node:path';
import { report } from '../pipeline/report-command.ts';
import { packageFolder } from '../pipeline/resources.ts';
import { SCENARIOS } from './synthesis/scenarios.ts';
import { synthesiseRecordings } from './synthesise.ts';

/** Makes the recordings of the example projects where they are missing, then their reports. */
const projects = join(packageFolder(), 'projects');
const written = await synthesiseRecordings(projects);
if (written.length > 0) process.stdout.write(`Synthesised ${written.length} recordings of the example projects.\n`);
process.exitCode = await report(
  SCENARIOS.map(({ folder }) => join(projects, folder)),
  { json: false, pdf: true },
);
