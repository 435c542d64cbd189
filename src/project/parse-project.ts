import { crossCheck } from './cross-check.ts';
import type { Diagnostic, Place, PlaceOf } from './diagnostic.ts';
import * as messages from './messages.ts';
import { type Project, projectSchema } from './project.ts';
import { readYaml } from './read-yaml.ts';
import { explainIssues } from './schema-issues.ts';
import { withShortWords } from './short-name.ts';
import { withNumbersAsText, withoutBlanks } from './tidy-value.ts';

/** A project file as read. */
export interface ParsedProject {
  /** null where a diagnostic of severity error says why. */
  project: Project | null;
  diagnostics: Diagnostic[];
  /** Where values stand in the file, for diagnostics made later. */
  placeOf: PlaceOf;
}

/**
 * Returns the project that a text in YAML describes, its defaults filled in, and everything that is wrong or doubtful
 * about the text, each at its line and column. Nothing is thrown, whatever the text.
 *
 * @param text - the whole project file
 * @param file - its name as it should stand in the diagnostics, such as `project.yaml`
 * @param options.outside - whether it may name files outside its folder
 */
export function parseProject(text: string, file: string, { outside = false } = {}): ParsedProject {
  const diagnostics: Diagnostic[] = [];
  const add = (severity: Diagnostic['severity'], place: Place | null, message: string): void => {
    diagnostics.push({
      file,
      line: place?.line ?? 1,
      column: place?.column ?? 1,
      severity,
      message: withShortWords(message),
    });
  };
  const yaml = readYaml(text);
  for (const { place, message } of yaml.faults) add('error', place, message);
  const { placeOf } = yaml;
  if (!yaml.readable) return { project: null, diagnostics, placeOf };

  const { value, blanks } = withoutBlanks(yaml.value);
  const parsed = withNumbersAsText(projectSchema, value, yaml.sourceAt);
  if (!parsed.success) {
    for (const { place, message } of explainIssues(parsed.error.issues, { value, blanks, placeOf })) {
      add('error', place, message);
    }
  }
  if (blanks.some((path) => path.join('.') === 'branding.colour')) {
    add('warning', placeOf(['branding', 'colour'], { key: true }), messages.colourIsComment());
  }
  if (parsed.success) {
    for (const { severity, place, message } of crossCheck(parsed.data, placeOf, { outside }))
      add(severity, place, message);
  }
  const broken = diagnostics.some(({ severity }) => severity === 'error');
  diagnostics.sort((a, b) => a.line! - b.line! || a.column! - b.column!);
  return { project: broken || !parsed.success ? null : parsed.data, diagnostics, placeOf };
}
