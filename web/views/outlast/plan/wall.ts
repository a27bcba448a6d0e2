/** Charging from the wall at the right hours: the sentence, the hours by day, and what they rest on. */
import { html, nothing, type TemplateResult } from 'lit';
import type { WallPlanTold } from '#energy/estimates/plan/planning';
import type { PlanAnswer } from '#messages';
import { asText, type Formats, type Times } from '../../../format.ts';
import * as words from '../../../words/plan.ts';

export interface WallTold {
  basis: PlanAnswer;
  /** undefined: still being reckoned. */
  wall: WallPlanTold | null | undefined;
  reservePct: number;
  formats: Formats;
  times: Times;
  locale: string | undefined;
  /** The field of what is kept for an outage. */
  reserve: TemplateResult;
}

const FEW_WEEKS = 3;
/** A Monday, for the names of the days and hours. */
const MONDAY = Date.UTC(2024, 0, 1);
const HOUR_MS = 3_600_000;

export function wallSection(told: WallTold) {
  const { basis, wall } = told;
  const missing =
    basis.price === null ? words.WALL_MISSING.price : basis.ratedWh === null ? words.WALL_MISSING.size : null;
  const inner =
    missing !== null
      ? html`<p class="ask">${missing} <a href=${basis.price === null ? '/setup#tariff' : '/setup'}>${words.OPEN_SETUP}</a></p>`
      : wall === undefined || wall === null
        ? html`<p class="ask">${words.WALL_BUSY}</p>`
        : wall.kind === 'flat'
          ? html`<p class="told">${words.WALL_FLAT}</p>`
          : html`${wall.kind === 'nothing' ? html`<p class="told">${words.WALL_NOTHING}</p>` : saving(told, wall)}${told.reserve}`;
  return html`<section class="below"><h2>${words.WALL}</h2>${inner}<p class="ask">${words.ADVICE_ONLY}</p></section>`;
}

function saving({ basis, formats, times, locale, reservePct }: WallTold, wall: WallPlanTold) {
  const { currency } = basis.price!;
  const format = new Intl.NumberFormat(locale, { style: 'currency', currency });
  const money = (value: number) => format.format(value);
  const { p10, p50, p90 } = wall.saves;
  const watts = asText(formats.power(wall.wallW));
  const wear = wall.wear === null ? words.WEAR_UNKNOWN : words.wearCosts(money(wall.wear));
  return html`<p class="told"><b>${words.wallSaves(money(p50), money(p10), money(p90), wall.wear !== null)}</b></p>
    <div class="across" tabindex="0" role="region" aria-label=${words.ON_WALL}><table class="hours"><caption class="unseen">${words.ON_WALL}</caption>
      <thead><tr><th scope="col">${words.ON_WALL_DAY}</th><th scope="col">${words.ON_WALL}</th></tr></thead>
      <tbody>${overNight(wallDays(wall.on)).map(({ from, to, spans }) => html`<tr><th scope="row">${daysText(from, to, times)}</th><td>${spansText(spans, times)}</td></tr>`)}</tbody></table></div>
    <ul class="small"><li>${words.wallWear(formats.number(wall.cycles, 1))}${wear}</li>
      <li>${words.wallKeeps(asText(formats.percent(reservePct)))}</li>
      <li>${wall.weeks === 0 ? words.WALL_NO_WEEKS(watts) : wall.weeks < FEW_WEEKS ? words.WALL_FEW_WEEKS(watts) : words.WALL_RESTS(`${wall.weeks} weeks`, watts)}</li>
      ${wall.assumedWall ? html`<li>${words.WALL_ASSUMED}</li>` : nothing}
      <li>${words.WALL_PASSES}</li></ul>`;
}

export interface WallDays {
  /** 0 Monday to 6 Sunday, both included. */
  from: number;
  to: number;
  /** Whole hours at the wall, the second not included. */
  spans: (readonly [fromHour: number, toHour: number])[];
}

/** Days that follow each other and go the same way are one line. */
export function wallDays(on: readonly boolean[]): WallDays[] {
  const lines: WallDays[] = [];
  for (let day = 0; day < 7; day++) {
    const spans: [number, number][] = [];
    for (let hour = 0; hour < 24; hour++) {
      if (on[24 * day + hour] !== true) continue;
      const last = spans.at(-1);
      if (last?.[1] === hour) last[1] = hour + 1;
      else spans.push([hour, hour + 1]);
    }
    const before = lines.at(-1);
    if (before !== undefined && JSON.stringify(before.spans) === JSON.stringify(spans)) before.to = day;
    else lines.push({ from: day, to: day, spans });
  }
  return lines;
}

/** Where every day goes the same way, the hours before and after midnight are one stretch. */
export function overNight(lines: readonly WallDays[]): readonly WallDays[] {
  const [only] = lines;
  if (lines.length !== 1 || only === undefined || only.spans.length < 2) return lines;
  const [first, last] = [only.spans[0]!, only.spans.at(-1)!];
  if (first[0] !== 0 || last[1] !== 24) return lines;
  return [{ ...only, spans: [...only.spans.slice(1, -1), [last[0], first[1]]] }];
}

function daysText(from: number, to: number, times: Times): string {
  const name = (day: number) => times.weekday(new Date(MONDAY + 24 * day * HOUR_MS).toISOString().slice(0, 10));
  return from === to ? name(from) : words.range(name(from), name(to));
}

function spansText(spans: WallDays['spans'], { hour }: Times): string {
  if (spans.length === 0) return words.NEVER;
  if (spans[0]![1] - spans[0]![0] === 24) return words.ALL_DAY;
  // Hours of the wall clock have no zone here: a day without a change of the clocks stands for them.
  const text = (h: number) => clockText(h, hour(MONDAY).length > 2);
  return spans.map(([a, b]) => words.hours(text(a), text(b))).join(', ');
}

function clockText(h: number, twelve: boolean): string {
  if (!twelve) return `${String(h).padStart(2, '0')}:00`;
  return `${h % 12 === 0 ? 12 : h % 12}\u00a0${h % 24 < 12 ? 'am' : 'pm'}`;
}
