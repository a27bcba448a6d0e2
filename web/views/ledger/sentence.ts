/** The Ledger's sentence: what came from the sun in a stretch of days; then the mean of whole days and what is missing. */

import { earlierOf, type Period } from '#energy/ledger/periods';
import type { LedgerAnswer } from '#messages';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import type { Piece } from '../now/sentence.ts';
import type { LedgerFigures } from './figures.ts';

/** @param of whose days they are; dates that are missing tell that the record began before them */
export function ledgerSentence(
  figures: LedgerFigures,
  period: Period,
  { today, missing }: Pick<LedgerAnswer, 'today' | 'missing'>,
  formats: Formats,
  times: Times,
): { headline: string; sure: Piece[] } {
  const first = figures.days[0]?.date;
  const running = period.to >= today;
  if (first === undefined) {
    return running && missing.length === 0
      ? { headline: words.NOTHING_GATHERED, sure: [{ text: words.NOTHING_GATHERED_SURE }] }
      : { headline: words.nothingIn(stretchOf(period, today, times)), sure: [{ text: words.NOTHING_IN_SURE }] };
  }
  const energy = asText(formats.energy(figures.all.solarWh));
  return {
    headline: running
      ? words.gathered(energy, times.dayMonth(first, today))
      : words.gatheredIn(energy, stretchOf({ ...period, from: first }, today, times)),
    sure: [...meanOf(figures, formats), ...coverageOf(figures, formats)],
  };
}

/** `in July 2025`, `from 1 April to 30 September 2025`. */
function stretchOf({ kind, from, to }: Period, today: string, times: Times): string {
  if (kind === 'month') return words.inMonth(times.month(from));
  const end = earlierOf(to, today);
  return words.fromTo(times.dayMonth(from, end), times.dayMonth(end, today));
}

function meanOf({ meanWh, clearMeanWh, all }: LedgerFigures, formats: Formats): Piece[] {
  if (meanWh === null) return [{ text: words.noWholeDay }];
  const clear = clearMeanWh === null ? '.' : words.clearDay(asText(formats.energy(clearMeanWh)));
  return [
    { text: words.wholeDays(formats.number(all.wholeDays, 0)) },
    { text: asText(formats.energy(meanWh)), strong: true },
    { text: clear },
  ];
}

function coverageOf({ all, notSunWh }: LedgerFigures, formats: Formats): Piece[] {
  return [
    words.partlyDays(all.partlyDays, formats.number(all.partlyDays, 0)),
    words.missingDays(all.missingDays, formats.number(all.missingDays, 0)),
    notSunWh >= 1 ? words.notSun(asText(formats.energy(notSunWh))) : '',
  ]
    .filter(text => text !== '')
    .map(text => ({ text }));
}
