/**
 * A byte written into the pseudo-terminal until its watts stand as Aim's figure in a painted frame, and until the tone
 * of those watts begins, ms; five readings a second on a processor four times slower: a phone in the yard. Clocks are
 * compared before each round, as for `painted`. A pulse counts from when it is scheduled to sound, by the audio clock;
 * what the loudspeaker takes beyond that is not in it.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { Page } from 'playwright-core';
import { pitchOf } from '../../web/sound/pulses.ts';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchWholeChromium } from '../support/browser.ts';
import { atMost, type Bench, type Figure, unmeasured } from './figure.ts';
import { aheadMs, ownNowMs } from './painted.ts';
import { hasProgram } from './places.ts';
import { ofRounds } from './samples.ts';
import { agentRoad, type Road } from './wire-road.ts';

const ROUNDS = 6;
const READINGS = 50;
const HZ = 5;
const THROTTLE = 4;
const ALLOWED_MS = 300;
const SOUND_ALLOWED_MS = 150;
/** The best so far, which pitches are told by; every reading differs from the one before by more than is eased. */
const BEST_W = 999;
const SAME_PITCH = 0.004;
const PHONE = { viewport: { width: 390, height: 844 } };

interface Seen {
  text: string;
  paintedMs: number;
}
interface Pulse {
  hz: number;
  soundsMs: number;
}
type Watching = typeof globalThis & { seen: Seen[]; pulses: Pulse[] };

const lineOf = (watts: number): string => `{"inputPowerW":${watts},"outputPowerW":41,"stateOfChargePct":52}\n`;

/** Runs in the page: notes when each new text of the figure was painted, by the page's own clock. */
function watchFigure(): void {
  const view = document.querySelector('aim-view')!.shadowRoot!;
  const figure = view.querySelector('aim-figure')!.shadowRoot!;
  const page = globalThis as Watching;
  page.seen = [];
  new MutationObserver(() => {
    const text = figure.querySelector('.digits')!.textContent!;
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => {
        page.seen.push({ text, paintedMs: performance.timeOrigin + performance.now() });
      };
      after.port2.postMessage(null);
    });
  }).observe(figure, { subtree: true, childList: true, characterData: true });
}

/** Runs before the page's own code: notes each pulse with the moment it sounds, by the page's own clock. */
function listenIn(): void {
  const page = globalThis as Watching;
  page.pulses = [];
  const begin = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (at = 0) {
    const inMs = Math.max(0, (at - this.context.currentTime) * 1000);
    page.pulses.push({ hz: this.frequency.value, soundsMs: performance.timeOrigin + performance.now() + inMs });
    begin.call(this, at);
  };
}

async function openAim(road: Road, page: Page): Promise<void> {
  await page.addInitScript(listenIn);
  await page.goto(`${road.served.url}aim`);
  // The agent's link may open after its address is told, and what is written before that is lost: said until it is shown.
  const saying = setInterval(() => road.pty.write(lineOf(100)), 500);
  try {
    await page.locator('aim-figure .digits').filter({ hasText: '100' }).waitFor();
  } finally {
    clearInterval(saying);
  }
  await page.evaluate(watchFigure);
  await page.getByRole('button', { name: 'Tone' }).click();
  road.pty.write(lineOf(BEST_W));
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Emulation.setCPUThrottlingRate', { rate: THROTTLE });
}

interface Round {
  painted: number[];
  sounded: number[];
}

/** Up and down by turns, no two alike within a round: 101…599 and 600…998. */
const wattsAt = (i: number): number => (i % 2 === 0 ? 101 + ((7 * i) % 399) : 600 + ((11 * i) % 399));

/** One round: ms from each line to its painted figure, and to the first pulse of its pitch. */
async function round(road: Road, page: Page, from: number): Promise<Round> {
  const ahead = await aheadMs(page);
  await page.evaluate(() => {
    (globalThis as Watching).seen.length = 0;
    (globalThis as Watching).pulses.length = 0;
  });
  const sent: { watts: number; atMs: number }[] = [];
  for (let i = 0; i < READINGS; i++) {
    const watts = wattsAt(from + i);
    sent.push({ watts, atMs: ownNowMs() });
    road.pty.write(lineOf(watts));
    // Not in step with the frames.
    await pause(1000 / HZ + (Math.random() - 0.5) * 16);
  }
  await pause(2 * ALLOWED_MS);
  const { seen, pulses } = await page.evaluate(() => {
    const { seen, pulses } = globalThis as Watching;
    return { seen, pulses };
  });
  const after = (ms: number, atMs: number) => ms - ahead - atMs;
  const firstAfter = (atMs: number, times: readonly number[]): number[] => {
    const waits = times.map(ms => after(ms, atMs)).filter(wait => wait > 0);
    return waits.length === 0 ? [] : [Math.min(...waits)];
  };
  return {
    painted: sent.flatMap(({ watts, atMs }) =>
      firstAfter(
        atMs,
        seen.filter(({ text }) => text === String(watts)).map(({ paintedMs }) => paintedMs),
      ),
    ),
    sounded: sent.flatMap(({ watts, atMs }) => {
      const hz = pitchOf(watts / BEST_W);
      const own = pulses.filter(pulse => Math.abs(pulse.hz / hz - 1) < SAME_PITCH);
      return firstAfter(
        atMs,
        own.map(({ soundsMs }) => soundsMs),
      );
    }),
  };
}

function figuresOf(rounds: Round[]): Figure[] {
  const figures = (words: string, key: keyof Round, allowedMs: number): Figure[] => {
    const taken = rounds.map(each => each[key]);
    const seen = taken.reduce((sum, each) => sum + each.length, 0);
    const samples = `${ROUNDS} rounds, ${seen} of ${ROUNDS * READINGS} seen`;
    const name = (share: string) => `reading → ${words} at ${HZ} Hz, ${share}`;
    return [
      { name: name('p50'), unit: 'ms', value: ofRounds(taken, 0.5), samples },
      { name: name('p95'), unit: 'ms', value: ofRounds(taken, 0.95), goal: atMost(allowedMs), samples },
    ];
  };
  return [...figures('painted figure', 'painted', ALLOWED_MS), ...figures('sound', 'sounded', SOUND_ALLOWED_MS)];
}

export const aim: Bench = {
  name: 'aim',
  title: `Aim: byte into the pseudo-terminal → painted figure, and → its tone, at ${THROTTLE} × CPU throttle`,
  async run(say) {
    const missing = !hasProgram('socat') ? 'socat is missing' : chromiumPath() === null ? HOW_TO_GET_CHROMIUM : null;
    if (missing !== null) return [unmeasured('reading → painted figure', missing)];
    const road = await agentRoad();
    const browser = await launchWholeChromium();
    try {
      const page = await browser.newPage(PHONE);
      await openAim(road, page);
      await round(road, page, 0);
      say(`${ROUNDS} rounds of ${READINGS} readings`);
      const rounds: Round[] = [];
      for (let i = 1; i <= ROUNDS; i++) rounds.push(await round(road, page, i * READINGS));
      return figuresOf(rounds);
    } finally {
      await browser.close();
      await road.end();
    }
  },
};
