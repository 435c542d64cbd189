import type { DiagnosticSeverity, Place, PlaceOf, ValuePath } from './diagnostic.ts';
import { didYouMean } from './did-you-mean.ts';
import * as messages from './messages.ts';
import type { Project } from './project.ts';
import { roomBox_m } from './room-size.ts';

interface Finding {
  severity: DiagnosticSeverity;
  place: Place | null;
  message: string;
}

/** Returns what does not fit together in a project that is right in every single value; `outside`: it may name files elsewhere. */
export function crossCheck(project: Project, placeOf: PlaceOf, { outside }: { outside: boolean }): Finding[] {
  const paths = (one: Project, places: PlaceOf) => checkPaths(one, places, outside);
  const checks = [checkRoom, checkPositions, checkStages, checkDates, checkCompare, paths, checkCosts];
  return checks.flatMap((check) => check(project, placeOf));
}

function checkRoom({ room }: Project, placeOf: PlaceOf): Finding[] {
  const warn = (message: string, path: ValuePath = ['room']): Finding[] => [
    { severity: 'warning', place: placeOf(path, { key: true }), message },
  ];
  const box = roomBox_m(room);
  if (box !== null) {
    const volume_m3 = box.length_m * box.width_m * box.height_m;
    const agrees = room.volume === undefined || Math.abs(room.volume / volume_m3 - 1) <= 0.05;
    return agrees ? [] : warn(messages.volumeDisagrees(room.volume!, volume_m3), ['room', 'volume']);
  }
  if (room.volume !== undefined) return room.surface_area === undefined ? warn(messages.noSurface()) : [];
  const missing = (['length', 'width', 'height'] as const).filter((side) => room[side] === undefined);
  if (missing.length < 3) return warn(messages.partOfBox(missing));
  return warn(room.surface_area === undefined ? messages.noRoomSize() : messages.noVolume());
}

function checkPositions({ room, positions, stages }: Project, placeOf: PlaceOf): Finding[] {
  const findings: Finding[] = [];
  const names = Object.keys(positions);
  findings.push(...sameButForCapitals('positions', names, (i) => placeOf(['positions', names[i]!], { key: true })));
  const sides = [
    ['length', room.length],
    ['width', room.width],
    ['height', room.height],
  ] as const;
  for (const [name, position] of Object.entries(positions)) {
    for (const what of ['microphone', 'source'] as const) {
      for (const [axis, [side, size_m]] of sides.entries()) {
        const value_m = position[what]?.[axis];
        if (value_m === undefined || size_m === undefined || (value_m >= 0 && value_m <= size_m)) continue;
        const message = messages.outsideRoom(what, name, side, value_m, size_m);
        findings.push({ severity: 'warning', place: placeOf(['positions', name, what, axis]), message });
      }
    }
  }
  if (names.length === 0) return findings;
  for (const [i, stage] of stages.entries()) {
    for (const [j, { position }] of (stage.takes ?? []).entries()) {
      if (position === undefined || Object.hasOwn(positions, position)) continue;
      const message = messages.unknownPosition(position, didYouMean(position, names), names);
      findings.push({ severity: 'error', place: placeOf(['stages', i, 'takes', j, 'position']), message });
    }
  }
  return findings;
}

function checkStages({ stages }: Project, placeOf: PlaceOf): Finding[] {
  const ids = stages.map(({ id }) => id);
  const placeOfId = (i: number): Place | null => placeOf(['stages', i, 'id']);
  const twice = ids.flatMap((id, i): Finding[] => {
    const first = ids.indexOf(id);
    if (first === i) return [];
    return [
      { severity: 'error', place: placeOfId(i), message: messages.stageTwice(id, placeOfId(first)?.line ?? null) },
    ];
  });
  return [...twice, ...sameButForCapitals('stages', ids, placeOfId)];
}

function sameButForCapitals(what: string, names: string[], placeOfName: (i: number) => Place | null): Finding[] {
  return names.flatMap((name, i): Finding[] => {
    const other = names.slice(0, i).find((earlier) => earlier !== name && earlier.toLowerCase() === name.toLowerCase());
    if (other === undefined) return [];
    return [{ severity: 'error', place: placeOfName(i), message: messages.namesDifferInCapitals(what, other, name) }];
  });
}

function checkDates({ date, stages }: Project, placeOf: PlaceOf): Finding[] {
  const findings: Finding[] = [];
  let before: { id: string; date: string } | null = null;
  for (const [i, stage] of stages.entries()) {
    if (stage.date === undefined) continue;
    const warn = (message: string): void => {
      findings.push({ severity: 'warning', place: placeOf(['stages', i, 'date']), message });
    };
    if (before !== null && stage.date < before.date) {
      warn(messages.dateRunsBackwards(stage.id, stage.date, before.id, before.date));
    }
    if (stage.date > date) warn(messages.stageAfterReport(stage.id, stage.date, date));
    before = { id: stage.id, date: stage.date };
  }
  return findings;
}

function checkCompare({ compare, stages }: Project, placeOf: PlaceOf): Finding[] {
  const ids = stages.map(({ id }) => id);
  const pairs = compare.map((pair) => pair.join('\n'));
  return compare.flatMap(([from, to], i): Finding[] => {
    const unknown = [from, to].flatMap((id, j): Finding[] => {
      if (ids.includes(id)) return [];
      return [
        {
          severity: 'error',
          place: placeOf(['compare', i, j]),
          message: messages.unknownStage(id, didYouMean(id, ids), ids),
        },
      ];
    });
    const place = placeOf(['compare', i]);
    if (from === to) return [...unknown, { severity: 'error', place, message: messages.comparedWithItself(from) }];
    if (pairs.indexOf(pairs[i]!) === i) return unknown;
    return [...unknown, { severity: 'error', place, message: messages.comparedTwice(from, to) }];
  });
}

function checkPaths({ branding, stages, set_aside }: Project, placeOf: PlaceOf, allowed: boolean): Finding[] {
  const paths: [string, ValuePath][] = branding.logo === undefined ? [] : [[branding.logo, ['branding', 'logo']]];
  for (const [i, stage] of stages.entries()) {
    for (const [j, { files }] of (stage.takes ?? []).entries()) {
      const where: ValuePath = ['stages', i, 'takes', j, 'files'];
      if (typeof files === 'string') paths.push([files, where]);
      else for (const [k, file] of files.entries()) paths.push([file, [...where, k]]);
    }
  }
  for (const [i, { files }] of set_aside.entries()) {
    const where: ValuePath = ['set_aside', i, 'files'];
    if (typeof files === 'string') paths.push([files, where]);
    else for (const [j, file] of files.entries()) paths.push([file, [...where, j]]);
  }
  return paths.flatMap(([path, where]): Finding[] => {
    const place = placeOf(where);
    if (path.includes('\\')) return [{ severity: 'error', place, message: messages.backslash(path) }];
    if (path.startsWith('/') || /^[A-Za-z]:/.test(path)) {
      return [{ severity: 'error', place, message: messages.absolutePath(path) }];
    }
    return !allowed && path.split('/').includes('..')
      ? [{ severity: 'error', place, message: messages.outsideFolder(path) }]
      : [];
  });
}

function checkCosts({ currency, stages, options, budget }: Project, placeOf: PlaceOf): Finding[] {
  if (currency !== undefined) return [];
  const lists: [Project['options'], ValuePath][] = [
    ...stages.map(({ treatments }, i): [Project['options'], ValuePath] => [treatments, ['stages', i, 'treatments']]),
    [options, ['options']],
  ];
  for (const [treatments, path] of lists) {
    const i = treatments.findIndex(({ cost }) => cost !== undefined);
    if (i < 0) continue;
    const place = placeOf([...path, i, 'cost'], { key: true });
    return [{ severity: 'warning', place, message: messages.costWithoutCurrency() }];
  }
  if (budget === undefined) return [];
  return [
    { severity: 'warning', place: placeOf(['budget'], { key: true }), message: messages.budgetWithoutCurrency() },
  ];
}
