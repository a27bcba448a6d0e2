/** The Ledger's sentence: what came from the sun since when; then the mean of whole days and what is missing. */
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import type { Piece } from '../now/sentence.ts';
import type { LedgerFigures } from './figures.ts';

export function ledgerSentence(
  figures: LedgerFigures,
  today: string,
  formats: Formats,
  times: Times,
): { headline: string; sure: Piece[] } {
  const first = figures.days[0];
  if (first === undefined) return { headline: words.NOTHING_GATHERED, sure: [{ text: words.NOTHING_GATHERED_SURE }] };
  const count = (n: number) => formats.number(n, 0);
  const sure: Piece[] =
    figures.meanWh === null
      ? [{ text: words.noWholeDay }]
      : [
          { text: words.wholeDays(count(figures.wholeDays)) },
          { text: asText(formats.energy(figures.meanWh)), strong: true },
          { text: '.' },
        ];
  const added = [
    words.partlyDays(figures.partlyDays, count(figures.partlyDays)),
    words.missingDays(figures.missingDays, count(figures.missingDays)),
    figures.otherWh >= 1 ? words.notSun(asText(formats.energy(figures.otherWh))) : '',
  ];
  return {
    headline: words.gathered(asText(formats.energy(figures.solarWh)), times.dayMonth(first.date, today)),
    sure: [...sure, ...added.filter(text => text !== '').map(text => ({ text }))],
  };
}
