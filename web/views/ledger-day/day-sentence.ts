/** The day's sentence: what came from the sun; then how much of it was recorded, why not all, and what a clear sky gives. */
import type { LedgerDayAnswer } from '#messages';
import { asText, type Formats, spanText, type Times } from '../../format.ts';
import * as words from '../../words/ledger-day.ts';
import type { Piece } from '../now/sentence.ts';
import type { DayGap } from './day-picture.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
/** As whole as the Ledger takes a day to be, %. */
const WHOLE_FROM_PCT = 98;

export interface DaySentence {
  headline: string;
  sure: Piece[];
}

/** `Friday 3 July`, with the year where it is not this one. */
export const dateText = (date: string, today: string, times: Times): string =>
  `${times.weekday(date)} ${times.dayMonth(date, today)}`;

export function daySentence(
  answer: LedgerDayAnswer,
  gaps: readonly DayGap[],
  clearSkyWh: number | null,
  formats: Formats,
  times: Times,
): DaySentence {
  const { day, date, today } = answer;
  const name = dateText(date, today, times);
  const hours = (Date.parse(answer.endAt) - Date.parse(answer.startAt)) / HOUR_MS;
  const changed: Piece[] =
    hours === 24 ? [] : [{ text: words.hoursLong(formats.number(hours, hours % 1 === 0 ? 0 : 1)) }];
  if (date > today) return { headline: words.notCome(name), sure: [] };
  if (day === null)
    return { headline: words.nothingOf(name), sure: [...reasonPiece(gaps), ...clear(clearSkyWh, formats), ...changed] };
  const energy = asText(formats.energy(day.solarWh));
  return {
    headline: date === today ? words.gatheredToday(energy) : words.gatheredOn(energy, name),
    sure: [...recorded(answer, gaps, formats), ...clear(clearSkyWh, formats), ...changed],
  };
}

function recorded({ day, date, today }: LedgerDayAnswer, gaps: readonly DayGap[], formats: Formats): Piece[] {
  const { coveragePct, coveredMs } = day!;
  if (coveragePct >= WHOLE_FROM_PCT)
    return [{ text: date === today ? words.allRecordedToday : words.allRecorded }, { text: ' ' }];
  const missingMs = coveragePct <= 0 ? 0 : coveredMs * (100 / coveragePct - 1);
  const share = asText(formats.percent(Math.floor(coveragePct)));
  const text = words.recordedShare(share, spanText(Math.round(missingMs / MINUTE_MS) * MINUTE_MS));
  return [{ text: `${text}${reasons(gaps)}. ` }];
}

/** Each reason once, the one of the longest gap first. */
function reasons(gaps: readonly DayGap[]): string {
  const longestFirst = [...gaps].sort((a, b) => b.toMs - b.fromMs - (a.toMs - a.fromMs));
  const told = [...new Set(longestFirst.flatMap(gap => gap.reason ?? []))];
  return told.length === 0 ? '' : words.because(told.join('; '));
}

function reasonPiece(gaps: readonly DayGap[]): Piece[] {
  const text = reasons(gaps).replace(/^: /, '');
  return text === '' ? [] : [{ text: `${text.slice(0, 1).toUpperCase()}${text.slice(1)}. ` }];
}

function clear(clearSkyWh: number | null, formats: Formats): Piece[] {
  if (clearSkyWh === null) return [];
  return [{ text: words.couldGive }, { text: asText(formats.energy(clearSkyWh)), strong: true }, { text: '.' }];
}

/** Of the course a page draws, where the Ledger's own sum is not there, Wh. */
export const courseWh = ({ clearSky }: LedgerDayAnswer): number | null =>
  clearSky === null ? null : (clearSky.powerW.reduce((sum, watts) => sum + watts, 0) * clearSky.stepMs) / HOUR_MS;
