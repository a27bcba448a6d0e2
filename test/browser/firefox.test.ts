import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { built } from '../support/built.ts';
import { type FakeAgent, fakeAgent } from '../support/fake-agent.ts';
import { type FirefoxPage, firefoxProgram, HOW_TO_GET_FIREFOX, openFirefox } from '../support/firefox.ts';
import { EVENING_AT } from '../support/honey-shed.ts';
import { aimMessage, sunReading, yardAnswer, yardMark } from '../support/honey-yard.ts';
import { readPng } from '../support/png.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const SIZE = { width: 360, height: 640 };
const VIEW = `document.querySelector('aim-view').shadowRoot`;
const DIGITS = `${VIEW}.querySelector('aim-figure').shadowRoot.querySelector('.digits')`;
const SENTENCE = `${VIEW}.querySelector('h1').textContent`;

const missing = firefoxProgram() === null;
if (missing) console.warn(`The Firefox run is pending: no Firefox found. ${HOW_TO_GET_FIREFOX}`);

describe.skipIf(missing)(missing ? `Firefox (pending: ${HOW_TO_GET_FIREFOX})` : 'Firefox', () => {
  let agent: FakeAgent | null = null;
  let firefox: FirefoxPage | null = null;
  afterEach(async () => {
    await firefox?.close();
    await agent?.stop();
  });

  it('shows Aim: the figure follows each reading, a tap marks the spot, and the console stays quiet', async () => {
    const mark = yardMark({ id: 4, letter: 'D' });
    const data = shedData(
      { reading: null },
      { settings: shedSettings(), aim: yardAnswer(), mark: () => ({ mark, why: 'ok' }) },
    );
    data.messages.push(sunReading(214), aimMessage());
    agent = await fakeAgent(path.dirname(built('web/manifest.json')), data);
    firefox = await openFirefox(SIZE);
    await firefox.go(`${agent.address}/aim`);
    await firefox.until(
      `document.querySelector('aim-view')?.shadowRoot?.querySelector('h1')?.textContent.startsWith('C is better')`,
    );
    for (const [watts, text] of [
      [987, '987'],
      [1240, '1.24'],
      [9.9, '9.9'],
    ] as const) {
      agent.push(sunReading(watts, watts * 10, EVENING_AT + watts * 10));
      await firefox.until(`${DIGITS}.textContent === ${JSON.stringify(text)}`);
    }
    expect(await firefox.value<number>(`${DIGITS}.getBoundingClientRect().height`)).toBeGreaterThanOrEqual(97);
    expect(await firefox.value<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(SIZE.width);
    await firefox.tap(`${VIEW}.querySelector('.acts button.main')`);
    await firefox.until(`${VIEW}.querySelector('.acts .told').textContent.startsWith('D is marked')`);
    expect(agent.asked.find(a => a.path.endsWith('/marks'))).toMatchObject({ method: 'POST', header: '1', body: {} });
    expect(await firefox.value<string>(SENTENCE)).toContain('give or take');
    const picture = readPng(await firefox.picture());
    expect([picture.width, picture.height]).toEqual([SIZE.width, SIZE.height]);
    expect(firefox.complaints).toEqual([]);
  });
});
