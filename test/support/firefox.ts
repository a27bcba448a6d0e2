/**
 * A stock Firefox for tests of the page, over WebDriver BiDi (https://www.w3.org/TR/webdriver-bidi/), which it speaks
 * itself: a socket, numbered commands, events. Only what the smoke run needs. Where there is none, tests are pending on
 * a user's machine and fail where CI=true.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { WebSocket } from 'ws';
import { hasProgram } from './needs.ts';

const PROGRAMS = ['firefox-esr', 'firefox'];
export const HOW_TO_GET_FIREFOX = 'Install Firefox (apt-get install firefox-esr).';

/** True where it can run. Throws under CI=true, where it must. WATTKEEP_FIREFOX names another one. */
export function firefoxProgram(): string | null {
  const named = process.env.WATTKEEP_FIREFOX;
  const found = named !== undefined && named !== '' ? named : (PROGRAMS.find(hasProgram) ?? null);
  if (found === null && process.env.CI === 'true') throw new Error(`No Firefox found. ${HOW_TO_GET_FIREFOX}`);
  return found;
}

/** Nothing of the first start: no page of its own, no question, no request to anyone. */
const PREFERENCES: Readonly<Record<string, string | number | boolean>> = {
  'app.normandy.enabled': false,
  'browser.newtab.preload': false,
  'browser.newtabpage.enabled': false,
  'browser.shell.checkDefaultBrowser': false,
  'browser.startup.page': 0,
  'browser.startup.homepage_override.mstone': 'ignore',
  'datareporting.policy.dataSubmissionEnabled': false,
  'network.captive-portal-service.enabled': false,
  'network.connectivity-service.enabled': false,
  'services.settings.server': 'data:,',
  'toolkit.telemetry.reportingpolicy.firstRun': false,
  'dom.ipc.processPrelaunch.enabled': false,
  'extensions.autoDisableScopes': 15,
  'extensions.enabledScopes': 0,
  'intl.accept_languages': 'en-GB',
};

export interface FirefoxPage {
  /** Goes there and waits until it has loaded. */
  go(address: string): Promise<void>;
  /** The value of an expression in the page; a promise is waited for. */
  value<T>(expression: string): Promise<T>;
  /** Asks again until it is true. */
  until(expression: string): Promise<void>;
  /** A real press of the pointer in the middle of what the expression gives. */
  tap(element: string): Promise<void>;
  /** The viewport as a PNG. */
  picture(): Promise<Buffer>;
  /** Errors and warnings of the console so far. */
  readonly complaints: readonly string[];
  close(): Promise<void>;
}

const STARTS_WITHIN_MS = 45_000;
const WAIT_MS = 20_000;
const LOOK_AGAIN_MS = 50;

export async function openFirefox(size: { width: number; height: number }): Promise<FirefoxPage> {
  const profile = mkdtempSync(join(tmpdir(), 'wattkeep-firefox-'));
  const lines = Object.entries(PREFERENCES).map(
    ([name, is]) => `user_pref(${JSON.stringify(name)}, ${JSON.stringify(is)});`,
  );
  writeFileSync(join(profile, 'user.js'), lines.join('\n'));
  const child = spawn(
    firefoxProgram()!,
    ['--headless', '--no-remote', '--profile', profile, '--remote-debugging-port', '0'],
    { stdio: ['ignore', 'ignore', 'pipe'], env: { ...process.env, HOME: profile, MOZ_CRASHREPORTER_DISABLE: '1' } },
  );
  const ended = new Promise<void>(done => child.once('close', () => done()));
  const end = async () => {
    // Nothing of the profile is kept: asked to close, it would first write it down.
    child.kill('SIGKILL');
    await ended;
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  };
  try {
    const address = await addressOf(child, ended);
    const { socket, send, complaints } = await speak(`${address}/session`);
    await send('session.new', { capabilities: {} });
    await send('session.subscribe', { events: ['log.entryAdded'] });
    const { contexts } = await send<{ contexts: { context: string }[] }>('browsingContext.getTree', {});
    const context = contexts[0]!.context;
    await send('browsingContext.setViewport', { context, viewport: size });
    return pageOf(send, context, complaints, () => {
      socket.terminate();
      return end();
    });
  } catch (cause) {
    await end();
    throw cause;
  }
}

/** Where it can be spoken to, which it prints once it has started. */
function addressOf(child: ChildProcess, ended: Promise<void>): Promise<string> {
  return new Promise<string>((resolve, reject) => {
    createInterface(child.stderr!).on('line', line => {
      const found = /WebDriver BiDi listening on (ws:\S+)/.exec(line);
      if (found !== null) resolve(found[1]!);
    });
    child.once('error', reject);
    void ended.then(() => reject(new Error('Firefox ended before it could be spoken to')));
    setTimeout(() => reject(new Error('Firefox told no address')), STARTS_WITHIN_MS).unref();
  });
}

type Send = <T>(method: string, params: object) => Promise<T>;
interface Heard {
  id?: number;
  type: string;
  result?: unknown;
  error?: string;
  message?: string;
  params?: { level?: string; text?: string };
}

/** Numbered commands and their answers over one socket; what the console says is gathered. */
async function speak(address: string) {
  const socket = new WebSocket(address);
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  const waiting = new Map<number, (heard: Heard) => void>();
  const complaints: string[] = [];
  let last = 0;
  socket.on('message', bytes => {
    const heard = JSON.parse(String(bytes)) as Heard;
    if (heard.id !== undefined) waiting.get(heard.id)?.(heard);
    else if (heard.params?.level === 'error' || heard.params?.level === 'warn')
      complaints.push(heard.params.text ?? '');
  });
  const send = <T>(method: string, params: object): Promise<T> =>
    new Promise((resolve, reject) => {
      const id = ++last;
      waiting.set(id, heard => {
        waiting.delete(id);
        if (heard.type === 'success') resolve(heard.result as T);
        else reject(new Error(`${method}: ${heard.error}: ${heard.message}`));
      });
      socket.send(JSON.stringify({ id, method, params }));
    });
  return { socket, send, complaints };
}

interface Evaluated {
  type: string;
  result?: { type: string; value?: unknown };
  exceptionDetails?: { text: string };
}

function pageOf(send: Send, context: string, complaints: readonly string[], close: () => Promise<void>): FirefoxPage {
  // As JSON: the protocol's own form of values would have to be read back otherwise.
  const value = async <T>(expression: string): Promise<T> => {
    const told = await send<Evaluated>('script.evaluate', {
      expression: `(async () => JSON.stringify(await (${expression})))()`,
      target: { context },
      awaitPromise: true,
    });
    if (told.type !== 'success') throw new Error(`${expression}: ${told.exceptionDetails?.text}`);
    return told.result?.type === 'string' ? (JSON.parse(told.result.value as string) as T) : (undefined as T);
  };
  return {
    complaints,
    close,
    value,
    go: address => send('browsingContext.navigate', { context, url: address, wait: 'complete' }),
    async until(expression) {
      const endMs = performance.now() + WAIT_MS;
      while (!(await value<boolean>(`Boolean(${expression})`))) {
        if (performance.now() > endMs) throw new Error(`never came true: ${expression}`);
        await new Promise(resolve => setTimeout(resolve, LOOK_AGAIN_MS));
      }
    },
    async tap(element) {
      const at = `(box => ({ x: Math.round(box.x + box.width / 2), y: Math.round(box.y + box.height / 2) }))`;
      const { x, y } = await value<{ x: number; y: number }>(`${at}((${element}).getBoundingClientRect())`);
      const steps = [
        { type: 'pointerMove', x, y },
        { type: 'pointerDown', button: 0 },
        { type: 'pointerUp', button: 0 },
      ];
      const thumb = { type: 'pointer', id: 'thumb', parameters: { pointerType: 'touch' }, actions: steps };
      await send('input.performActions', { context, actions: [thumb] });
    },
    async picture() {
      const { data } = await send<{ data: string }>('browsingContext.captureScreenshot', { context });
      return Buffer.from(data, 'base64');
    },
  };
}
