/** What tests of Aim look at in a page: sizes of digits and targets, contrast, what axe finds, what is given to the ears. */
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright-core';

const LEAST_TARGET_PX = 48;

/** Box of the digits, and how tall their least digit really is. */
export const digitsOf = (page: Page) =>
  page.locator('aim-figure .digits').evaluate(async digits => {
    await document.fonts.ready;
    const style = getComputedStyle(digits);
    const pen = document.createElement('canvas').getContext('2d')!;
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    const { x, y, width, height } = digits.getBoundingClientRect();
    const text = document.createRange();
    text.selectNodeContents(digits);
    const ink = pen.measureText('1').actualBoundingBoxAscent;
    return { box: [x, y, width, height], height, ink, reach: text.getBoundingClientRect().right, roomPx: innerWidth };
  });

/** The least contrast, as WCAG 2.2 has it, of what must be read: the digits and the sentence. */
export const contrastOf = (page: Page): Promise<number> =>
  page.evaluate(() => {
    const light = (colour: string) => {
      const [r, g, b] = colour.match(/[\d.]+/g)!.map(part => {
        const s = Number(part) / 255;
        return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
    };
    const view = document.querySelector('aim-view')!.shadowRoot!;
    const digits = view.querySelector('aim-figure')!.shadowRoot!.querySelector('.digits')!;
    const paper = light(getComputedStyle(document.documentElement).backgroundColor);
    const inks = [digits, view.querySelector('h1')!].map(e => light(getComputedStyle(e).color));
    return Math.min(...inks.map(ink => (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05)));
  });

/** Everything that can be tapped, smaller than a gloved thumb needs. */
export const smallTargets = (page: Page): Promise<string[]> =>
  page.evaluate(least => {
    const deep = (root: ParentNode): Element[] =>
      [...root.querySelectorAll('*')].flatMap(e => [e, ...(e.shadowRoot === null ? [] : deep(e.shadowRoot))]);
    return deep(document)
      .filter(e => e.matches('a, button, input, select, summary') && !e.matches('.skip'))
      .map(e => ({ e, box: e.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 0 && (box.height < least - 0.5 || box.width < least - 0.5))
      .map(({ e, box }) => `${e.textContent?.trim() || e.id} ${box.width} × ${box.height}`);
  }, LEAST_TARGET_PX);

export async function violations(page: Page): Promise<string[]> {
  const found = await page.evaluate(() => (window as unknown as { axe: { run(): Promise<AxeResults> } }).axe.run());
  return found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`);
}

export interface Heard {
  /** Pitches, Hz, in the order they were scheduled. */
  notes: number[];
  contexts: string[];
  said: string[];
}

/** Notes what the page gives to the ears; the sound itself stays as it is. */
export const listenIn = async (page: Page): Promise<void> => {
  await page.addInitScript(() => {
    const notes: number[] = [];
    const said: string[] = [];
    const contexts: AudioContext[] = [];
    const begin = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (at) {
      notes.push(this.frequency.value);
      if (!contexts.includes(this.context as AudioContext)) contexts.push(this.context as AudioContext);
      begin.call(this, at);
    };
    const speech = { speaking: false, cancel: () => undefined, speak: ({ text }: { text: string }) => said.push(text) };
    Object.defineProperty(window, 'speechSynthesis', { value: speech });
    const heard = { notes, said, contexts: [] as string[] };
    Object.defineProperty(heard, 'contexts', { enumerable: true, get: () => contexts.map(({ state }) => state) });
    Object.assign(window, { heard });
  });
};
