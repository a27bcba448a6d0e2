/** What axe-core finds on a page, each finding with its places; evaluated by the debugger, so that the page's policy stays. */
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright-core';

let source: Promise<string> | null = null;

export async function axeViolations(page: Page): Promise<string[]> {
  source ??= readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  await page.evaluate(await source);
  const found = await page.evaluate(() => (window as unknown as { axe: { run(): Promise<AxeResults> } }).axe.run());
  return found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`);
}
