import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { LIGHTS, lightOf, nextLight } from '../../web/state/light.ts';
import { keptChoices } from '../../web/state/storage.ts';
import { luminance } from '../support/png.ts';

const css = readFileSync(fileURLToPath(new URL('../../web/tokens.css', import.meta.url)), 'utf8');

/** Tokens of a light: those of day, overridden. */
function tokens(light: string): Record<string, string> {
  const block = (selector: string) => css.slice(css.indexOf(selector)).split('}')[0]!;
  const read = (text: string) =>
    Object.fromEntries([...text.matchAll(/--([\w-]+):\s*([^;]+);/g)].map(m => [m[1]!, m[2]!]));
  return { ...read(block(':root {')), ...(light === 'day' ? {} : read(block(`:root[data-light="${light}"]`))) };
}
const lightness = (hex: string) => {
  const [r, g, b] = [1, 3, 5].map(i => Number.parseInt(hex.slice(i, i + 2), 16));
  return luminance(r!, g!, b!);
};
const contrast = (a: string, b: string) => {
  const [high, low] = [lightness(a), lightness(b)].sort((x, y) => y - x);
  return (high! + 0.05) / (low! + 0.05);
};

describe.each(LIGHTS)('in the light %s', light => {
  const t = tokens(light);
  it('essential words have the contrast their light needs, on paper and on night shading', () => {
    for (const ground of [t.paper!, t.night!])
      expect(contrast(t.ink!, ground)).toBeGreaterThanOrEqual(light === 'glare' ? 12 : 7);
  });

  it('other words have at least 4.5:1, on paper and on night shading', () => {
    for (const ground of [t.paper!, t.night!]) expect(contrast(t.soft!, ground)).toBeGreaterThanOrEqual(4.5);
  });

  it('what is stored and promised has at least 3:1', () => {
    for (const ground of [t.paper!, t.night!]) expect(contrast(t.stored!, ground)).toBeGreaterThanOrEqual(3);
  });
});

describe('night', () => {
  it('has black paper and nothing blue', () => {
    const t = tokens('night');
    expect(t.paper).toBe('#000000');
    for (const name of ['ink', 'soft', 'stored', 'fill', 'hair']) {
      const [red, , blue] = [1, 3, 5].map(i => Number.parseInt(t[name]!.slice(i, i + 2), 16));
      expect(red!).toBeGreaterThan(blue!);
    }
  });
});

describe('the choice of light', () => {
  it('follows the system until the owner chooses', () => {
    expect(lightOf(null, { dark: true, moreContrast: false })).toBe('night');
    expect(lightOf(null, { dark: false, moreContrast: true })).toBe('glare');
    expect(lightOf('day', { dark: true, moreContrast: true })).toBe('day');
    expect(lightOf('ultraviolet', { dark: false, moreContrast: false })).toBe('day');
  });

  it('goes round day, glare, night', () => {
    expect(LIGHTS.map(nextLight)).toEqual(['glare', 'night', 'day']);
  });

  it('is kept for the page where the browser refuses storage', () => {
    const choices = keptChoices(() => {
      throw new DOMException('denied', 'SecurityError');
    });
    choices.keep('light', 'night');
    expect(choices.read('light')).toBe('night');
    choices.keep('light', null);
    expect(choices.read('light')).toBeNull();
  });
});
