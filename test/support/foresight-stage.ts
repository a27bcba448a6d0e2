/** Looking ahead in a real process of its own, on a hand-moved clock, over a record of a day of one station. */
import { onTestFinished } from 'vitest';
import { type ForesightApart, foresightApart } from '../../agent/commands/run/foresight/apart.ts';
import type { Ahead } from '../../agent/derive/outlook.ts';
import type { Told } from '../../agent/derive/told.ts';
import { bundle } from './child.ts';
import type { HandClock } from './hand-clock.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from './record.ts';
import { stationFacts } from './station-facts.ts';

const MINUTE_MS = 60_000;
const DAY_MIN = 1440;
/** The first moment behind the recorded day. */
export const DAY_OVER_AT = START_AT + DAY_MIN * MINUTE_MS;
export const FACTS = stationFacts({ zone: 'UTC' });

/** A record, still open for writing, of a day at 60 W, from 90 % on down. */
export function recordOfADay() {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  const readings = Array.from({ length: DAY_MIN }, (_, i) =>
    reading(
      i + 1,
      { inputPowerW: 0, outputPowerW: 60 + (i % 5), stateOfChargePct: Math.round(90 - i / 40) },
      { at: START_AT + i * MINUTE_MS, monoMs: i * MINUTE_MS },
    ),
  );
  record.commit(batch(readings));
  return { dir, record };
}

/** What a reading of the hour after the recorded day tells. */
export const toldAt = (minute: number): Told => ({
  at: DAY_OVER_AT + minute * MINUTE_MS,
  outputW: 60 + (minute % 5),
  inputW: 0,
  solarW: 0,
  stateOfChargePct: Math.round(54 - minute / 10),
  acOutletsOn: null,
  charger: 'unknown',
  onMains: false,
  typed: false,
});

export interface TestForesight {
  foresight: ForesightApart;
  /** Text and detail of each line of the log. */
  said: { text: string; againInMs?: number; why?: string }[];
}

export function openForesight(dir: string, hand: HandClock): TestForesight {
  const said: TestForesight['said'] = [];
  const foresight = foresightApart({
    entry: bundle('agent/commands/run/foresight-child.ts'),
    dir,
    demo: false,
    nowMs: hand.now,
    timers: { after: hand.after },
    random: () => 0.5,
    log: { error: (_area, text, detail) => void said.push({ text, ...detail }) },
  });
  foresight.begin();
  onTestFinished(() => foresight.close());
  return { foresight, said };
}

/** The next answer. */
export const aheadOf = (foresight: ForesightApart, station: string, atMs: number): Promise<Ahead> =>
  new Promise(resolve => void foresight.ahead(station, atMs, resolve));
