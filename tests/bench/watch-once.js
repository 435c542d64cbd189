// A report made again in a process that made it before, as `watch` does when a take comes: prints the seconds of the second report.
//   node watch-once.js FOLDER TAKE [--no-pdf]
import { renameSync } from 'node:fs';
import { join } from 'node:path';
import { openPool } from '../../build/pipeline/pool.js';
import { openPrinter } from '../../build/pipeline/printer.js';
import { SILENT } from '../../build/pipeline/progress.js';
import { reportFolder } from '../../build/pipeline/report.js';
import { setForShortRun } from '../../build/pipeline/short-run.js';

setForShortRun();
const [folder, take, ...flags] = process.argv.slice(2);
const [pool, printer] = [openPool({}), openPrinter()];
const options = { pdf: !flags.includes('--no-pdf'), progress: SILENT, pool, printer };

async function reported() {
  const begun = performance.now();
  const used = process.cpuUsage();
  const { status, missing } = await reportFolder(folder, options);
  if (status !== 0 || missing.length > 0) throw new Error(`the report ended with ${status}: ${missing.join('; ')}`);
  const { user, system } = process.cpuUsage(used);
  return { clock_s: (performance.now() - begun) / 1000, cpu_s: (user + system) / 1e6 };
}

renameSync(join(folder, take), join(folder, 'aside'));
await reported();
renameSync(join(folder, 'aside'), join(folder, take));
const again = await reported();
const peak_mb = process.resourceUsage().maxRSS / 1024;
await Promise.all([pool.close(), printer.close()]);
process.stdout.write(JSON.stringify({ ...again, peak_mb }));
