/**
 * The conformance suite on a station that is really there, through the real program: capture, then check. Pending where
 * no station is named:
 *
 *   WATTKEEP_TEST_SERIAL=/dev/ttyUSB0 WATTKEEP_TEST_BAUD=9600 WATTKEEP_TEST_ADAPTER=sunspec-modbus \
 *     npx vitest run --config test/vitest.config.ts test/hardware
 *   WATTKEEP_TEST_BLE="name as it advertises" WATTKEEP_TEST_ADAPTER=ble-battery npx vitest …
 *
 * WATTKEEP_TEST_ADAPTER: the id of a built-in or the path of an adapter's file; WATTKEEP_TEST_SECONDS: default 60.
 */
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { ConformanceReport } from '#kit';
import { workbench } from '../support/workbench.ts';

const {
  WATTKEEP_TEST_SERIAL,
  WATTKEEP_TEST_BLE,
  WATTKEEP_TEST_BAUD = '9600',
  WATTKEEP_TEST_SECONDS = '60',
} = process.env;
const SECONDS = Number(WATTKEEP_TEST_SECONDS);
const given = process.env.WATTKEEP_TEST_ADAPTER;
const isPath = given?.includes('/') === true;

/** Records the station, checks the adapter on what was heard, and gives the report. */
async function recordAndCheck(link: string, usual: string): Promise<ConformanceReport> {
  const { sh } = workbench();
  const adapter = given === undefined ? usual : isPath ? resolve(given) : given;
  const env = { ADAPTER: adapter, LINK: WATTKEEP_TEST_SERIAL ?? '', NAME: WATTKEEP_TEST_BLE ?? '' };
  const capture = `wattkeep adapter capture ${link} --adapter "$ADAPTER" --seconds ${SECONDS} --quiet --out real.capture`;
  const recorded = await sh(capture, env);
  expect([recorded.status, recorded.complaint]).toEqual([0, '']);
  const checked = await sh('wattkeep adapter check "$ADAPTER" --capture real.capture --json || true', env);
  expect(checked.out, checked.complaint).not.toBe('');
  return JSON.parse(checked.out) as ConformanceReport;
}

const wrong = ({ checks }: ConformanceReport) => checks.filter(({ ok }) => !ok);
const LIMIT_MS = (SECONDS + 60) * 1000;

describe('an adapter on a real station', () => {
  it.skipIf(WATTKEEP_TEST_SERIAL === undefined)(
    'conforms over a serial port (pending: name one in WATTKEEP_TEST_SERIAL)',
    async () => {
      const baud = Number(WATTKEEP_TEST_BAUD);
      const report = await recordAndCheck(`--transport serial --path "$LINK" --baud ${baud}`, 'lines');
      expect(wrong(report)).toEqual([]);
    },
    LIMIT_MS,
  );

  it.skipIf(WATTKEEP_TEST_BLE === undefined)(
    'conforms over Bluetooth (pending: name one in WATTKEEP_TEST_BLE)',
    async () => {
      expect(wrong(await recordAndCheck('--transport ble --name "$NAME"', 'ble-battery'))).toEqual([]);
    },
    LIMIT_MS,
  );
});
