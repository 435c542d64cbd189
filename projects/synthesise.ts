import { existsSync } from 'node:fs';
import { mkdir, rename, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { encodeWav } from '../src/audio/encode-wav.ts';
import { SCENARIOS } from './synthesis/scenarios.ts';
import { stageResponse, synthesiseTake } from './synthesis/take.ts';

/**
 * Writes the recordings of the example projects that are not there yet: 24-bit WAV, the same bytes on every machine.
 *
 * @param projectsFolder the folder that holds the example projects
 * @param only the scenarios wanted; left out, all of them
 * @returns paths of the files written, relative to that folder
 */
export async function synthesiseRecordings(projectsFolder: string, only?: readonly string[]): Promise<string[]> {
  const written: string[] = [];
  for (const scenario of SCENARIOS) {
    if (only && !only.includes(scenario.folder)) continue;
    for (const stage of scenario.stages) {
      for (const [position, takes] of Object.entries(stage.takes)) {
        const missing = takes
          .map((take) => ({ take, path: `${scenario.folder}/recordings/${stage.id}/${position}/${take.file}` }))
          .filter(({ path }) => !existsSync(join(projectsFolder, path)));
        if (missing.length === 0) continue;
        const response = stageResponse(scenario, stage, position);
        for (const { take, path } of missing) {
          const { samples } = synthesiseTake(scenario, { response, take, seed: path });
          const file = join(projectsFolder, path);
          await mkdir(dirname(file), { recursive: true });
          await writeFile(`${file}.part`, encodeWav(samples, scenario.rate_hz, 24));
          await rename(`${file}.part`, file);
          written.push(path);
        }
      }
    }
  }
  return written;
}
