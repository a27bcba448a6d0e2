/**
 * The whole road with real parts: the simulated shed as its own process on a pseudo-terminal at 115200 baud, the agent
 * reading it with the real serial library, Chromium on the page. Unplugged, replugged, garbled, flooded, killed.
 */
import { writeFileSync } from 'node:fs';
import { setTimeout as pause } from 'node:timers/promises';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { MILLIJ_PER_WH } from '#energy/integrate';
import type { Reading } from '#kit';
import { openRecord } from '../../agent/store/open.ts';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { hasChromium, launchChromium } from '../support/browser.ts';
import { needs } from '../support/needs.ts';
import { type ShedOnPty, startShedOnPty } from '../support/shed-on-pty.ts';

interface Day {
  date: string;
  solarWh: number;
  inputWh: number;
  outputWh: number;
  coveredMs: number;
  gapMs: number;
}
interface Now {
  reading: { quantities: Record<string, number | null>; at: string; session: string; seq: number } | null;
  ageMs: number | null;
  status: { phase: string; failure?: string; rejected: Record<string, number>; accepted: number };
}
interface PlantLedger {
  solarWh: number;
  inputWh: number;
  outputWh: number;
}

const STATION = 'shed';
/** The tracker sweeps its whole range at every tenth minute, for some seconds. */
const SWEEP_MS = 15_000;
/** A reading tells the mean of the second before it. */
const TOLD_LATE_MS = 500;
const browsers = hasChromium();

let folders: Folders;
let shed: ShedOnPty;
let agent: AgentProcess;
let browser: Browser;
let page: Page;

/** Asks again until the answer pleases; the last answer is in the failure. */
async function until<T>(ask: () => Promise<T>, pleases: (answer: T) => boolean, withinMs = 20_000): Promise<T> {
  const endMs = performance.now() + withinMs;
  for (;;) {
    const answer = await ask();
    if (pleases(answer)) return answer;
    if (performance.now() > endMs) throw new Error(`still: ${JSON.stringify(answer)}`);
    await pause(100);
  }
}

const now = () => agent.api<Now>(`api/stations/${STATION}/now`);
const today = async () => {
  const { days } = await agent.api<{ days: Day[] }>(`api/stations/${STATION}/days?from=2000-01-01&to=2100-01-01`);
  return days.reduce(
    (sum, d) => ({
      solarWh: sum.solarWh + d.solarWh,
      inputWh: sum.inputWh + d.inputWh,
      outputWh: sum.outputWh + d.outputWh,
      coveredMs: sum.coveredMs + d.coveredMs,
      gapMs: sum.gapMs + d.gapMs,
    }),
    { solarWh: 0, inputWh: 0, outputWh: 0, coveredMs: 0, gapMs: 0 },
  );
};
const shownWatts = () =>
  page.evaluate(() => {
    const deep = (root: Document | ShadowRoot): Element[] =>
      [...root.querySelectorAll('*')].flatMap(e => [e, ...(e.shadowRoot === null ? [] : deep(e.shadowRoot))]);
    const row = deep(document).find(e => e.matches('tr') && e.querySelector('th')?.textContent === 'going out');
    return Number.parseFloat(row?.querySelector('td')?.textContent?.replace(/[^0-9.]/g, '') ?? 'NaN');
  });
const shownSentence = async () => (await page.locator('h1').first().textContent()) ?? '';

describe.runIf(browsers)('a station on a serial port', () => {
  beforeAll(async () => {
    folders = freshFolders();
    const link = `${folders.dir}/port`;
    writeFileSync(
      folders.settings,
      `[record]\ncommitIntervalS = 1\n[[station]]\nid = "${STATION}"\nname = "Honey shed"\nratedWh = 1640\n` +
        `transport = { kind = "serial", path = "${link}", baud = 115200 }\n`,
    );
    // At noon of the shed's own day: the sun is up whatever the time of the test. A sky without clouds and a tracker that
    // has found its point, since what they do between two readings (five seconds of silence here) no record can know.
    const sky = `${folders.dir}/sky.csv`;
    const noonAt = Date.parse('2026-11-20T12:00:00Z');
    const minutes = Array.from({ length: 120 }, (_, i) => `${noonAt + (i - 60) * 60_000},${320 + i}`);
    writeFileSync(sky, ['time,ghiWm2', ...minutes].join('\n'));
    const from = ['--since', '2026-11-20T11:00:00Z', '--start-pct', '60', '--at', '2026-11-20T12:00:00Z'];
    shed = await startShedOnPty(link, ['--zone', 'UTC', ...from, '--irradiance', sky, '--interval-ms', '200']);
    // By the plant's own clock: a starved process answers twice with the second before its tracker's sweep at noon.
    await until(
      () => shed.tell<{ atMs: number }>('now'),
      plant => plant.atMs > noonAt + SWEEP_MS,
      60_000,
    );
    agent = await startAgentProcess(folders);
    browser = await launchChromium();
    page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    await page.goto(agent.url);
  });
  afterAll(async () => {
    await browser?.close();
    await agent?.end('SIGKILL');
    await shed?.end();
    folders?.remove();
  });

  needs('socat')('shows the watts of the plant on the page', async () => {
    await until(now, n => n.status.phase === 'live');
    const plant = await shed.tell<{ quantities: Record<string, number> }>('now');
    await until(shownWatts, watts => Math.abs(watts - plant.quantities.outputPowerW!) <= 2);
  });

  it('stops promising when it is unplugged, says so in words, and is back after a replug', async () => {
    await shed.tell('unplug');
    const gone = await until(now, n => n.status.phase === 'retrying');
    expect(gone.status.failure).toMatch(/unplugged|notFound/);
    await until(shownSentence, sentence => /unplugged|not there|disconnected|no such/i.test(sentence));
    await shed.tell('replug');
    await until(now, n => n.status.phase === 'live');
    await until(shownWatts, watts => Number.isFinite(watts));
  });

  it('says how old the last reading is when the station falls silent', async () => {
    await shed.tell('hush');
    await until(now, n => n.status.phase === 'stale');
    await until(shownSentence, sentence => /old|silent|quiet/i.test(sentence));
    await shed.tell('speak');
    await until(now, n => n.status.phase === 'live');
  });

  it('survives garbage, half frames and a burst at 10 kHz, and counts them', async () => {
    await shed.tell('garbage 20000');
    await shed.tell('half');
    await shed.tell('flood 10000 1');
    const after = await until(
      now,
      n =>
        (n.status.rejected.notJson ?? 0) + (n.status.rejected.notText ?? 0) > 0 && (n.status.rejected.tooFast ?? 0) > 0,
    );
    expect(after.status.accepted).toBeGreaterThan(0);
    await until(now, n => n.status.phase === 'live' && (n.ageMs ?? 9e9) < 2000);
  });

  it('goes on after kill -9: nothing saved is lost or counted twice, the time between is a gap', async () => {
    await pause(2500);
    const health = () => agent.api<{ saved: { lastSavedAt: string } }>('api/health');
    const savedAt = Date.parse((await health()).saved.lastSavedAt);
    const before = await today();
    await agent.end('SIGKILL');
    await pause(1500);
    agent = await startAgentProcess(folders);
    await until(now, n => n.status.phase === 'live');
    const days = await until(today, d => d.gapMs > before.gapMs);
    expect(days.coveredMs).toBeGreaterThanOrEqual(before.coveredMs);
    const series = await agent.api<{
      startAt: string;
      stepMs: number;
      columns: Record<string, { mean: (number | null)[] }>;
    }>(`api/stations/${STATION}/series?quantity=outputPowerW&from=${savedAt - 2000}&to=${savedAt + 1}&points=20`);
    expect(series.columns.outputPowerW!.mean.some(v => v !== null)).toBe(true);
    await page.goto(agent.url);
    await until(shownWatts, watts => Number.isFinite(watts));
  });

  it("counts the day's energy as the plant's own ledger does, within 0.5 % for the covered time", async () => {
    await until(now, n => n.status.phase === 'live');
    // Long enough that what the loads do in the five silent seconds weighs little.
    await pause(30_000);
    const plant = await shed.tell<{ atMs: number }>('now');
    const plantAheadMs = plant.atMs - Date.now() - TOLD_LATE_MS;
    await agent.end('SIGTERM');
    const record = openRecord(`${folders.data}/record`, { nowMs: Date.now, commitIntervalMs: 0, readOnly: true });
    const truth = { solarWh: 0, inputWh: 0, outputWh: 0 };
    let coveredMs = 0;
    let before: Reading | null = null;
    for (const reading of record.readings(STATION, 0, Number.MAX_SAFE_INTEGER)) {
      // Covered is what the rule says: one session, no further apart than the limit of a 1 s source.
      if (before !== null && before.session === reading.session && reading.at - before.at <= 10_000) {
        const part = await shed.tell<PlantLedger>(`ledger ${before.at + plantAheadMs} ${reading.at + plantAheadMs}`);
        for (const name of ['solarWh', 'inputWh', 'outputWh'] as const) truth[name] += part[name];
        coveredMs += reading.at - before.at;
      }
      before = reading;
    }
    const days = record.days(STATION, '0000-01-01', '9999-12-31');
    const total = (name: 'solarMilliJ' | 'inputMilliJ' | 'outputMilliJ' | 'coveredMs') =>
      days.reduce((sum, day) => sum + day[name], 0);
    record.close();
    expect(coveredMs).toBeGreaterThan(20_000);
    expect(total('coveredMs')).toBe(coveredMs);
    expect(Math.abs(total('solarMilliJ') / MILLIJ_PER_WH / truth.solarWh - 1)).toBeLessThan(0.005);
    expect(Math.abs(total('inputMilliJ') / MILLIJ_PER_WH / truth.inputWh - 1)).toBeLessThan(0.005);
    expect(Math.abs(total('outputMilliJ') / MILLIJ_PER_WH / truth.outputWh - 1)).toBeLessThan(0.005);
  }, 90_000);
});
