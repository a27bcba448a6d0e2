/** The whole road of a trial: begun, recorded, judged beside the agent, kept, reported; with kills and disturbances. */
import { expect, test, vi } from 'vitest';
import type { Reading } from '#kit';
import type { KnownStation } from '../../agent/commands/trials/known.ts';
import { parseRecording } from '../../agent/exchange/read-recording.ts';
import { dischargeScript, HOUR, loadOf, MINUTE } from '../backtest/trials/discharges.ts';
import { FAULTS, without } from '../backtest/trials/faults.ts';
import { drawHidden } from '../backtest/trials/hidden.ts';
import { live, START_AT } from '../backtest/trials/lived.ts';
import { figureOf, openTrialsStage, readingsOf, shedKnown, type TrialsStage, textOf } from '../support/trials-stage.ts';

const hidden = drawHidden(4711);
const script = dischargeScript(loadOf(hidden, 7), 7);
const lived = live(hidden, script, 7);
const readings = readingsOf(lived.samples, 0);
const known = shedKnown(
  { ratedWh: hidden.ratedWh, lowCutoffPct: hidden.lowCutoffPct, place: undefined },
  { intervalMs: hidden.own.everyMs },
);
/** Processes take their time on a busy machine. */
const WAITS = { timeout: 20_000 };
const begin = async (stage: TrialsStage) =>
  (await stage.trials.start({ station: 'shed', options: { kind: 'usable' }, conditions: {} })).trial;

test('a trial killed in the middle goes on from the record and ends as if nothing had been', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const { id, judgement } = await begin(stage);
  expect([judgement.phase, judgement.waitsFor]).toEqual(['waiting', 'readings']);
  const half = Math.floor(readings.length / 2);
  stage.take(readings.slice(0, half));
  expect((await stage.trials.one(id)).trial.judgement.phase).toBe('running');

  const again = stage.killed();
  // So long nobody read: a short gap, which is bridged and told.
  const down = readings.findIndex(({ at }) => at > readings[half]!.at + 2 * MINUTE);
  again.take(readings.slice(down).map((one, i) => ({ ...one, session: 's2', seq: i + 1 })));
  const after = await again.trials.one(id);
  expect([after.trial.judgement.phase, after.trial.judgement.endsBecause]).toEqual(['done', 'cutOff']);
  expect(after.trial.judgement.spoiledBy.map(one => [one.what, one.consequence])).toEqual([['gap', 'widens']]);
  const delivered = figureOf(after, 'deliveredWh')!;
  const truth = lived.truth.acWh * hidden.own.outGain;
  expect(delivered.low95).toBeLessThan(truth);
  expect(delivered.high95).toBeGreaterThan(truth);

  // Kept as it was told then: judged no more, whatever is recorded later.
  const kept = again.kept(id);
  expect([kept.judgedBy, JSON.parse(kept.judgementJson!)]).toEqual(['1.2.3', after.trial.judgement]);
  expect(again.record.liveTrials()).toEqual([]);
  expect((await again.killed().trials.one(id)).trial).toEqual(after.trial);

  // Its raw readings are kept as long as it is.
  const [evidence] = again.record.evidence('shed');
  expect(evidence).toMatchObject({ why: `trial ${id}`, fromMs: START_AT - 1 });
  expect(evidence!.toMs).toBeGreaterThanOrEqual(Date.parse(after.trial.judgement.endedAt!));
});

test('readings that are missing for longer than can be bridged interrupt it; what was measured before stays', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const { id } = await begin(stage);
  const third = Math.floor(readings.length / 3);
  stage.take(readings.slice(0, third));
  const later = readings.findIndex(({ at }) => at > readings[third]!.at + 20 * MINUTE);
  const again = stage.killed();
  again.take(readings.slice(later).map((one, i) => ({ ...one, session: 's2', seq: i + 1 })));
  const { judgement } = (await again.trials.one(id)).trial;
  expect([judgement.phase, judgement.endsBecause]).toEqual(['interrupted', 'gap']);
  expect(judgement.result?.under.fromPct).toBeGreaterThan(98);
});

test('time in which the record waited for a clock that had been ahead measures nothing', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const { id } = await begin(stage);
  const slowFrom = readings[Math.floor(readings.length / 3)]!.at;
  const slowMs = 40 * MINUTE;
  stage.take(
    readings.map(one => {
      const lateMs = Math.min(slowMs, Math.max(0, one.at - slowFrom)) / 2;
      const slow = one.at > slowFrom && one.at <= slowFrom + slowMs;
      return { ...one, at: Math.floor(one.at - lateMs), monoMs: one.at, clock: slow ? 'stepped' : 'synced' };
    }),
  );
  const { judgement } = (await stage.trials.one(id)).trial;
  expect([judgement.phase, judgement.endsBecause]).toEqual(['interrupted', 'gap']);
  expect(judgement.spoiledBy.map(one => [one.what, one.consequence])).toEqual([['gap', 'spoils']]);
});

test('a spoiled trial is never told as good: not in the list, beside others, in the report, nor later', async () => {
  const faults = FAULTS.filter(({ of }) => of.includes('usable')).slice(0, 2);
  expect(faults.length).toBe(2);
  for (const fault of faults) {
    const loadW = loadOf(hidden, 7);
    const from = 20 * MINUTE;
    const lasts = lived.truth.cutOffAt! - START_AT - from;
    const spoiled = fault.script === undefined ? lived : live(hidden, fault.script(script, from, lasts, loadW), 7);
    const samples = fault.told?.(spoiled.samples, from, lasts) ?? spoiled.samples;
    const stage = openTrialsStage(known, START_AT - 1);
    const { id } = await begin(stage);
    stage.take(readingsOf(samples, 0));
    stage.clock.advance(3 * HOUR);
    const { judgement } = (await stage.trials.one(id)).trial;
    expect([fault.name, judgement.phase]).toEqual([fault.name, expect.stringMatching(/^(spoiled|interrupted)$/)]);
    if (judgement.phase !== 'spoiled') continue;
    expect(judgement.result).toBeNull();
    expect((await stage.trials.list(null)).trials.map(one => one.judgement.result)).toEqual([null]);
    const beside = JSON.parse(await textOf(stage.trials.compare([id]))) as { worth: unknown[]; differences: unknown[] };
    expect([beside.worth, beside.differences]).toEqual([[], []]);
    const page = await textOf(stage.trials.report([id], { large: false, place: true, clock: true }));
    expect(page).toContain('cannot be told, the trial was spoiled');
    expect(page).not.toContain('Delivered, by its own watts');
    const years = JSON.parse(await textOf(stage.trials.years('shed'))) as { points: unknown[] };
    expect(years.points).toEqual([]);
  }
});

test('its samples as CSV read back as they were recorded, and only those of the trial', async () => {
  const stage = openTrialsStage(known, START_AT + 10 * MINUTE);
  stage.take(readings.filter(({ at }) => at < START_AT + 10 * MINUTE));
  const { id } = await begin(stage);
  stage.take(readings.filter(({ at }) => at >= START_AT + 10 * MINUTE));
  const { judgement } = (await stage.trials.one(id)).trial;
  const file = parseRecording(await textOf(await stage.trials.samples(id)), { station: 'shed', session: 'back' });
  const wanted = readings.filter(({ at }) => at >= START_AT + 10 * MINUTE && at <= Date.parse(judgement.endedAt!));
  expect(file.readings.map(({ at }) => at)).toEqual(wanted.map(({ at }) => at));
  const watts = (of: typeof wanted) =>
    of.map(({ quantities }) => [quantities.outputPowerW, quantities.stateOfChargePct]);
  const stored = [...stage.record.readings('shed', wanted[0]!.at, wanted.at(-1)!.at + 1)];
  expect(watts(file.readings as typeof wanted)).toEqual(watts(stored));
});

test('an id is of its trial alone, in every run; removed, its words are gone and it stays taken', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const start = { station: 'shed', options: { kind: 'ownDraw' as const }, conditions: { note: 'in the attic of Ida' } };
  const { trial } = await stage.trials.start(start);
  expect(trial.id).toMatch(/^shed-owndraw-260601-[2-9a-z]{6}$/);
  await expect(stage.trials.start(start)).rejects.toMatchObject({ code: 'REQUEST_INVALID' });
  await stage.trials.change(trial.id, { do: 'conditions', conditions: { note: 'in the cellar' } });
  expect((await stage.trials.one(trial.id)).trial.conditions).toEqual({ note: 'in the cellar' });
  await stage.trials.change(trial.id, { do: 'end' });
  expect((await stage.trials.one(trial.id)).trial.judgement).toMatchObject({ phase: 'interrupted', result: null });
  await stage.trials.change(trial.id, { do: 'remove' });
  expect(JSON.stringify(stage.kept(trial.id))).not.toContain('cellar');
  expect(stage.record.evidence('shed')).toEqual([]);
  await expect(stage.trials.one(trial.id)).rejects.toMatchObject({ message: `Trial ${trial.id} was removed.` });
  const next = await stage.killed().trials.start(start);
  expect(next.trial.id).not.toBe(trial.id);
});

test('a meter’s count is typed while it runs, never backwards, and the trial is held against it', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const meter = { source: null, name: 'Plug meter', limitPct: 1, stepW: 0.1, stepWh: 1 };
  const { trial } = await stage.trials.start({ station: 'shed', options: { kind: 'usable', meter }, conditions: {} });
  const { at, energyWh } = lived.meter;
  const told = [0, 0.25, 0.5, 0.75, 1].map(part => Math.round(part * (at.length - 1)));
  let from = 0;
  for (const k of told) {
    const to = readings.findIndex(one => one.at > at[k]!);
    stage.take(readings.slice(from, to < 0 ? readings.length : to));
    from = to < 0 ? readings.length : to;
    const before = await stage.trials.one(trial.id);
    if (before.trial.judgement.phase === 'done') break;
    await stage.trials.change(trial.id, { do: 'meter', energyWh: energyWh[k]! });
  }
  stage.take(readings.slice(from));
  const done = await stage.trials.one(trial.id);
  expect(done.trial.typed.length).toBeGreaterThanOrEqual(4);
  expect(done.trial.judgement.phase).toBe('done');
});

test('the count read after the end still belongs to a trial that ended well: once, and then its meter saw all of it', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const meter = { source: null, name: 'Plug meter', limitPct: 1, stepW: 0.1, stepWh: 1 };
  const { trial } = await stage.trials.start({ station: 'shed', options: { kind: 'usable', meter }, conditions: {} });
  await stage.trials.change(trial.id, { do: 'meter', energyWh: Math.round(lived.meter.energyWh[0]!) });
  stage.take(readings.slice(0, Math.floor(readings.length / 2)));
  // Nobody has read the meter since: that is not its silence.
  expect((await stage.trials.one(trial.id)).trial.judgement.spoiledBy).toEqual([]);
  stage.take(readings.slice(Math.floor(readings.length / 2)));
  const night = (await stage.trials.one(trial.id)).trial.judgement;
  expect([night.phase, night.spoiledBy.map(({ what }) => what)]).toEqual(['done', ['meterSilent']]);
  stage.clock.advance(7 * HOUR);
  // In the morning it was charged and the load came on again: that is none of it.
  const again = readings.slice(0, 1200).map((one, i) => {
    const at = one.at + 8 * HOUR;
    return { ...one, session: 's9', seq: i + 1, at, monoMs: at };
  });
  stage.take(again);
  const { judgement } = (
    await stage.trials.change(trial.id, { do: 'meter', energyWh: Math.round(lived.meter.energyWh.at(-1)!) })
  ).trial;
  expect([judgement.phase, judgement.endedAt, judgement.spoiledBy]).toEqual(['done', night.endedAt, []]);
  const delivered = judgement.result!.figures.find(({ what }) => what === 'deliveredByMeterWh')!;
  const told = lived.truth.acWh * hidden.meter.gain;
  expect(delivered.low95).toBeLessThan(told);
  expect(delivered.high95).toBeGreaterThan(told);
  expect(stage.record.liveTrials()).toEqual([]);
  await expect(stage.trials.change(trial.id, { do: 'meter', energyWh: 1e6 })).rejects.toMatchObject({
    message: `Trial ${trial.id} is over.`,
  });
});

test('a second station that is a meter tells, beside the first, how far the watts of that one are off', async () => {
  const plug: KnownStation = {
    ...known.stations[0]!,
    settings: { ...known.stations[0]!.settings, id: 'plug', name: 'Plug meter' },
    gives: ['meterPowerW', 'meterEnergyWh'],
  };
  const stage = openTrialsStage({ ...known, stations: [...known.stations, plug] }, START_AT - 1);
  const meter = { source: 'plug', name: 'Plug meter', limitPct: 1, stepW: 0.1, stepWh: 1 };
  const { trial } = await stage.trials.start({ station: 'shed', options: { kind: 'usable', meter }, conditions: {} });
  stage.take([...readings, ...meterReadings()].sort((a, b) => a.at - b.at));
  const done = await stage.trials.one(trial.id);
  expect([done.trial.judgement.phase, done.trial.judgement.spoiledBy]).toEqual(['done', []]);
  const gain = figureOf(done, 'gainErrorPct')!;
  // Against this meter, whose own error lies within the limit it was given with.
  expect(gain.value).toBeCloseTo(100 * (hidden.own.outGain / hidden.meter.gain - 1), 0);
  const truth = 100 * (hidden.own.outGain - 1);
  expect(Math.abs(gain.value - truth)).toBeLessThan(1.2);
  expect(gain.high95 - gain.low95).toBeLessThan(2.6);
  expect(figureOf(done, 'deliveredByMeterWh')!.against).toBe('meter');
  // The readings of the meter are kept with the trial, as its own are.
  expect(stage.record.evidence('plug')).toMatchObject([{ why: `trial ${trial.id}` }]);
});

/** What the external meter told, as readings of a source of its own. */
function meterReadings(): Reading[] {
  const { at, powerW, energyWh } = lived.meter;
  return Array.from(at, (instant, k) => {
    const quantities = {
      ...(Number.isNaN(powerW[k]!) ? {} : { meterPowerW: powerW[k]! }),
      ...(Number.isNaN(energyWh[k]!) ? {} : { meterEnergyWh: energyWh[k]! }),
    };
    const [first] = readings;
    const stamp = { at: Math.round(instant), monoMs: Math.round(instant), seq: k + 1 };
    return { ...first!, station: 'plug', session: 'p1', ...stamp, quantities, states: {} };
  });
}

test('pages are told when a look finds something new of a trial, and not because somebody asks', async () => {
  const stage = openTrialsStage(known, START_AT - 1);
  const { id } = await begin(stage);
  const told = () => stage.published.length;
  expect(stage.published).toEqual([{ type: 'trials' }]);
  stage.look();
  await vi.waitFor(() => expect(told()).toBe(2), WAITS);
  stage.take(readings.slice(0, 600));
  await stage.trials.one(id);
  await stage.trials.list(null);
  expect(told()).toBe(2);
  stage.look();
  await vi.waitFor(() => expect(told()).toBe(3), WAITS);
  // Nothing has been recorded since: nothing is new.
  stage.look();
  await stage.trials.one(id);
  expect(told()).toBe(3);
});

test('what samples hold does not depend on how often they were looked at', async () => {
  const [once, often] = [openTrialsStage(known, START_AT - 1), openTrialsStage(known, START_AT - 1)];
  const ids = [(await begin(once)).id, (await begin(often)).id];
  expect(ids[0]).toBe(ids[1]);
  const some = without(lived.samples, Math.floor(lived.samples.at.length * 0.8), lived.samples.at.length);
  const all = readingsOf(some, 0);
  once.take(all);
  for (let i = 0; i < 5; i++) {
    often.take(all.slice((i * all.length) / 5, ((i + 1) * all.length) / 5));
    often.clock.advance(1);
    await often.trials.one(ids[1]!);
  }
  once.clock.advance(often.clock.now() - once.clock.now());
  expect((await often.trials.one(ids[1]!)).trial).toEqual((await once.trials.one(ids[0]!)).trial);
});
