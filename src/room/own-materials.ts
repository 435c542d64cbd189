import { csvParseRows } from 'd3-dsv';
import type * as z from 'zod';
import type { Diagnostic, Place } from '../project/diagnostic.ts';
import * as messages from '../project/messages.ts';
import { OCTAVES } from '../project/project.ts';
import { readYaml } from '../project/read-yaml.ts';
import { type Material, materialSchema } from './materials.ts';

/** The rows of a project's own table of materials, and what is wrong with the others: each at its line. */
export interface OwnMaterials {
  materials: Material[];
  diagnostics: Diagnostic[];
}

/** The columns of a table in CSV; those of the octaves are named by their midbands, such as 500. */
const TEXT_COLUMNS = ['id', 'name', 'use', 'mounting', 'source'] as const;
const NUMBER_COLUMNS = ['thickness', 'air_gap'] as const;

/**
 * Reads a project's own materials.yaml: rows under `materials:`, with the keys of {@link Material}. A row that is wrong is left out and
 * named with line and column; nothing is thrown, whatever the text.
 */
export function readMaterialsYaml(text: string, file: string): OwnMaterials {
  const yaml = readYaml(text);
  const faults = yaml.faults.map(({ place, message }) => fault(file, place, message));
  if (!yaml.readable) return { materials: [], diagnostics: faults };
  const listed = (yaml.value as { materials?: unknown } | null)?.materials;
  if (!Array.isArray(listed)) {
    return { materials: [], diagnostics: [...faults, fault(file, { line: 1, column: 1 }, messages.noMaterialRows())] };
  }
  const rows = listed.map((data, index) => ({ data, place: yaml.placeOf(['materials', index]) }));
  return readRows(rows, file, faults);
}

/**
 * Reads a project's own materials.csv: a heading line with id, name, use, thickness, air_gap, mounting, fibrous, the octaves 63 to 8000,
 * and source; a blank cell is left out. Faults as in {@link readMaterialsYaml}.
 */
export function readMaterialsCsv(text: string, file: string): OwnMaterials {
  const [head = [], ...body] = csvParseRows(text.replace(/^\ufeff/, ''));
  const columns = head.map((title) => title.trim());
  if (!columns.includes('id') || !columns.includes('name')) {
    return { materials: [], diagnostics: [fault(file, { line: 1, column: 1 }, messages.noMaterialHeading())] };
  }
  const rows = body.map((cells, index) => ({ data: rowOf(columns, cells), place: { line: index + 2, column: 1 } }));
  return readRows(
    rows.filter(({ data }) => Object.keys(data).length > 1),
    file,
    [],
  );
}

function rowOf(columns: readonly string[], cells: readonly string[]): Record<string, unknown> {
  const absorption: Record<string, number> = {};
  const row: Record<string, unknown> = {};
  columns.forEach((column, index) => {
    const cell = (cells[index] ?? '').trim();
    if (cell === '') return;
    if ((OCTAVES as readonly string[]).includes(column)) absorption[column] = Number(cell);
    else if ((NUMBER_COLUMNS as readonly string[]).includes(column)) row[column] = Number(cell);
    else if ((TEXT_COLUMNS as readonly string[]).includes(column)) row[column] = cell;
    else if (column === 'fibrous') row.fibrous = /^(yes|true|1)$/i.test(cell);
    else row[column] = cell;
  });
  return { ...row, absorption };
}

function readRows(
  rows: readonly { data: unknown; place: Place | null }[],
  file: string,
  faults: Diagnostic[],
): OwnMaterials {
  const seen = new Set<string>();
  const materials: Material[] = [];
  const diagnostics = [...faults];
  for (const { data, place } of rows) {
    const parsed = materialSchema.safeParse(data);
    if (!parsed.success) {
      diagnostics.push(fault(file, place, messages.badMaterial(nameOf(data), reasonOf(parsed.error.issues[0]!))));
    } else if (seen.has(parsed.data.id)) {
      diagnostics.push(fault(file, place, messages.materialTwice(parsed.data.id)));
    } else {
      seen.add(parsed.data.id);
      materials.push(parsed.data);
    }
  }
  return { materials, diagnostics };
}

function reasonOf(issue: z.core.$ZodIssue): string {
  if (issue.code === 'unrecognized_keys') return `"${issue.keys[0]}" is not known there`;
  const where = issue.path.join(' ') || 'the row';
  return `"${where}" is missing or out of range`;
}

function nameOf(data: unknown): string {
  const { id, name } = (data ?? {}) as { id?: unknown; name?: unknown };
  return String(id ?? name ?? 'without a name');
}

function fault(file: string, place: Place | null, message: string): Diagnostic {
  return { file, line: place?.line ?? 1, column: place?.column ?? 1, severity: 'error', message };
}
