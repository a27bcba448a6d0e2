/** What the money buys, a row for each result: only what of it is known of any of them. */
import type { ComparisonAnswer } from '#messages';
import { text } from './escape.ts';
import { unit, withRange } from './numbers.ts';

type Worth = ComparisonAnswer['worth'][number];

/** '' where nothing is known. */
export function moneyTable({ worth, currency }: Pick<ComparisonAnswer, 'worth' | 'currency'>): string {
  const coin = currency ?? '';
  const columns = (
    [
      ['For a delivered Wh', (w: Worth) => w.perDeliveredWh, coin],
      ['For a harvested Wh a year', (w: Worth) => w.perHarvestedWhAYear, coin],
      ['Paid back after', (w: Worth) => w.payBackYears, 'years'],
    ] as const
  ).filter(([, of]) => worth.some(w => of(w) !== null));
  const rows = worth.filter(w => columns.some(([, of]) => of(w) !== null));
  if (rows.length === 0) return '';
  const cell = (range: Worth['perDeliveredWh'], sign: string) =>
    `<td class="n">${range === null ? '' : `${withRange(range)}${unit(sign)}`}</td>`;
  return `<h2>What the money buys</h2><div class="table money"><table><thead><tr><th>Trial</th>${columns
    .map(([name]) => `<th class="n">${name}</th>`)
    .join('')}</tr></thead><tbody>${rows
    .map(
      w =>
        `<tr><td><code>${text(w.trial)}</code></td>${columns.map(([, of, sign]) => cell(of(w), sign)).join('')}</tr>`,
    )
    .join('')}</tbody></table></div>`;
}
