import type { Results } from './results.ts';
import { retold } from './retell.ts';

/** The results with the titles of stages in the place of their ids, wherever a sentence of the analysis holds one in quotation marks. */
export function namingStages(results: Results, quoted: (title: string) => string): Results {
  const names = new Map(results.project.stages.map(({ id, title }) => [id, quoted(title ?? id)]));
  const name = (sentence: string) => sentence.replace(/"([^"]*)"/g, (whole, id: string) => names.get(id) ?? whole);
  const { changes, remarks } = results;
  const named = { ...results, changes: retold(changes, name) };
  return remarks === undefined ? named : { ...named, remarks: retold(remarks, name) };
}
