/** The Ledger's account under the drawing: where the rest went and what it was worth, each with its why. */
import { html, nothing, svg } from 'lit';
import type { Period } from '#energy/ledger/periods';
import type { LedgerAnswer } from '#messages';
import { paybackDrawing, paybackLayout } from '../../charts/ledger-payback.ts';
import { asText, type Formats, spanText, type Times } from '../../format.ts';
import { WHY } from '../../words/ledger.ts';
import * as words from '../../words/ledger-account.ts';
import type { LedgerFigures } from './figures.ts';
import { money } from './money.ts';
import { type Payback, paybackOf } from './payback.ts';
import { type Rest, restOf, type Stroke, strokesOf } from './rest.ts';

export interface Account {
  figures: LedgerFigures;
  answer: LedgerAnswer;
  period: Period;
  /** The range reaches today. */
  running: boolean;
  /** The station is the one shown before there is a real one. */
  simulated: boolean;
  formats: Formats;
  times: Times;
}

export const why = (lines: readonly string[]) =>
  html`<details class="why"><summary>${WHY}</summary><ul>${lines.map(line => html`<li>${line}</li>`)}</ul></details>`;

export function restPart({ figures, formats }: Account) {
  const rest = restOf(figures.days);
  if (rest === null)
    return html`<section><h2>${words.REST}</h2><p>${words.NO_CLEAR_SKY} <a href="/setup">${words.OPEN_SETUP}</a>.</p></section>`;
  const share = (wh: number) => (100 * wh) / rest.clearSkyWh;
  const percent = (wh: number) =>
    asText({ text: formats.number(share(wh), Math.abs(share(wh)) < 9.95 ? 1 : 0), unit: '%' });
  // One unit for the whole column.
  const kilo = rest.clearSkyWh >= 10_000;
  const energy = (wh: number) =>
    asText({ text: formats.number(kilo ? wh / 1000 : wh, kilo ? 1 : 0), unit: kilo ? 'kWh' : 'Wh' });
  return html`<section><h2>${words.REST}</h2>
    <p>${words.restTold(energy(rest.clearSkyWh), energy(rest.harvestWh), percent(rest.harvestWh))}
      ${words.unknownDays(rest.unknownDays, formats.number(rest.unknownDays, 0))}</p>
    ${restTable(rest, energy, percent)}
    ${why(words.WHY_REST)}</section>`;
}

/** A row a cause, its stroke beginning where the one above ended: together they are the clear sky. */
function restTable(rest: Rest, energy: (wh: number) => string, percent: (wh: number) => string) {
  const [cause, wh, share, drawn] = words.REST_COLUMNS;
  return html`<table class="rest"><caption class="unseen">${words.REST}</caption>
    <thead class="unseen"><tr><th scope="col">${cause}</th><th scope="col">${wh}</th><th scope="col">${share}</th><th scope="col">${drawn}</th></tr></thead>
    <tbody>${strokesOf(rest).map(stroke => html`<tr><th scope="row">${nameOf(stroke)}</th><td>${energy(stroke.wh)}</td><td>${percent(stroke.wh)}</td><td class="drawn">${strokeDrawing(stroke)}</td></tr>`)}</tbody></table>`;
}

const nameOf = ({ cause, wh }: Stroke): string =>
  cause === 'otherWh' && wh < 0 ? words.OTHER_MORE : words.CAUSES[cause];

const share = (value: number): string => `${Math.round(value * 10_000) / 100}%`;

function strokeDrawing({ cause, from, to }: Stroke) {
  return html`<svg aria-hidden="true">${svg`<line class="whole" x1="0" x2="100%" y1="50%" y2="50%"></line>
    <rect class=${cause === 'harvest' ? 'harvest' : 'cause'} x=${share(from)} width=${share(to - from)} y="3" height="12"></rect>`}</svg>`;
}

/** Final and reference yield in words; the numbers stand in the table of months. */
export function whyYields({ figures: { all, days }, formats }: Account): string[] {
  const measured = days.filter(({ day }) => day?.referenceFrom === 'measured').length;
  const clear = days.filter(({ day }) => day?.referenceFrom === 'clear sky').length;
  const count = (n: number) => formats.number(n, 0);
  const span = (minutes: number) => (minutes < 1 ? words.NO_MINUTE : spanText(minutes * 60_000));
  return [
    words.whyYield(span(all.fullMin), span(all.portLimitMin)),
    ...(measured > 0 && clear > 0
      ? [words.referenceMixed(count(measured), count(clear))]
      : measured > 0
        ? [words.REFERENCE_MEASURED]
        : clear > 0
          ? [words.REFERENCE_CLEAR]
          : []),
  ];
}

export function worthPart(account: Account) {
  const { answer, figures, period, running, times } = account;
  if (answer.money === null)
    return html`<section><h2>${words.WORTH}</h2><p>${words.NO_TARIFF} <a href="/setup">${words.OPEN_SETUP}</a>.</p></section>`;
  const begins = period.kind === 'all' || figures.days[0]!.date > period.from;
  const payback = paybackOf(figures.days, answer.money, { begins, running });
  if (payback === null) return nothing;
  const { currency } = answer.money;
  return html`<section><h2>${words.WORTH}</h2>
    <p>${daysTold(account, payback, currency)}
      ${sinceTold(payback, currency, account)} ${whenTold(payback, period, answer.today, times)}
      ${account.simulated ? words.WORTH_SIMULATED : nothing}</p>
    ${payback.fromTheStart ? lineOf(payback, currency, account) : nothing}
    ${why(words.WHY_WORTH)}</section>`;
}

/** Where the days shown are the whole record, the sum is told once. */
function daysTold({ figures, formats }: Account, { fromTheStart, worth }: Payback, currency: string): string {
  const ofDays = figures.all.worth;
  if (ofDays === null) return '';
  const amount = (value: number) => money(value, currency, formats);
  const isAll = fromTheStart && amount(ofDays) === amount(worth);
  return isAll ? words.WORTH_RECKONED : words.worthTold(amount(ofDays));
}

function sinceTold(
  { fromTheStart, worth, sinceDate, paid }: Payback,
  currency: string,
  { answer, formats, times }: Account,
) {
  if (!fromTheStart) return '';
  const since = times.dayMonth(sinceDate, answer.today);
  const amount = (value: number) => money(value, currency, formats);
  if (paid === 0) return words.freeTold(amount(worth), since);
  return paid === null ? words.worthSince(amount(worth), since) : words.paidTold(amount(worth), since, amount(paid));
}

function whenTold({ when, paid }: Payback, { kind }: Period, today: string, times: Times): string {
  if (paid === 0) return '';
  if (when.kind === 'notYet')
    return when.why === 'short' && kind !== 'all'
      ? `${words.NOT_YET.short} ${words.LOOK_AT_ALL}`
      : words.NOT_YET[when.why];
  if (when.kind === 'range') return words.backBetween(times.month(when.from), times.month(when.to));
  return when.date === null ? words.BACK : words.backOn(times.dayMonth(when.date, today));
}

const daysBetween = (from: string, to: string): number => Math.round((Date.parse(to) - Date.parse(from)) / 86_400_000);

function lineOf(payback: Payback, currency: string, { answer, formats, times }: Account) {
  const { sums, sinceDate, worth } = payback;
  const paid = payback.paid === 0 ? null : payback.paid;
  const worthText = money(worth, currency, formats);
  const first = sums[0]!.date;
  const beforeDays = Math.max(0, daysBetween(sinceDate, first));
  const layout = paybackLayout({
    points: sums.map(sum => ({ day: daysBetween(first, sum.date) + 1, worth: sum.worth })),
    beforeDays,
    beforeWorth: answer.money?.before?.worth ?? 0,
    paid,
    worthText,
  });
  return paybackDrawing(layout, {
    label: words.PAYBACK_DRAWING,
    from: times.dayMonth(sinceDate, answer.today),
    to: times.dayMonth(sums.at(-1)!.date, answer.today),
    worth: worthText,
    paid: paid === null ? '' : words.paidLine(money(paid, currency, formats)),
  });
}
