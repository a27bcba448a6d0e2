/**
 * A page that the browser really freezes, as a phone does in the background. Playwright keeps each page it knows visible
 * and so never frozen: this one lives in a context of its own, behind another tab while it is away.
 */
import type { Browser, CDPSession } from 'playwright-core';

const HOUR_MS = 3_600_000;

/**
 * In the page, before its own code: both clocks can be put forward, from then on no timer of a second or more fires: what
 * comes then waited for none.
 */
const CLOCKS_IN_HAND = `{
  let [monoMs, wallMs, held] = [0, 0, false];
  const [mono, wall, timer] = [performance.now.bind(performance), Date.now, setTimeout];
  performance.now = () => mono() + monoMs;
  Date.now = () => wall() + wallMs;
  window.setTimeout = (call, delayMs = 0) => timer(() => (held && delayMs >= 1000 ? undefined : call()), delayMs);
  window.passed = (moreMonoMs, moreWallMs) => {
    [monoMs, wallMs, held] = [monoMs + moreMonoMs, wallMs + moreWallMs, true];
  };
}`;

export interface FreezablePage {
  /** The words of an element of the Now view, spaces made plain; '' while it is not there. */
  text(selector: string): Promise<string>;
  /** Goes to the background and is frozen there for an hour. @param slept its monotonic clock stood still as well */
  freezeForAnHour(slept: boolean): Promise<void>;
  thaw(): Promise<void>;
  close(): Promise<void>;
}

/** Speaks to a target that Playwright does not know. */
async function speaker(root: CDPSession, targetId: string) {
  const { sessionId } = await root.send('Target.attachToTarget', { targetId, flatten: false });
  const waiting = new Map<number, (answer: { result?: { result?: { value?: unknown } }; error?: unknown }) => void>();
  root.on('Target.receivedMessageFromTarget', ({ message, sessionId: from }) => {
    const answer = JSON.parse(message);
    if (from === sessionId) waiting.get(answer.id)?.(answer);
  });
  let id = 0;
  const say = async (method: string, params: object = {}): Promise<unknown> => {
    const mine = ++id;
    const answered = new Promise<Parameters<Parameters<typeof waiting.set>[1]>[0]>(done => waiting.set(mine, done));
    await root.send('Target.sendMessageToTarget', { sessionId, message: JSON.stringify({ id: mine, method, params }) });
    const { result, error } = await answered;
    if (error !== undefined) throw new Error(`${method}: ${JSON.stringify(error)}`);
    return result?.result?.value;
  };
  return { say, run: (expression: string) => say('Runtime.evaluate', { expression, returnByValue: true }) };
}

export async function freezablePage(browser: Browser, address: string): Promise<FreezablePage> {
  const root = await browser.newBrowserCDPSession();
  const { browserContextId } = await root.send('Target.createBrowserContext', {});
  const tab = () => root.send('Target.createTarget', { url: 'about:blank', browserContextId });
  const [{ targetId }, other] = [await tab(), await tab()];
  const { say, run } = await speaker(root, targetId);
  await root.send('Target.activateTarget', { targetId });
  await say('Page.enable');
  await say('Page.addScriptToEvaluateOnNewDocument', { source: CLOCKS_IN_HAND });
  await say('Page.navigate', { url: address });
  return {
    async text(selector) {
      const found = `document.querySelector('now-view')?.shadowRoot?.querySelector(${JSON.stringify(selector)})`;
      return String((await run(`${found}?.innerText ?? ''`)) ?? '')
        .replace(/[\u00a0\u202f\s]+/g, ' ')
        .trim();
    },
    async freezeForAnHour(slept) {
      await root.send('Target.activateTarget', { targetId: other.targetId });
      await say('Page.setWebLifecycleState', { state: 'frozen' });
      await run(`passed(${slept ? 0 : HOUR_MS}, ${HOUR_MS})`);
    },
    async thaw() {
      await say('Page.setWebLifecycleState', { state: 'active' });
      await root.send('Target.activateTarget', { targetId });
    },
    async close() {
      await root.send('Target.disposeBrowserContext', { browserContextId });
      await root.detach();
    },
  };
}
