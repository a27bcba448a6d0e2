/**
 * Three stations on three roads at once: Bluetooth over the soft radio, Modbus RTU and JSON lines over pseudo-terminals;
 * the agent as a process, the page in Chromium. Then the radio has a bad minute.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect } from 'vitest';
import type { NowAnswer } from '#messages';
import { batteryService, batteryValues } from '../../simulators/radio/battery.ts';
import { createSoftRadio, type SoftRadio } from '../../simulators/radio/soft-radio.ts';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { hasChromium, launchChromium } from '../support/browser.ts';
import { built } from '../support/built.ts';
import { withNoble } from '../support/needs-noble.ts';
import { type Simulator, startSimulator } from '../support/simulator.ts';

const HIVE = {
  levelPct: 71,
  inputW: 181,
  outputW: 61,
  voltageV: 26.4,
  availableWh: 1370,
  toEmptyMin: null,
  toFullMin: 130,
};
const NAMES = { hive: 'Hive scales', shed: 'Honey shed', barn: 'Bottling room' } as const;
type Id = keyof typeof NAMES;
const LOSS_EVERY_MS = 2000;

let folder: string;
let folders: Folders;
let radio: SoftRadio;
let lines: Simulator;
let modbus: Simulator;
let agent: AgentProcess;
let browser: Browser;
let page: Page;

const settings = (): string => `
[[station]]
id = "hive"
name = "${NAMES.hive}"
adapter = "ble-battery"
transport = { kind = "ble", name = "${NAMES.hive}" }
[[station]]
id = "shed"
name = "${NAMES.shed}"
adapter = "lines"
transport = { kind = "serial", path = "${join(folder, 'lines')}", baud = 115200 }
[[station]]
id = "barn"
name = "${NAMES.barn}"
adapter = "sunspec-modbus"
transport = { kind = "serial", path = "${join(folder, 'modbus')}", baud = 9600 }
`;

const now = (id: Id) => agent.api<NowAnswer>(`api/stations/${id}/now`);

async function until<T>(ask: () => Promise<T>, pleases: (answer: T) => boolean, withinMs = 30_000): Promise<T> {
  const endMs = performance.now() + withinMs;
  for (;;) {
    const answer = await ask();
    if (pleases(answer)) return answer;
    if (performance.now() > endMs) throw new Error(`still: ${JSON.stringify(answer)}`);
    await pause(100);
  }
}

const isLive = (told: NowAnswer): boolean => told.status?.phase === 'live' && told.reading !== null;
const headline = async (): Promise<string> => (await page.locator('h1').first().textContent()) ?? '';
const shown = (row: string): Promise<number> =>
  page.evaluate(wanted => {
    const deep = (root: Document | ShadowRoot): Element[] =>
      [...root.querySelectorAll('*')].flatMap(e => [e, ...(e.shadowRoot === null ? [] : deep(e.shadowRoot))]);
    const found = deep(document).find(e => e.matches('tr') && e.querySelector('th')?.textContent === wanted);
    return Number.parseFloat(found?.querySelector('td')?.textContent?.replace(/[^0-9.]/g, '') ?? 'NaN');
  }, row);

describe.runIf(hasChromium())('three stations on three roads', () => {
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'roads-'));
    const air = join(folder, 'air');
    radio = createSoftRadio([
      { address: 'c0:00:00:00:00:01', name: NAMES.hive, services: [batteryService(batteryValues(HIVE))] },
    ]);
    await radio.listen(air);
    lines = startSimulator(['--pty', join(folder, 'lines'), '--start-pct', '52', '--interval-ms', '500']);
    modbus = startSimulator([
      '--protocol',
      'sunspec',
      '--pty',
      join(folder, 'modbus'),
      '--baud',
      '9600',
      '--start-pct',
      '64',
    ]);
    await Promise.all([lines.ready, modbus.ready]);
    folders = freshFolders(settings());
    const hook = `${pathToFileURL(built('simulators/radio/hook.js')).href}?${new URLSearchParams({ radio: air })}`;
    agent = await startAgentProcess(folders, [], ['--import', hook]);
    browser = await launchChromium();
    page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    await page.goto(agent.url);
  }, 60_000);
  afterAll(async () => {
    await browser?.close();
    await agent?.end();
    await Promise.all([lines?.stop(), modbus?.stop(), radio?.close()]);
    folders?.remove();
    rmSync(folder, { recursive: true, force: true });
  });

  withNoble(
    'are all live at once, and each shows its own numbers on the Now view',
    async () => {
      for (const id of Object.keys(NAMES) as Id[]) await until(() => now(id), isLive);
      for (const id of Object.keys(NAMES) as Id[]) {
        await page.getByLabel('Station').selectOption(NAMES[id]);
        const { reading } = await now(id);
        const outW = reading!.quantities.outputPowerW!;
        await until(
          () => shown('going out'),
          watts => Math.abs(watts - outW) <= Math.max(3, 0.2 * outW),
        );
      }
    },
    60_000,
  );

  withNoble(
    'a link lost every 2 s: one steady message for that station, and the others notice nothing',
    async () => {
      await page.getByLabel('Station').selectOption(NAMES.hive);
      await until(() => now('hive'), isLive);
      const before = await Promise.all([now('shed'), now('barn')]);
      const [hive] = radio.peripherals;
      let over = false;
      const storm = (async () => {
        while (!over) {
          hive!.loseLink();
          await pause(LOSS_EVERY_MS);
        }
      })();
      // Two losses might be chance and are told one by one.
      await page.getByText('The connection keeps breaking.').waitFor();
      const said: string[] = [];
      const endMs = performance.now() + 5 * LOSS_EVERY_MS;
      while (performance.now() < endMs) {
        const sentence = (await headline()).replace(/[\d.]+ s/, 'some seconds');
        if (sentence !== said.at(-1)) said.push(sentence);
        expect(await page.locator('[role=alert]:visible').count()).toBeLessThanOrEqual(1);
        await pause(100);
      }
      over = true;
      await storm;
      console.log(`said during the storm: ${said.join(' | ')}`);
      expect(said.filter(sentence => sentence.startsWith('Disconnected'))).toEqual([]);
      const after = await Promise.all([now('shed'), now('barn')]);
      for (const [i, told] of after.entries()) {
        expect(told.reading!.session).toBe(before[i]!.reading!.session);
        expect(told.status?.phase).toBe('live');
      }
      await until(() => now('hive'), isLive);
    },
    90_000,
  );

  withNoble(
    'a malformed packet ends the radio and nothing else: it is started again and the station read on',
    async () => {
      await until(() => now('hive'), isLive);
      const before = await Promise.all([now('hive'), now('shed'), now('barn')]);
      radio.peripherals[0]!.sendBroken('notification');
      await until(
        () => now('hive'),
        told => isLive(told) && told.reading!.session !== before[0]!.reading!.session,
      );
      const after = await Promise.all([now('shed'), now('barn')]);
      expect(after.map(told => told.reading!.session)).toEqual(before.slice(1).map(told => told.reading!.session));
    },
    60_000,
  );
});
