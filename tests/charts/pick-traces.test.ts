import { expect, it } from 'vitest';
import { pickTraces } from '../../src/charts/pick-traces.ts';
import { inventedInput } from './fixture.ts';

const input = () => {
  const { results, traces } = structuredClone(inventedInput());
  return { takes: results.takes, traces, from: 's1', to: 's3' };
};
const range_db = (it: ReturnType<typeof input>, picked: { trace: { file: string; onset_s: number } }) =>
  it.takes
    .find((take) => take.file === picked.trace.file)!
    .responses.find((response) => response.onset_s === picked.trace.onset_s)!
    .bands.find((band) => band.centre_hz === 1000)!.range_db!;

it('pickTraces: takes the response with the widest range at 1 kHz, at the first position', () => {
  const it = input();
  const pair = pickTraces(it)!;
  const rivals = it.takes
    .filter((take) => take.stage === 's1' && take.position === 'A')
    .flatMap((take) =>
      take.responses.map((response) => response.bands.find((band) => band.centre_hz === 1000)!.range_db!),
    );
  expect(pair.position).toBe('A');
  expect(rivals).toHaveLength(4);
  expect(range_db(it, pair.from)).toBe(Math.max(...rivals));
});

it('pickTraces: passes over what was set aside', () => {
  const it = input();
  const first = pickTraces(it)!.from.trace;
  const take = it.takes.find((one) => one.file === first.file)!;
  take.responses.find((response) => response.onset_s === first.onset_s)!.used = false;
  const second = pickTraces(it)!.from.trace;
  expect([second.file, second.onset_s]).not.toEqual([first.file, first.onset_s]);
  for (const one of it.takes) if (one.stage === 's1' && one.position === 'A') one.used = false;
  expect(pickTraces(it)!.position).toBe('B');
});

it('pickTraces: is null where the two share no position', () => {
  const it = input();
  const traces = it.traces.filter((trace) => (trace.stage === 's1') === (trace.position === 'A'));
  expect(pickTraces({ ...it, traces })).toBeNull();
});

it('pickTraces: finds the trace of a response whose onset the results have rounded', () => {
  const it = input();
  for (const trace of it.traces) trace.onset_s += 4e-7;
  expect(pickTraces(it)).not.toBeNull();
});
