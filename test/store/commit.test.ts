import { expect, test } from 'vitest';
import type { Reading } from '#kit';
import { batch, dayDelta, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const full: Reading = reading(
  1,
  {
    inputPowerW: 212.4,
    outputPowerW: 0,
    stateOfChargePct: 64,
    'solarPowerW.1': 101.2,
    batteryTempC: -3.7,
    acVoltageV: null,
  },
  {
    states: { acOutletsOn: true, dcOutletsOn: 'unknown', inputSource: 'sun', fault: 'fan “slow”' },
    quality: 'uncertain',
    reasons: { acVoltageV: 'notAvailable' },
    clock: 'stepped',
    typed: true,
  },
);

test('a committed reading comes back whole, also after the record was closed and opened', () => {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  record.commit(batch([full]));
  expect(record.latest('shed')).toEqual(full);
  record.close();
  const again = openTestRecord(dir);
  expect(again.latest('shed')).toEqual(full);
  expect([...again.readings('shed', 0, START_AT * 2)]).toEqual([full]);
});

test('readings come back in order over sealed hours, sessions and the hour still open', () => {
  const record = openTestRecord(freshFolder());
  const sent: Reading[] = [];
  for (let minute = 0; minute < 200; minute++) {
    const session = minute < 90 ? 's1' : 's2';
    const made = reading((minute % 90) + 1, { outputPowerW: minute / 10 }, { session, at: START_AT + minute * 60_000 });
    sent.push(made.session === 's2' ? { ...made, seq: minute } : made);
  }
  for (let from = 0; from < sent.length; from += 7) record.commit(batch(sent.slice(from, from + 7)));
  expect([...record.readings('shed', 0, START_AT * 2)]).toEqual(sent);
  expect(record.latest('shed')).toEqual(sent.at(-1));
  expect(record.extent('shed')).toEqual({ fromMs: sent[0]!.at, toMs: sent.at(-1)!.at });
  expect([...record.readings('shed', sent[50]!.at, sent[60]!.at)]).toEqual(sent.slice(50, 60));
});

test('an hour of many small commits is read back whole, before and after it is sealed', () => {
  const record = openTestRecord(freshFolder());
  const at = Math.ceil(START_AT / 3_600_000) * 3_600_000;
  const sent = Array.from({ length: 200 }, (_, i) => reading(i + 1, { outputPowerW: i / 10 }, { at: at + i * 1000 }));
  for (const one of sent) record.commit(batch([one]));
  const between = () => [...record.readings('shed', 0, at + 3_600_000)];
  expect(between()).toEqual(sent);
  expect(record.latest('shed')).toEqual(sent.at(-1));
  record.commit(batch([reading(201, {}, { at: at + 3_600_000 })]));
  expect(between()).toEqual(sent);
});

test('day totals are added up, with their least and greatest state of charge', () => {
  const record = openTestRecord(freshFolder());
  record.commit(batch([reading(1, {})], { days: [dayDelta({ solarMilliJ: 500, coveredMs: 10, solarPeakW: 20.5 })] }));
  record.commit(
    batch([reading(2, {})], {
      days: [dayDelta({ solarMilliJ: 7, gapMs: 3, solarPeakW: 4, stateOfChargeMinPct: 40, stateOfChargeMaxPct: 60 })],
    }),
  );
  record.commit(batch([reading(3, {})], { days: [dayDelta({ stateOfChargeMinPct: 50, stateOfChargeMaxPct: 70 })] }));
  const { station, ...expected } = dayDelta({
    solarMilliJ: 507,
    coveredMs: 10,
    gapMs: 3,
    solarPeakW: 20.5,
    stateOfChargeMinPct: 40,
    stateOfChargeMaxPct: 70,
  });
  expect(record.days(station, '2026-06-01', '2026-06-30')).toEqual([expected]);
  expect(record.days(station, '2026-06-04', '2026-06-30')).toEqual([]);
});

test('pieces of an import that are cut within an hour give the same readings and minutes as one', () => {
  const at = Math.ceil(START_AT / 3_600_000) * 3_600_000;
  const sent = Array.from({ length: 9000 }, (_, i) =>
    reading(i + 1, { outputPowerW: (i * 7) % 90, stateOfChargePct: i % 11 === 0 ? null : 50 }, { at: at + i * 1000 }),
  );
  const [whole, pieces] = [openTestRecord(freshFolder()), openTestRecord(freshFolder())];
  whole.commit(batch(sent));
  // The second is one reading of the hour before, the third goes on in an hour of few.
  for (const [from, to] of [
    [0, 3599],
    [3599, 7300],
    [7300, 8999],
    [8999, 9000],
  ] as const)
    pieces.commit(batch(sent.slice(from, to)));
  const later = reading(9001, {}, { at: at + 4 * 3_600_000 });
  for (const record of [whole, pieces]) record.commit(batch([later]));
  expect([...pieces.readings('shed', 0, at + 86_400_000)]).toEqual([...sent, later]);
  const quantities = ['outputPowerW', 'stateOfChargePct'] as const;
  for (const points of [180, 12]) {
    const ask = { station: 'shed', quantities, fromMs: at, toMs: at + 3 * 3_600_000, points };
    expect(pieces.series(ask)).toEqual(whole.series(ask));
  }
});
