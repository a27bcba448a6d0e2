/** Puts the page together in a browser: real clock, socket, storage and fetch; the masthead; the view of the address. */

import { showMasthead } from './masthead.ts';
import { showViews } from './router.ts';
import { agentApi } from './state/api.ts';
import { createApp } from './state/app.ts';
import { withLightCookie } from './state/light-cookie.ts';
import { countSleep, type PageClock } from './state/page-clock.ts';
import { keptChoices } from './state/storage.ts';

const awake = countSleep(
  () => performance.now(),
  () => Date.now(),
);
const clock: PageClock = {
  nowMs: awake.nowMs,
  wallIso: () => new Date().toISOString(),
  after(delayMs, call) {
    const id = setTimeout(call, delayMs);
    return { cancel: () => clearTimeout(id) };
  },
  whenShown(call) {
    if (document.visibilityState === 'visible') requestAnimationFrame(call);
    else setTimeout(call, 0);
  },
};

/** Starts everything; called once, after the first frame. */
export function run(): void {
  const dark = matchMedia('(prefers-color-scheme: dark)');
  const contrast = matchMedia('(prefers-contrast: more)');
  const app = createApp({
    clock,
    openSocket: () =>
      new WebSocket(`${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/live`) as never,
    api: agentApi(async (address, init) => {
      const answer = await fetch(address, init);
      if (init?.method && (answer.status === 401 || answer.status === 403)) {
        const told = answer.clone();
        void import('./turned-away.ts').then(({ tellTurnedAway }) => tellTurnedAway(told));
      }
      return answer;
    }),
    choices: withLightCookie(
      keptChoices(() => localStorage),
      document,
    ),
    wish: () => ({ dark: dark.matches, moreContrast: contrast.matches }),
    locale: navigator.language,
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
  });
  for (const query of [dark, contrast]) query.addEventListener('change', () => app.systemWishChanged());
  app.connection.listen(() => {
    // Not gone but closed to this browser: its session is over, and the agent shows the way to a new one.
    if (app.connection.value.phase === 'lost')
      void fetch('/api/session').then(
        ({ status }) => status === 401 && location.reload(),
        () => undefined,
      );
  });
  addEventListener('online', () => app.retry());
  const returned = () => {
    awake.returned();
    app.returned();
  };
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') returned();
    else awake.left();
  });
  // A browser may freeze a page in the background, and tell its end before anything that waited.
  document.addEventListener('freeze', awake.left);
  document.addEventListener('resume', returned);
  showMasthead(app, document);
  let alarmsShown = false;
  app.alarms.listen(() => {
    if (alarmsShown || app.alarms.value.length === 0) return;
    alarmsShown = true;
    void import('./alarm-lines.ts').then(
      ({ showAlarmLines }) => showAlarmLines(app),
      () => {
        // The agent went away meanwhile: tried again with what it tells next.
        alarmsShown = false;
      },
    );
  });
  showViews(app, document);
  app.start();
}
