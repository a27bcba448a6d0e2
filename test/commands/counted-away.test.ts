/**
 * A plant that lives on while the agent is away: what the station counted meanwhile is one block of that gap, the harvest
 * keeps its gap, and the two are never one sum. The plant's own ledger is the truth.
 */
import { expect, test } from 'vitest';
import { MILLIJ_PER_WH } from '#energy/integrate';
import { complete, isRejection, type Reading } from '#kit';
import type { StationSettings } from '#messages';
import { countedOver } from '../../agent/commands/ledger-counted.ts';
import { openDesk } from '../../agent/commands/run/desk.ts';
import { foresightHere } from '../../agent/commands/run/foresight/engines.ts';
import { createPending } from '../../agent/commands/run/pending.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { createShed, shedPlace } from '../../simulators/honey-shed.ts';
import { countsOf } from '../../simulators/wire/counts.ts';
import { encodeLine } from '../../simulators/wire/lines.ts';
import { freshFolder, openTestRecord } from '../support/record.ts';
import { shedSettings } from '../support/shed-agent.ts';

const ZONE = 'Europe/Lisbon';
const BEGIN = Date.parse('2026-06-21T10:40:00Z');
const MINUTE_MS = 60_000;
const settings: StationSettings = { ...shedSettings().station[0]!, zone: ZONE };

/** An agent beside a plant, read through the lines adapter, second by second. */
function createYard(stepWh: number) {
  const plant = createShed({ seed: 5, zone: ZONE, startMs: BEGIN, startPct: 50, ...shedPlace(ZONE, BEGIN) });
  const dir = freshFolder();
  const decode = lines.open().decode;
  let record = openTestRecord(dir, { nowMs: () => plant.nowMs() });
  const here = () =>
    foresightHere(
      record,
      () => plant.nowMs(),
      () => Promise.resolve(),
    );
  const open = () => openDesk(settings, factsOf(settings, 1000, ZONE), record, plant.nowMs(), here());
  let desk = open();
  let [session, startedMs, seq] = [1, plant.nowMs(), 0];
  const pending = createPending();
  return {
    plant,
    get record() {
      return record;
    },
    read(forMs: number) {
      for (const untilMs = plant.nowMs() + forMs; plant.nowMs() < untilMs; ) {
        plant.step(plant.nowMs() + 1000);
        const decoded = decode(encodeLine(plant.sample(), countsOf(plant.ledger, stepWh)).subarray(0, -1), '');
        if (isRejection(decoded)) throw new Error(decoded.detail);
        const at = plant.nowMs();
        seq++;
        const identity = { station: 'shed', session: `s${session}`, seq, monoMs: at - startedMs, at };
        const reading: Reading = { ...complete(decoded), ...identity, clock: 'synced' };
        desk.add(reading, pending);
        if (seq % 10 !== 0) continue;
        record.commit(pending.batch()!);
        pending.saved();
      }
    },
    /** Killed: what was not saved is lost, and the plant lives on until it starts again. */
    away(forMs: number) {
      pending.saved();
      record.close();
      plant.step(plant.nowMs() + forMs);
      record = openTestRecord(dir, { nowMs: () => plant.nowMs() });
      [session, startedMs, seq] = [session + 1, plant.nowMs(), 0];
      desk = open();
    },
  };
}

test.each([0.1, 1, 100])('steps of %d Wh: the block over the time away is what the plant gave, to a step', stepWh => {
  const yard = createYard(stepWh);
  yard.read(4 * MINUTE_MS + 3000);
  yard.away(45 * MINUTE_MS);
  yard.read(5 * MINUTE_MS);
  const { record, plant } = yard;
  const blocks = record.bridges('shed', 0, 8e15);
  expect(blocks.map(({ quantity, cause }) => [quantity, cause])).toEqual([
    ['outputEnergyWh', 'counted'],
    ['solarEnergyWh', 'counted'],
  ]);
  const [out, sun] = blocks;
  const truth = plant.ledger.between(sun!.fromAt, sun!.toAt);
  expect(Math.abs(sun!.milliJ! / MILLIJ_PER_WH - truth.solarWh)).toBeLessThanOrEqual(stepWh);
  expect(Math.abs(out!.milliJ! / MILLIJ_PER_WH - truth.outputWh)).toBeLessThanOrEqual(stepWh);
  expect(truth.solarWh).toBeGreaterThan(50);

  // The harvest keeps its gap: it is what was lived through, and none of the block.
  const [day] = record.days('shed', '', '9');
  const lived = plant.ledger.between(BEGIN, plant.nowMs());
  expect(day!.gapMs).toBe(sun!.toAt - sun!.fromAt);
  expect(day!.solarMilliJ / MILLIJ_PER_WH).toBeLessThan(lived.solarWh - truth.solarWh + 1);
  const told = countedOver(record, 'shed', {
    from: '2026-06-21',
    to: '2026-06-21',
    fromMs: BEGIN,
    toMs: plant.nowMs(),
  });
  const counted = told.ofDay(day!)!;
  expect(counted.solarWh! - counted.bridgedSolarWh).toBeCloseTo(
    record.counted('shed', '', '9').find(one => one.quantity === 'solarEnergyWh')!.countedMilliJ / MILLIJ_PER_WH,
    6,
  );
  expect(Math.abs(counted.solarWh! - lived.solarWh)).toBeLessThanOrEqual(2 * stepWh);
  // Both speak of the same watts: they agree.
  for (const { beyond } of counted.apart!) expect(beyond).toBe(false);
});
