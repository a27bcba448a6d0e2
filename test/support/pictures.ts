/**
 * The README's pictures, taken of the real program: `npm run pictures`. The demo is started in a folder of its own, each
 * view is opened as a reader would, and what is seen is written to web/pictures.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { MarkAnswer } from '#messages';
import { freshFolders, startAgentProcess } from './agent-process.ts';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchWholeChromium } from './browser.ts';

const DESKTOP = { width: 1280, height: 800 };
const PHONE = { width: 390, height: 844 };
const PICTURES = [
  { name: 'now-day', path: '', light: 'day', size: DESKTOP },
  { name: 'now-night', path: '', light: 'night', size: PHONE },
  { name: 'now-phone', path: '', light: 'day', size: PHONE },
  { name: 'aim-phone', path: 'aim', light: 'day', size: PHONE },
  { name: 'ledger-day', path: 'ledger', light: 'day', size: PHONE },
  { name: 'wiring-day', path: 'wiring', light: 'day', size: DESKTOP },
] as const;

/** dist/test/support → the project. */
const OUT = fileURLToPath(new URL('../../../web/pictures', import.meta.url));
const SETTLE_MS = 3_000;
/** Long enough at a spot for a verdict. */
const STAND_MS = 75_000;
const AIM = 'api/stations/honey-shed';

const pause = (ms: number) => new Promise(done => setTimeout(done, ms));

/** Three spots marked one after the other, as in a yard; by night there is nothing to mark. */
async function walk(): Promise<void> {
  for (const spot of [null, 'hive-stand', 'fence']) {
    if (spot !== null) await agent.post(`${AIM}/spots`, { do: 'carry', spot });
    await pause(STAND_MS);
    const { mark, why } = await agent.post<MarkAnswer>(`${AIM}/marks`, {});
    console.log(mark === null ? `not marked: ${why}` : `marked ${mark.letter}`);
  }
}

if (chromiumPath() === null) throw new Error(`No Chromium found. ${HOW_TO_GET_CHROMIUM}`);
const folders = freshFolders('[display]\nclock = "24"\n');
const agent = await startAgentProcess(folders);
const browser = await launchWholeChromium();
try {
  mkdirSync(OUT, { recursive: true });
  await walk();
  for (const { name, path, light, size } of PICTURES) {
    const context = await browser.newContext({ viewport: size, deviceScaleFactor: 1, locale: 'en-GB' });
    // As its owner sees it, whose browser has opened the printed link.
    const [cookie = '', value = ''] = (await agent.cookie()).split('=');
    await context.addCookies([
      { name: cookie, value, url: agent.url },
      { name: 'wattkeep.light', value: light, url: agent.url },
    ]);
    const page = await context.newPage();
    await page.goto(new URL(path, agent.url).href);
    await page.waitForTimeout(SETTLE_MS);
    await page.screenshot({ path: join(OUT, `${name}.png`) });
    await context.close();
    console.log(`web/pictures/${name}.png`);
  }
} finally {
  await browser.close();
  await agent.end();
  folders.remove();
}
