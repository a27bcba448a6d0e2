/**
 * A walk through the yard with everything real: the shed's panels under a clear morning are carried from spot to spot,
 * the agent reads them, and a page that looks at it hears what is better. Then the agent is killed.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import type { AimAnswer, MarkAnswer, WireAim } from '#messages';
import { openRecord } from '../../agent/store/open.ts';
import { type AgentProcess, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { watchAim } from '../support/aim-watcher.ts';
import { clearSkyFile } from '../support/clear-sky-file.ts';
import { startSimulator } from '../support/simulator.ts';

const HOUR_MS = 3_600_000;
const LATITUDE_DEG = 34.6;
const WALK_TAKES_MS = 400_000;
const PATH = 'api/stations/shed';

/** A place where it is a quarter to nine by the sun, and not winter: there the hive stand is better than the step. */
function morningPlace(nowMs: number): { latitudeDeg: number; longitudeDeg: number } {
  const utcHours = (nowMs % (24 * HOUR_MS)) / HOUR_MS;
  const eastDeg = (8.75 - utcHours) * 15;
  const month = new Date(nowMs).getUTCMonth();
  const north = month >= 3 && month <= 8;
  return { latitudeDeg: north ? LATITUDE_DEG : -LATITUDE_DEG, longitudeDeg: ((eastDeg + 540) % 360) - 180 };
}

async function stage() {
  const dir = mkdtempSync(join(tmpdir(), 'walk-'));
  const nowMs = Date.now();
  const place = morningPlace(nowMs);
  clearSkyFile(join(dir, 'sky.csv'), place, nowMs);
  const simulator = startSimulator([
    ...['--tcp', '0', '--start-pct', '40', '--zone', 'UTC', '--irradiance', join(dir, 'sky.csv'), '--at', `${nowMs}`],
    ...['--lat', `${place.latitudeDeg}`, '--lon', `${place.longitudeDeg}`],
  ]);
  const { ready } = (await simulator.ready) as { ready: { port: number } };
  const folders = freshFolders(`[record]
commitIntervalS = 60

[[station]]
id = "shed"
name = "Honey shed"
transport = { kind = "tcp", host = "127.0.0.1", port = ${ready.port} }
ratedWh = 1640
inputSource = "sun"
place = { latitudeDeg = ${place.latitudeDeg}, longitudeDeg = ${place.longitudeDeg} }
panel = [{ name = "Folding panels", ratedW = 90, count = 3, powerPctPerK = -0.36 }]
`);
  onTestFinished(async () => {
    await simulator.stop();
    folders.remove();
    rmSync(dir, { recursive: true, force: true });
  });
  const start = async (): Promise<AgentProcess> => {
    const agent = await startAgentProcess(folders);
    onTestFinished(async () => {
      await agent.end('SIGKILL');
    });
    return agent;
  };
  return { simulator, folders, start };
}

const canBeRanked = (aim: WireAim) =>
  aim.here !== null && aim.sky === 'steady' && Date.parse(aim.at) - Date.parse(aim.here.sinceAt) > 60_000;
const isDecided = ({ verdict }: WireAim) => verdict.kind === 'better' || verdict.kind === 'worse';
const lettersOf = (aim: WireAim) => aim.marks.map(mark => mark.letter).sort();

describe('a walk with the panels', () => {
  it(
    'marks two spots, is told which is better, and has them still after the agent was killed',
    async () => {
      const { simulator, folders, start } = await stage();
      const agent = await start();
      const page = watchAim(agent.url, 'shed');
      const seen = await page.until(canBeRanked);
      expect(seen.quantity).toBe('solarPowerW');
      expect(seen.verdict.kind).toBe('none');

      const first = await agent.post<MarkAnswer>(`${PATH}/marks`, { note: 'by the door' });
      expect(first.mark).toMatchObject({ letter: 'A', spot: null, note: 'by the door' });
      await agent.change('PUT', `${PATH}/marks`, { do: 'name', mark: first.mark!.id, name: 'Step' });
      const { spots } = await agent.api<AimAnswer>(`${PATH}/aim`);
      expect(spots.map(({ id, name, standing }) => [id, name, standing])).toEqual([['step', 'Step', true]]);

      await simulator.ask('spot hive-stand');
      await page.until(aim => aim.here === null);
      const verdict = await page.until(isDecided);
      expect(verdict.verdict).toMatchObject({ kind: 'better', than: 'A', here: null });
      expect(verdict.verdict.differenceW! - verdict.verdict.giveOrTakeW!).toBeGreaterThan(0);
      const second = await agent.post<MarkAnswer>(`${PATH}/marks`, {});
      // Moved since it was said where they stand: this one has no name until it is given one.
      expect(second.mark).toMatchObject({ letter: 'B', spot: null });
      const after = await agent.api<AimAnswer>(`${PATH}/aim`);
      expect(after.spots.map(spot => spot.standing)).toEqual([false]);
      // The best first.
      const marked = await page.until(aim => aim.marks.length === 2);
      expect(marked.marks.map(mark => [mark.letter, mark.name])).toEqual([
        ['B', null],
        ['A', 'Step'],
      ]);

      await agent.end('SIGKILL');
      page.close();
      const record = openRecord(join(folders.data, 'record'), {
        nowMs: Date.now,
        commitIntervalMs: 10_000,
        readOnly: true,
      });
      expect(record.marks('shed', 1).map(mark => [mark.letter, mark.spot])).toEqual([
        ['A', 'step'],
        ['B', null],
      ]);
      record.close();

      const again = await start();
      const later = watchAim(again.url, 'shed');
      expect(lettersOf(await later.until(aim => aim.marks.length === 2))).toEqual(['A', 'B']);
      await again.change('PUT', `${PATH}/marks`, { do: 'undo' });
      expect(lettersOf(await later.until(aim => aim.marks.length < 2))).toEqual(['A']);
      later.close();
    },
    WALK_TAKES_MS,
  );
});

describe('the simulated yard', () => {
  it('has three spots, learned from its past as far as the weather was clear, and panels that can be carried', async () => {
    const folders = freshFolders();
    const agent = await startAgentProcess(folders);
    onTestFinished(async () => {
      await agent.end();
      folders.remove();
    });
    const path = 'api/stations/honey-shed';
    const told = () => agent.api<AimAnswer>(`${path}/aim`);
    // What the past taught is read in pieces after the start.
    const clearDays = async () => (await told()).spots.reduce((sum, spot) => sum + spot.clearDays, 0);
    await expect.poll(clearDays, { timeout: 40_000 }).toBeGreaterThan(0);
    const first = await told();
    expect(first.carries).toBe(true);
    expect(first.spots.map(({ name, standing }) => [name, standing])).toEqual([
      ['fence', false],
      ['hive stand', false],
      ['step', true],
    ]);
    // Panels have stood at each of them; which days were clear is the weather's affair.
    expect(first.spots.map(spot => spot.sinceAt)).not.toContain(null);
    await agent.post(`${path}/spots`, { do: 'carry', spot: 'fence' });
    expect(readFileSync(join(folders.data, 'demo', 'spot'), 'utf8')).toBe('fence\n');
    expect((await told()).spots.map(spot => spot.standing)).toEqual([false, false, false]);
    const refused = await agent.change('POST', `${path}/spots`, { do: 'carry', spot: 'roof' });
    expect([refused.status, await refused.json()]).toMatchObject([400, { error: { code: 'REQUEST_INVALID' } }]);
  });
});
