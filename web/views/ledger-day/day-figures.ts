/** The day's figures as rows of words: yields and level; and where the rest went. */
import type { LedgerAnswer, LedgerDay, LedgerDayAnswer } from '#messages';
import { asText, type Formats, GAP, MINUS, spanText } from '../../format.ts';
import * as words from '../../words/ledger-day.ts';
import { money } from '../ledger/money.ts';

export interface FigureRow {
  name: string;
  value: string;
  /** How it is known, or what to mind. */
  more: string;
}

const MINUTE_MS = 60_000;

/** @param amount writes one of the tariff's currency; null without one */
export function dayFigures(
  answer: LedgerDayAnswer,
  told: LedgerDay | null,
  formats: Formats,
  amount: ((value: number) => string) | null,
): FigureRow[] {
  const { day } = answer;
  if (day === null) return [];
  const energy = (wh: number) => asText(formats.energy(wh));
  const names = words.FIGURE_NAMES;
  const { stateOfChargeMinPct: low, stateOfChargeMaxPct: high } = day;
  const percent = (value: number) => asText(formats.percent(value));
  return [
    row(names.sun, energy(day.solarWh)),
    ...(day.inputWh - day.solarWh >= 1 ? [row(names.input, energy(day.inputWh))] : []),
    row(names.output, energy(day.outputWh)),
    row(names.peak, asText(formats.power(day.solarPeakW))),
    ...(low === null || high === null ? [] : [row(names.level, words.levelRange(percent(low), percent(high)))]),
    row(names.recorded, percent(Math.floor(day.coveragePct)), spanText(day.coveredMs)),
    ...(told === null ? [] : yieldRows(told, formats)),
    ...(told === null || told.worth === null || amount === null ? [] : [row(names.worth, amount(told.worth))]),
  ];
}

const row = (name: string, value: string, more = ''): FigureRow => ({ name, value, more });

function yieldRows(told: LedgerDay, formats: Formats): FigureRow[] {
  const names = words.FIGURE_NAMES;
  const yieldText = (hours: number) => `${formats.number(hours, 2)}${GAP}kWh/kW`;
  const from = { measured: words.FROM_MEASURED, 'clear sky': words.FROM_CLEAR };
  const minutes = (name: string, count: number) => (count < 1 ? [] : [row(name, spanText(count * MINUTE_MS))]);
  return [
    ...(told.clearSkyWh === null ? [] : [row(names.clear, asText(formats.energy(told.clearSkyWh)))]),
    ...(told.finalYieldH === null ? [] : [row(names.finalYield, yieldText(told.finalYieldH))]),
    ...(told.referenceYieldH === null
      ? []
      : [
          row(
            names.referenceYield,
            yieldText(told.referenceYieldH),
            told.referenceFrom === null ? '' : from[told.referenceFrom],
          ),
        ]),
    ...(told.performanceRatio === null ? [] : [row(names.ratio, asText(formats.percent(100 * told.performanceRatio)))]),
    ...minutes(names.full, told.fullMin),
    ...minutes(names.limit, told.portLimitMin),
  ];
}

/** Where the rest of a cloudless day went, the largest first; what is below a watt-hour is left out. */
export function wentRows(told: LedgerDay | null, formats: Formats): FigureRow[] {
  const went = told?.whereItWent ?? null;
  if (went === null || told === null) return [];
  const whole = told.clearSkyWh ?? 0;
  return (Object.keys(words.CAUSES) as (keyof typeof words.CAUSES)[])
    .map(cause => ({ cause, wh: went[cause] }))
    .filter(({ wh }) => Math.abs(wh) >= 1)
    .sort((a, b) => b.wh - a.wh)
    .map(({ cause, wh }) =>
      row(
        cause === 'otherWh' && wh < 0 ? words.OTHER_MORE : words.CAUSES[cause],
        `${wh < 0 ? MINUS : ''}${asText(formats.energy(Math.abs(wh)))}`,
        whole > 0 ? asText(formats.percent((100 * wh) / whole)) : '',
      ),
    );
}

/** How an answer writes amounts; null where it has no tariff. */
export function moneyOf(answer: LedgerAnswer | null, formats: Formats): ((amount: number) => string) | null {
  const currency = answer?.money?.currency;
  return currency === undefined ? null : amount => money(amount, currency, formats);
}
