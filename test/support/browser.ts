/**
 * A real Chromium for tests of the page: the system's own, else Playwright's. Where there is none, tests are pending
 * on a user's machine and fail where CI=true. Its shell without windows, where that is installed, is the same engine and
 * takes half the time.
 */
import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const SHELL = '/usr/bin/chromium-headless-shell';
const SYSTEM = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome-stable',
  '/usr/bin/google-chrome',
  '/snap/bin/chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
];
const ARGUMENTS = [
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/**
 * Path of a Chromium, or null. WATTKEEP_CHROMIUM names another one.
 *
 * @param whole with all that its users have, where there is one: for figures and pictures
 */
export function chromiumPath(whole = false): string | null {
  const named = process.env.WATTKEEP_CHROMIUM;
  if (named !== undefined && named !== '') return named;
  const installed = [...SYSTEM, chromium.executablePath()];
  return (whole ? [...installed, SHELL] : [SHELL, ...installed]).find(existsSync) ?? null;
}

export const HOW_TO_GET_CHROMIUM =
  'Install Chromium (apt-get install chromium, or npx playwright-core install chromium).';

/** True where browser tests can run. Throws under CI=true, where they must. */
export function hasChromium(): boolean {
  if (chromiumPath() !== null) return true;
  if (process.env.CI === 'true') throw new Error(`No Chromium found. ${HOW_TO_GET_CHROMIUM}`);
  console.warn(`Browser tests are pending: no Chromium found. ${HOW_TO_GET_CHROMIUM}`);
  return false;
}

/** @param more arguments beside those every test has */
export const launchChromium = (more: readonly string[] = []): Promise<Browser> => launch(chromiumPath()!, more);

/** As the owner's own. */
export const launchWholeChromium = (): Promise<Browser> => launch(chromiumPath(true)!, []);

function launch(executablePath: string, more: readonly string[]): Promise<Browser> {
  // Chromium refuses its sandbox to root.
  const sandbox = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  return chromium.launch({ executablePath, args: [...ARGUMENTS, ...sandbox, ...more] });
}
