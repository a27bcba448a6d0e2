import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import type { DecodedReading, Quantities, QuantityName } from '#kit';
import { WireStatus } from '#messages';
import { partOf } from '../../agent/stations/part-gives.ts';
import { manifest, settle, stationStage } from '../support/station-stage.ts';

const said = (quantities: Quantities, change: Partial<DecodedReading> = {}): DecodedReading => ({
  quantities,
  states: {},
  quality: 'good',
  reasons: {},
  ...change,
});

/** The honey shed's three sources: a meter in the panels' lead, a plug meter, and the percent read off the screen. */
async function shed(intervals: { sun?: number | null; plug?: number | null } = {}) {
  const stage = stationStage();
  const part = (name: string, gives: QuantityName[], intervalMs: number | null) => ({
    name,
    gives,
    intervalMs,
    plan: stage.plan(`shed ${name}`) as never,
  });
  const { sun = 1000, plug = 1000 } = intervals;
  const typed = { kind: 'typed', id: 'shed screen' } as const;
  stage.supervisor.set([
    {
      kind: 'composite',
      id: 'shed',
      key: 'shed',
      parts: [
        part('panel meter', ['solarPowerW'], sun),
        part('plug meter', ['outputPowerW'], plug),
        { name: 'screen', gives: ['stateOfChargePct'], intervalMs: null, plan: typed },
      ],
    },
  ]);
  await settle();
  for (const [i, link] of stage.links.entries()) {
    link.events.opened();
    const intervalMs = i === 0 ? sun : plug;
    stage.channels[i]?.events.ready(manifest(intervalMs === null ? { onChangeOnly: true } : { intervalMs }));
  }
  const [sunSays, plugSays] = stage.channels.map(channel => (watts: number) => {
    channel.events.reading(said({ meterPowerW: watts }));
  });
  const last = () => stage.readings.at(-1);
  return { ...stage, sunSays: sunSays!, plugSays: plugSays!, last };
}

describe('a station made of parts', () => {
  it('is one stream of readings on one clock: each part says only what it is there for', async () => {
    const { sunSays, plugSays, supervisor, last, readings, advance, status } = await shed();
    sunSays(180);
    await advance(300);
    plugSays(60);
    supervisor.typed('shed', said({ stateOfChargePct: 71 }));
    await advance(700);
    sunSays(182);
    expect(last()).toMatchObject({
      station: 'shed',
      session: 'session 1',
      quantities: {
        solarPowerW: 180,
        inputPowerW: 180,
        outputPowerW: 60,
        stateOfChargePct: 71,
      },
      quality: 'good',
      reasons: {},
    });
    expect(readings.map(({ seq }) => seq)).toEqual([1, 2]);
    expect(status()).toMatchObject({
      phase: 'live',
      staleAfterMs: 5000,
      link: '/dev/shed panel meter, /dev/shed plug meter',
    });
    expect(status()?.parts?.map(({ missing }) => missing)).toEqual([false, false, false]);
  });

  it('tells no more often than its quickest part, and no later than an interval', async () => {
    const { sunSays, plugSays, readings, advance } = await shed();
    for (let s = 0; s < 60; s++) {
      sunSays(100 + s);
      await advance(400);
      plugSays(50);
      await advance(600);
    }
    expect(readings.length).toBeGreaterThan(58);
    expect(readings.length).toBeLessThan(63);
    const ages = readings.slice(2).map(({ quantities, monoMs }) => monoMs / 1000 - (quantities.solarPowerW! - 100));
    expect(Math.max(...ages)).toBeLessThanOrEqual(1);
  });

  it('loses a part: what it gives is missing with a reason at once, the rest goes on, and the status names it', async () => {
    const { sunSays, plugSays, links, last, advance, status } = await shed();
    sunSays(180);
    plugSays(60);
    await advance(1000);
    links[0]!.events.closed('unplugged', 'the cable is gone');
    expect(last()).toMatchObject({
      quantities: { solarPowerW: null, inputPowerW: null, outputPowerW: 60 },
      reasons: { solarPowerW: 'notAvailable', inputPowerW: 'notAvailable' },
      quality: 'good',
    });
    expect(status()).toMatchObject({ phase: 'live', attempt: 0 });
    expect(status()?.parts).toMatchObject([
      { name: 'panel meter', missing: true, phase: 'retrying', failure: 'unplugged', gives: ['solarPowerW'] },
      { name: 'plug meter', missing: false, phase: 'live' },
      { name: 'screen', missing: true, phase: 'typed', ageMs: null },
    ]);
    for (let s = 0; s < 30; s++) {
      plugSays(61);
      await advance(1000);
      expect(last()?.quantities).toMatchObject({ solarPowerW: null, outputPowerW: 61 });
    }
    links.at(-1)!.events.opened();
  });

  it('does not let the last value of a silent part stand for more than two and a half of its intervals', async () => {
    const { sunSays, plugSays, last, advance, status } = await shed();
    sunSays(180);
    for (let s = 0; s < 5; s++) {
      plugSays(60);
      await advance(500);
      plugSays(60);
      await advance(500);
      expect(last()?.quantities.solarPowerW).toBe(s < 2 ? 180 : null);
    }
    expect(status()?.parts?.[0]).toMatchObject({ missing: true, phase: 'stale', ageMs: 5000 });
  });

  it('waits for a slow part as long as that part is slow', async () => {
    const { sunSays, plugSays, last, advance } = await shed({ sun: 10_000 });
    sunSays(180);
    for (let s = 0; s < 24; s++) {
      plugSays(60);
      await advance(1000);
      expect(last()?.quantities.solarPowerW).toBe(180);
    }
    plugSays(60);
    await advance(1000);
    plugSays(60);
    expect(last()?.quantities.solarPowerW).toBeNull();
  });

  it('holds what a part said that speaks only on change while its link is there', async () => {
    const { sunSays, plugSays, links, last, advance } = await shed({ sun: null });
    sunSays(180);
    for (let s = 0; s < 600; s++) {
      plugSays(60);
      await advance(1000);
    }
    expect(last()?.quantities.solarPowerW).toBe(180);
    links[0]!.events.closed('unplugged', '');
    expect(last()?.quantities.solarPowerW).toBeNull();
  });

  it('takes a typed percent for a quarter of an hour', async () => {
    const { plugSays, supervisor, last, advance, status } = await shed();
    plugSays(60);
    expect(supervisor.typed('shed', said({ stateOfChargePct: 71 }))).toBe(true);
    expect(supervisor.typed('shed', said({ batteryVoltageV: 12 }))).toBe(false);
    for (let s = 0; s < 899; s++) {
      await advance(1000);
      plugSays(60);
    }
    expect(last()?.quantities.stateOfChargePct).toBe(71);
    await advance(1000);
    plugSays(60);
    await advance(1000);
    plugSays(60);
    expect(last()).toMatchObject({
      quantities: { stateOfChargePct: null },
      reasons: { stateOfChargePct: 'notAvailable' },
    });
    expect(status()?.parts?.[2]).toMatchObject({ missing: true, phase: 'typed' });
  });

  it('marks what still stands from before: it is there, and was not said anew', async () => {
    const { plugSays, supervisor, last, advance } = await shed();
    supervisor.typed('shed', said({ stateOfChargePct: 71 }));
    expect(last()).toMatchObject({ quantities: { stateOfChargePct: 71 }, quality: 'good' });
    expect(last()?.reasons).not.toHaveProperty('stateOfChargePct');
    await advance(1000);
    plugSays(60);
    expect(last()).toMatchObject({
      quantities: { stateOfChargePct: 71, outputPowerW: 60 },
      reasons: { stateOfChargePct: 'notGiven' },
    });
    expect(last()?.reasons).not.toHaveProperty('outputPowerW');
  });

  it('is as badly off as its links once none of them is read', async () => {
    const { sunSays, plugSays, links, status, readings } = await shed();
    sunSays(180);
    plugSays(60);
    for (const link of links.slice(0, 2)) link.events.closed('unplugged', 'the cable is gone');
    expect(status()).toMatchObject({ phase: 'retrying', failure: 'unplugged', nextTryInMs: 750 });
    const count = readings.length;
    await settle();
    expect(readings.length).toBe(count);
  });

  it('is let go and taken up again with all its parts', async () => {
    const { sunSays, plugSays, supervisor, status, links, advance } = await shed();
    sunSays(180);
    plugSays(60);
    supervisor.rest('shed', { forMs: 600_000 });
    await settle();
    expect(status()?.phase).toBe('released');
    expect(links.every(({ closed }) => closed)).toBe(true);
    supervisor.retryNow('shed');
    await advance(1);
    expect(links).toHaveLength(4);
  });

  it('is kept while its plan is the same, and ends every link when it is not planned any more', async () => {
    const { supervisor, links, status } = await shed();
    supervisor.set([]);
    await settle();
    expect(links.every(({ closed }) => closed)).toBe(true);
    expect(status()).toBeUndefined();
  });

  it('has a status that the page understands', async () => {
    const { sunSays, status, links } = await shed();
    sunSays(1);
    links[1]!.events.closed('permission', 'not yours');
    expect(() => v.parse(WireStatus, status())).not.toThrow();
  });
});

describe('what a part is taken for', () => {
  it('is what it is there for and nothing else, ports included', () => {
    const reading = said({ 'solarPowerW.1': 80, 'solarPowerW.2': 20, solarPowerW: 100, stateOfChargePct: 3 });
    expect(partOf(reading, ['solarPowerW']).quantities).toEqual({
      'solarPowerW.1': 80,
      'solarPowerW.2': 20,
      solarPowerW: 100,
    });
  });

  it('is the meter’s own number where the part gives one power that the source has no name for', () => {
    const meter = said({ meterPowerW: 42, meterEnergyWh: 7 });
    expect(partOf(meter, ['outputPowerW']).quantities).toEqual({ outputPowerW: 42 });
    expect(partOf(meter, ['outputPowerW', 'outputEnergyWh']).quantities).toEqual({
      outputPowerW: 42,
      outputEnergyWh: 7,
    });
    expect(partOf(meter, ['acOutputPowerW', 'dcOutputPowerW']).quantities).toEqual({});
    expect(partOf(said({ meterPowerW: 42, outputPowerW: 40 }), ['outputPowerW']).quantities).toEqual({
      outputPowerW: 40,
    });
  });

  it('keeps a reason with its number', () => {
    const doubtful = said({ meterPowerW: null }, { reasons: { meterPowerW: 'outOfRange' }, quality: 'bad' });
    expect(partOf(doubtful, ['solarPowerW'])).toMatchObject({
      quantities: { solarPowerW: null },
      reasons: { solarPowerW: 'outOfRange' },
    });
  });

  it('says of the input only where it reads input, and of outlets only where it reads output', () => {
    const states = { inputSource: 'sun', acOutletsOn: true, fault: 'E4' } as const;
    expect(partOf(said({ inputPowerW: 1 }, { states }), ['inputPowerW']).states).toEqual({
      inputSource: 'sun',
      fault: 'E4',
    });
    expect(partOf(said({ outputPowerW: 1 }, { states }), ['outputPowerW']).states).toEqual({
      acOutletsOn: true,
      fault: 'E4',
    });
  });
});
