/** Days whose totals are lost and whose readings are not: both ledgers are counted from the readings. */
import { expect, test } from 'vitest';
import { countLostDays } from '../../agent/commands/lost-days.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { destroy, rootOf } from '../support/damage.ts';
import { freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';
import { stationFacts } from '../support/station-facts.ts';

const MINUTE_MS = 60_000;
const facts = stationFacts({ zone: 'UTC' });

/** Two hours with a gap between them; the station counts a watt-hour a minute. */
const rows = [...Array(60).keys(), ...Array.from({ length: 60 }, (_, i) => i + 120)].map(minute =>
  reading(
    minute + 1,
    { solarPowerW: 60, inputPowerW: 60, outputPowerW: 5, solarEnergyWh: 700 + minute },
    { at: START_AT + minute * MINUTE_MS, monoMs: minute * MINUTE_MS },
  ),
);

test.each([{ lost: ['day'] }, { lost: ['day', 'counted', 'bridge'] }, { lost: ['day', 'bridge'] }])(
  'after a rescue without $lost they are as before',
  ({ lost }) => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    takeRecording(rows, facts, record, null);
    const told = () => {
      const open = openTestRecord(dir);
      countLostDays(open, 'shed', 'UTC');
      const all = [open.days('shed', '', '9'), open.counted('shed', '', '9'), open.bridges('shed', 0, 8e15)] as const;
      open.close();
      return all;
    };
    record.close();
    const [days, counted, bridges] = told();
    expect(bridges).toMatchObject([{ quantity: 'solarEnergyWh', milliJ: 61 * 3_600_000 }]);
    destroy(
      dir,
      lost.map(table => rootOf(dir, table)),
    );
    rescueRecord(dir, ['shed'], START_AT);
    const [again, recounted, blocks] = told();
    expect(again.map(({ date, solarMilliJ }) => [date, solarMilliJ])).toEqual(
      days.map(({ date, solarMilliJ }) => [date, solarMilliJ]),
    );
    expect(recounted).toEqual(counted);
    // A block that alone was lost is not made up: its gap stays without one.
    expect(blocks).toEqual(lost.includes('bridge') && !lost.includes('counted') ? [] : bridges);
  },
);
