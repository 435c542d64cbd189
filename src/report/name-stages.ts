import type { Results } from './results.ts';

/** The results with the titles of stages in the place of their ids, wherever a sentence of the analysis holds one in quotation marks. */
export function namingStages(results: Results, quoted: (title: string) => string): Results {
  const names = new Map(results.project.stages.map(({ id, title }) => [id, quoted(title ?? id)]));
  const name = (sentence: string) => sentence.replace(/"([^"]*)"/g, (whole, id: string) => names.get(id) ?? whole);
  const giving = <Giving extends { reasons: string[] }>(one: Giving): Giving =>
    one.reasons.length === 0 ? one : { ...one, reasons: one.reasons.map(name) };
  const changes = results.changes.map((change) => ({
    ...change,
    warnings: change.warnings.map(name),
    headline: giving(change.headline),
    values: change.values.map(giving),
  }));
  const remarks = results.remarks?.map((remark) => ({ ...remark, message: name(remark.message) }));
  return remarks === undefined ? { ...results, changes } : { ...results, changes, remarks };
}
