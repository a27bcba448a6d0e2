/**
 * A stranger with a station that nobody has written for: begins a file, fills a table of ten fields for a protocol that
 * is invented here, checks it, lets it run by one tap in Chromium and sees the watts. Nothing of wattkeep is touched.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type AgentProcess, startAgentProcess } from '../support/agent-process.ts';
import { hasChromium, launchChromium } from '../support/browser.ts';
import { hasProgram } from '../support/needs.ts';
import { seen } from '../support/page-stage.ts';
import { type PtyPort, plugPty } from '../support/pty.ts';
import { type Workbench, withStatement, workbench } from '../support/workbench.ts';

/**
 * The invented protocol, big-endian: 7e, kind 31, payload length u16, payload, CRC-16 (polynomial 1021, from 0) over
 * everything before it. Written from these words alone, with nothing of the kit.
 */
function frame(percent: number, solarDeciW: number, outW: number): Buffer {
  const payload = Buffer.alloc(16);
  payload.writeUInt8(percent, 0);
  payload.writeUInt16BE(solarDeciW, 1);
  payload.writeUInt16BE(0, 3); // wall; ffff where its meter is broken
  payload.writeUInt16BE(outW, 5);
  payload.writeUInt16BE(85, 7); // dc out, tenths of a watt
  payload.writeUInt16BE(2640, 9); // hundredths of a volt
  payload.writeInt16BE(-35, 11); // tenths of a degree
  payload.writeUInt16BE(412, 13); // minutes to empty, as the station says
  payload.writeUInt8(0b0000_0101, 15); // bit 0 outlets on, bit 1 on mains, bits 2-3 limited by: 1 full
  const body = Buffer.concat([Buffer.from([0x7e, 0x31, 0, payload.length]), payload]);
  let crc = 0;
  for (const byte of body) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit++) crc = (crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1) & 0xffff;
  }
  return Buffer.concat([body, Buffer.from([crc >> 8, crc & 0xff])]);
}

const TABLE = `const table: FieldTable = {
  minBytes: 22,
  order: 'big',
  constants: [{ at: 1, is: 0x31 }],
  fields: [
    { gives: 'stateOfChargePct', at: 4, type: 'u8' },
    { gives: 'solarPowerW', at: 5, type: 'u16', scale: 0.1 },
    { gives: 'chargerPowerW', at: 7, type: 'u16', notAvailable: [0xffff] },
    { gives: 'acOutputPowerW', at: 9, type: 'u16' },
    { gives: 'dcOutputPowerW', at: 11, type: 'u16', scale: 0.1 },
    { gives: 'batteryVoltageV', at: 13, type: 'u16', scale: 0.01 },
    { gives: 'batteryTempC', at: 15, type: 'i16', scale: 0.1 },
    { gives: 'statedMinutesToEmpty', at: 17, type: 'u16' },
    { state: 'acOutletsOn', at: 19, type: 'u8', mask: 0x01 },
    { state: 'onMains', at: 19, type: 'u8', mask: 0x02 },
  ],
};
`;
const FRAMER = `      createLengthFieldFramer({
        maxFrameBytes: 64,
        start: [0x7e],
        lengthAt: 2,
        lengthBytes: 2,
        bigEndian: true,
        adjust: 6,
        holds: frame => trailerHolds(frame, { checksum: createCrc(CRC.xmodem), bytes: 2, bigEndian: true }),
      }),
`;
const SAMPLES = `export const samples: readonly Sample[] = [
  {
    name: 'a cold noon',
    hex: '${frame(64, 1234, 40).toString('hex')}',
    expects: {
      stateOfChargePct: 64, solarPowerW: 123.4, chargerPowerW: 0, acOutputPowerW: 40, dcOutputPowerW: 8.5,
      batteryVoltageV: 26.4, batteryTempC: -3.5, statedMinutesToEmpty: 412,
    },
  },
];
`;

/** What the stranger does in an editor. */
function fill(source: string): string {
  return withStatement(withStatement(source, TABLE), SAMPLES)
    .replace(/ {6}createLengthFieldFramer\(\{[\s\S]*?\n {6}\}\),\n/, () => FRAMER)
    .replace('  sum8,\n', '')
    .replace('  createLengthFieldFramer,\n', '  CRC,\n  createCrc,\n  createLengthFieldFramer,\n')
    .replace('What Setup calls it', 'Hive monitor');
}

const able = hasChromium() && hasProgram('socat');
let bench: Workbench;
let port: PtyPort;
let agent: AgentProcess;
let browser: Browser;
let page: Page;
let ticking: NodeJS.Timeout;

describe.runIf(able)('a stranger', () => {
  beforeAll(async () => {
    bench = workbench();
    port = await plugPty();
    ticking = setInterval(() => port.write(frame(64, 1234, 40)), 500);
  });
  afterAll(async () => {
    clearInterval(ticking);
    await browser?.close();
    await agent?.end('SIGKILL');
    await port?.remove();
    bench?.remove();
  });

  it('begins a file that passes its own check before anything is filled in', async () => {
    const begun = await bench.sh('wattkeep adapter new hive-monitor && wattkeep adapter check hive-monitor');
    expect(begun).toMatchObject({ status: 0, out: expect.stringMatching(/hive-monitor: \d+ checks passed/) });
  });

  it('is told what is wrong while the table is not right yet', async () => {
    const file = join(bench.adapters, 'hive-monitor.ts');
    const filled = fill(readFileSync(file, 'utf8'));
    writeFileSync(file, filled.replace("batteryTempC', at: 15, type: 'i16'", "batteryTempC', at: 15, type: 'u16'"));
    const { status, out } = await bench.sh('wattkeep adapter check hive-monitor');
    expect([status, out]).toEqual([1, expect.stringMatching(/FAIL {2}samples .*batteryTempC/)]);
    writeFileSync(file, filled);
  });

  it('records the station, plays it field by field, and every check is green', async () => {
    const capture = `wattkeep adapter capture --transport serial --path ${port.path} --seconds 5 --out hive.capture --quiet`;
    expect((await bench.sh(capture)).out).toMatch(/hive\.capture: \d+ chunks, \d{3} bytes heard, 0 sent/);
    const played = await bench.sh('wattkeep adapter play hive.capture --adapter hive-monitor --json');
    const { steps, readings } = JSON.parse(played.out) as { steps: { step: string }[]; readings: number };
    expect(readings).toBeGreaterThanOrEqual(5);
    expect(steps.find(({ step }) => step === 'fields')).toMatchObject({
      fields: expect.arrayContaining([{ name: 'batteryTempC', at: 15, raw: -35, value: -3.5 }]),
    });
    const checked = await bench.sh('wattkeep adapter check hive-monitor --capture hive.capture --json');
    const report = JSON.parse(checked.out) as { ok: boolean; checks: { name: string; pending?: true }[] };
    expect([report.ok, report.checks.filter(({ pending }) => pending)]).toEqual([true, []]);
  });

  it('lets it run by one tap, and sees the watts on the page', { timeout: 120_000 }, async () => {
    const link = `transport = { kind = "serial", path = "${port.path}" }`;
    writeFileSync(bench.settings, `[[station]]\nid = "hive"\nname = "Hive"\nadapter = "hive-monitor"\n${link}\n`);
    agent = await startAgentProcess(bench);
    browser = await launchChromium();
    page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    page.setDefaultTimeout(40_000);
    await page.goto(await agent.link);
    await page.waitForURL(agent.url);
    await page.goto(agent.url);
    await page.locator('h1').filter({ hasText: 'Its adapter waits for your approval.' }).waitFor();
    await page.getByRole('link', { name: 'Open Setup' }).click();
    await page.getByText('Hive monitor, version 1 (hive-monitor.ts)').waitFor();
    await page.getByRole('button', { name: 'Approve hive-monitor.ts' }).click();
    await page.getByText(/Approved on .* A station uses it as “hive-monitor”/).waitFor();
    await page.goto(agent.url);
    await page.locator('table.figures').waitFor();
    const figures = () => seen(page.locator('table.figures'));
    await expect.poll(figures, { timeout: 20_000 }).toMatch(/coming in 123 W.*going out 49 W.*left 64 %/);
  });
});
