/** The owner's past judged as it is in a running agent: a process of its own beside the record that is being written. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { JudgingAnswer, StationSettings } from '#messages';
import { createJudging, type Judging } from '../../agent/commands/run/judging.ts';
import { type OpenedRecord, openRecord } from '../../agent/store/open.ts';
import { built } from '../support/built.ts';
import { until } from '../support/real-time.ts';
import { batch, reading } from '../support/record.ts';
import { fridgeNight, NIGHT_AT, NIGHT_RATED_WH } from '../support/recorded-night.ts';
import { silentLog } from '../support/shed-live.ts';

const ENTRY = built('agent/commands/run/judge-child.js');
const DAY_MS = 86_400_000;
const folder = mkdtempSync(join(tmpdir(), 'wattkeep-judging-'));
const station = v.parse(StationSettings, {
  id: 'shed',
  name: 'Honey shed',
  ratedWh: NIGHT_RATED_WH,
  transport: { kind: 'typed' },
});
const complaints: unknown[] = [];
const log = { ...silentLog, error: (...said: unknown[]) => void complaints.push(said) };
const orderFor = (dir: string) => ({
  dir,
  demo: false,
  station,
  zone: 'Europe/Berlin',
  fromMs: NIGHT_AT - DAY_MS,
  toMs: NIGHT_AT + DAY_MS,
});

describe('judging the past in a process of its own', () => {
  let record: OpenedRecord;
  let judging: Judging;
  const dir = join(folder, 'data');

  beforeAll(() => {
    // Held open, as the agent holds it.
    record = openRecord(dir, { nowMs: () => NIGHT_AT + DAY_MS, commitIntervalMs: 10_000 });
    const rows = fridgeNight(60_000);
    record.commit(
      batch(
        rows.map(({ at, outputW, inputW, stateOfChargePct }, i) =>
          reading(
            i + 1,
            { outputPowerW: outputW, inputPowerW: inputW, stateOfChargePct },
            { at, monoMs: at - NIGHT_AT },
          ),
        ),
      ),
    );
    judging = createJudging(ENTRY, log);
  });
  afterAll(async () => {
    await judging.close();
    record.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('has nothing to tell before it was asked', () => {
    expect(judging.of('shed')).toEqual({ state: 'never', share: 0, judged: null });
  });

  it('tells how far it has come, then what came true, in the form the page reads', async () => {
    judging.begin(orderFor(dir));
    expect(judging.of('shed').state).toBe('running');
    // Asked again while it is under way, it goes on.
    judging.begin(orderFor(dir));
    const shares: number[] = [];
    await until(() => {
      shares.push(judging.of('shed').share);
      return judging.of('shed').state !== 'running';
    });
    expect([...shares].sort((a, b) => a - b)).toEqual(shares);
    const { state, judged } = v.parse(JudgingAnswer, judging.of('shed'));
    expect([state, complaints]).toEqual(['done', []]);
    expect(judged!.fromAt).toBe(new Date(NIGHT_AT).toISOString());
    expect(judged!.ranges.of).toBeGreaterThan(5);
    expect(judged!.floor).toMatchObject({ discharges: 1 });
    expect(judged!.ranges.plainErrorPct).toBeGreaterThan(judged!.ranges.medianErrorPct!);
  }, 60_000);

  it('refuses another station meanwhile, and is taken away with the agent without a complaint', async () => {
    judging.begin(orderFor(dir));
    expect(() => judging.begin({ ...orderFor(dir), station: { ...station, id: 'attic' } })).toThrow(
      expect.objectContaining({ code: 'REQUEST_INVALID' }),
    );
    await judging.close();
    await until(() => judging.of('shed').state !== 'running');
    expect(judging.of('shed')).toMatchObject({ state: 'failed', judged: expect.anything() });
    expect(complaints).toEqual([]);
  }, 60_000);

  it('tells of a record that cannot be read, and the log says why', async () => {
    judging.begin(orderFor(join(folder, 'nowhere')));
    await until(() => judging.of('shed').state !== 'running');
    expect(judging.of('shed').state).toBe('failed');
    expect(JSON.stringify(complaints)).toContain('holds no record');
  }, 60_000);
});
