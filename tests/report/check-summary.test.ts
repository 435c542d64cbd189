import { describe, expect, test } from 'vitest';
import { FAULT_SEVERITY, type Fault, type FaultCode } from '../../src/audio/faults.ts';
import { parseProject } from '../../src/project/parse-project.ts';
import { summariseCheck } from '../../src/report/check-summary.ts';
import type { ResponseResult, TakeResult } from '../../src/report/results.ts';

const TEXT =
  'decaybook: 1\ntitle: Room\ndate: 2026-05-12\npositions: {A: , B: }\nstages: [{id: bare, title: Bare room}, {id: felt}]\n';
const project = parseProject(TEXT, 'project.yaml').project!;

const fault = (code: FaultCode): Fault => ({ code, severity: FAULT_SEVERITY[code], message: `${code}: mend it` });

function response(used: boolean, faults: FaultCode[] = []): ResponseResult {
  return { onset_s: 1, used, faults: faults.map(fault), bands: [], reflections: [] };
}

function take(
  name: string,
  rest: { faults?: FaultCode[]; used?: boolean; responses?: ResponseResult[] } = {},
): TakeResult {
  const { faults = [], used = true, responses = [response(true), response(true)] } = rest;
  return {
    file: `recordings/bare/A/${name}.wav`,
    sha256: name,
    stage: 'bare',
    position: 'A',
    kind: 'impulse',
    rate_hz: 48000,
    seconds: 8,
    channel: 1,
    used,
    faults: faults.map(fault),
    responses,
  };
}

/** State and count of good responses of a single take. */
function state(one: TakeResult): string {
  const summary = summariseCheck(project, [one]).stages[0]!.positions[0]!.takes[0]!;
  return `${summary.state} ${summary.good}`;
}

describe('summariseCheck', () => {
  test('counts good responses over the takes of a position against those wanted', () => {
    const { stages } = summariseCheck(project, [
      take('1'),
      take('2', { responses: [response(true), response(false)] }),
    ]);
    expect(stages[0]?.positions.map(({ position, good, wanted }) => [position, good, wanted])).toEqual([
      ['A', 3, 4],
      ['B', 0, 4],
    ]);
    expect(stages[0]?.complete).toBe(0);
    expect(summariseCheck(project, [take('1'), take('2')]).stages[0]?.complete).toBe(1);
  });

  test('keeps a stage without takes, with no positions', () => {
    expect(summariseCheck(project, [take('1')]).stages[1]).toEqual({
      id: 'felt',
      title: 'felt',
      positions: [],
      complete: 0,
    });
  });

  test('a take is good with nothing but notes, a caution with a warning or a lost response', () => {
    expect(state(take('1', { faults: ['channel-chosen', 'dc-offset'] }))).toBe('good 2');
    expect(state(take('1', { faults: ['mains-hum'] }))).toBe('caution 2');
    expect(state(take('1', { responses: [response(true), response(false, ['events-too-close'])] }))).toBe('caution 1');
  });

  test('a take is to be recorded again when it is refused, or when none of its responses is used', () => {
    const refused = take('1', { used: false, faults: ['clipped'], responses: [] });
    expect(state(refused)).toBe('record-again 0');
    expect(state(take('1', { used: false, responses: [response(false, ['events-too-close'])] }))).toBe(
      'record-again 0',
    );
    expect(summariseCheck(project, [refused, take('2')]).record_again).toEqual([refused.file]);
  });

  test('a second copy is set aside, a passage kept: neither is recorded again', () => {
    expect(state(take('1', { used: false, faults: ['duplicate'], responses: [] }))).toBe('set-aside 0');
    expect(state(take('1', { faults: ['kind-guessed'], responses: [] }))).toBe('kept 0');
  });

  test('tells the same fault of several responses once', () => {
    const twice = take('1', { responses: [response(true, ['low-range']), response(true, ['low-range'])] });
    expect(summariseCheck(project, [twice]).stages[0]?.positions[0]?.takes[0]?.faults).toEqual([fault('low-range')]);
  });
});
