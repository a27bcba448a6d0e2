/** What the Ledger's answer, its JSON and its table say of a station's own counters. */
import * as v from 'valibot';
import { expect, test } from 'vitest';
import { LedgerAnswer } from '#messages';
import { ledgerWorked } from '../../agent/commands/ledger-answer.ts';
import { ledgerJson, ledgerTable } from '../../agent/commands/ledger-print.ts';
import { notedLedger } from '../../agent/commands/noted-ledger.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { freshFolder, openTestRecord, reading } from '../support/record.ts';
import { stationFacts } from '../support/station-facts.ts';

const MINUTE_MS = 60_000;
/** 10:00 in Berlin. */
const BEGIN = Date.UTC(2026, 5, 3, 8);
const facts = stationFacts({});

/** Hours recorded at 60 W from the sun, of which the counter makes 66; what lies between them was not recorded. */
function recorded(hours: readonly (readonly [from: number, to: number])[]) {
  const record = openTestRecord(freshFolder());
  for (const [session, [from, to]] of hours.entries()) {
    const rows = Array.from({ length: (to - from) * 60 + 1 }, (_, i) => {
      const minute = from * 60 + i;
      const counts = { solarEnergyWh: Math.floor(1000 + minute * 1.1), outputEnergyWh: 500 };
      const quantities = { solarPowerW: 60, inputPowerW: 60, outputPowerW: 0, stateOfChargePct: 50, ...counts };
      const where = { session: `s${session}`, at: BEGIN + minute * MINUTE_MS, monoMs: minute * MINUTE_MS };
      return reading(i + 1, quantities, where);
    });
    takeRecording(rows, facts, record, record.latest('shed')?.at ?? null);
  }
  return record;
}

const asked = (from = '2026-06-01', to = '2026-06-30') => ({
  station: 'shed',
  zone: 'Europe/Berlin',
  from,
  to,
  nowMs: BEGIN + 40 * 24 * 60 * MINUTE_MS,
  facts: [],
});

test('a gap within a day is of that day, one over midnight of the days together, and neither is in the harvest', () => {
  // Until noon, from 13:00 to 18:00, and from 10:00 the next day.
  const record = recorded([
    [0, 2],
    [3, 8],
    [24, 26],
  ]);
  const { answer } = ledgerWorked(record, asked());
  v.parse(LedgerAnswer, answer);
  expect(
    answer.days.map(({ date, solarWh, counted }) => [date, solarWh, counted?.solarWh, counted?.bridgedSolarWh]),
  ).toEqual([
    ['2026-06-03', 420, 528, 66],
    ['2026-06-04', 120, 132, 0],
  ]);
  expect(answer.bridges.filter(({ quantity }) => quantity === 'solarEnergyWh')).toMatchObject([
    { fromAt: '2026-06-03T10:00:00.000Z', toAt: '2026-06-03T11:00:00.000Z', energyWh: 66, cause: 'counted' },
    { fromAt: '2026-06-03T16:00:00.000Z', toAt: '2026-06-04T08:00:00.000Z', energyWh: 1056, cause: 'counted' },
  ]);
  const [out, sun] = answer.counters!;
  expect(sun).toMatchObject({
    countedWh: 26 * 66,
    bridgedWh: 66 + 1056,
    unknown: 0,
    apart: { countedWh: 594, integratedWh: 540, differencePct: 10, beyond: true },
  });
  expect(out).toMatchObject({ quantity: 'outputEnergyWh', countedWh: 0, apart: null });
  // A day alone tells the block that reaches into it, and counts none of it.
  const alone = ledgerWorked(record, asked('2026-06-04', '2026-06-04')).answer;
  expect(alone.bridges.map(({ energyWh }) => energyWh)).toEqual([0, 1056]);
  expect(alone.counters!.at(-1)).toMatchObject({ countedWh: 132, bridgedWh: 0 });
});

test('JSON, table and CSV tell both ledgers beside each other', () => {
  const record = recorded([
    [0, 2],
    [3, 4],
  ]);
  const nowMs = asked().nowMs;
  const printed = { ...ledgerWorked(record, asked()), by: null, nowMs };
  const json = JSON.parse(ledgerJson(printed)) as LedgerAnswer;
  expect(json.days[0]).toMatchObject({ solarWh: 180, counted: { solarWh: 264, bridgedSolarWh: 66 } });
  expect(json.counters).toEqual(printed.answer.counters);
  expect(json.bridges).toEqual(printed.answer.bridges);
  expect(ledgerTable(printed)).toContain(
    'The station counted 264 Wh from the sun, 66 Wh of it while nothing was recorded; 10.0 % more than its own watts add up to.\n',
  );
  const [header, row] = notedLedger(record, 'shed', '2026-06-01', '2026-06-30', nowMs).split('\r\n');
  const cells = Object.fromEntries(header!.split(',').map((name, i) => [name, row!.split(',')[i]]));
  expect(cells).toMatchObject({ solarWh: '180', countedSolarWh: '264', countedOutputWh: '0', bridgedSolarWh: '66' });
});
