/**
 * The station's own counters beside the bars: what they counted, how far they are from what the watts add up to, and what
 * they gained while nothing was recorded. A second ledger: nothing here is ever part of a sum of the first.
 */
import { html, nothing } from 'lit';
import type { CounterName } from '#kit';
import type { Bridge, CounterApart, CounterSum, LedgerAnswer } from '#messages';
import { asText, type Formats, type Times } from '../../format.ts';
import { WHY } from '../../words/ledger.ts';
import * as words from '../../words/ledger-counted.ts';

/** The first that is there leads: what the Ledger is about comes first. */
const LEADING: readonly CounterName[] = [
  'solarEnergyWh',
  'inputEnergyWh',
  'chargerEnergyWh',
  'outputEnergyWh',
  'meterEnergyWh',
];
const LEAST_BLOCK_WH = 1;
/** Less than this apart is told as a figure, not as a sentence, %. */
const LEAST_TOLD_PCT = 0.5;

export type CountedAnswer = Pick<LedgerAnswer, 'bridges' | 'counters'>;

export interface CountedTold {
  /** Sentences of the leading counter. */
  told: string[];
  /** Blocks and breaks, a line each. */
  blocks: string[];
  rows: readonly (readonly string[])[];
}

/** @param thisDate the date whose year need not be said */
export function countedTold(
  answer: CountedAnswer,
  formats: Formats,
  times: Times,
  thisDate: string,
): CountedTold | null {
  const counters = LEADING.flatMap(name => answer.counters?.filter(({ quantity }) => quantity === name) ?? []);
  const [first] = counters;
  if (first === undefined) return null;
  const energy = (wh: number): string => asText(formats.energy(wh));
  const lines = answer.bridges
    .filter(isTold)
    .map(bridge => ({ bridge, line: lineOf(bridge, formats, times, thisDate, true) }));
  const own = lines.filter(({ bridge }) => bridge.quantity === first.quantity && isGap(bridge));
  const what = words.COUNTS[first.quantity];
  const blockTold =
    own.length === 0
      ? []
      : own.length === 1
        ? [lineOf(own[0]!.bridge, formats, times, thisDate)]
        : [
            words.severalBridged(
              formats.number(own.length, 0),
              energy(own.reduce((sum, { bridge }) => sum + bridge.energyWh!, 0)),
              what,
            ),
          ];
  return {
    told: [words.counted(energy(first.countedWh), what), apartTold(first, formats), ...blockTold],
    blocks: lines.map(({ line }) => line),
    rows: counters.map(counter => rowOf(counter, formats)),
  };
}

/** The same as lines, each block among them: for the page of one day. */
export function countedLines(
  answer: CountedAnswer | null,
  formats: Formats,
  times: Times,
  thisDate: string,
): readonly string[] {
  const all = answer === null ? null : countedTold(answer, formats, times, thisDate);
  if (answer === null || all === null) return [];
  const blocks = answer.bridges.filter(isTold).map(bridge => lineOf(bridge, formats, times, thisDate));
  return [all.told.slice(0, 2).join(' '), ...blocks];
}

const isTold = ({ energyWh }: Bridge): boolean => (energyWh ?? LEAST_BLOCK_WH) >= LEAST_BLOCK_WH;

const isGap = ({ energyWh, gapMs }: Bridge): boolean => energyWh !== null && gapMs !== 0;

function apartTold({ apart }: CounterSum, formats: Formats): string {
  if (apart === null) return words.COUNTS_ALONE;
  return differsBy(apart, formats) ?? words.COUNTS_SAME;
}

/** A sentence where the two differ beyond what is open; null where they agree. */
export function differsBy({ beyond, differencePct }: CounterApart, formats: Formats): string | null {
  if (!beyond || differencePct === null || Math.abs(differencePct) < LEAST_TOLD_PCT) return null;
  const share = Math.abs(differencePct);
  const text = asText({ text: formats.number(share, share < 2 ? 1 : 0), unit: '%' });
  return words.countsApart(text, differencePct > 0 ? 'more' : 'less');
}

/** One block or break in words; short where it stands in a list of them. */
export function lineOf(bridge: Bridge, formats: Formats, times: Times, thisDate: string, isShort = false): string {
  const { quantity, energyWh, cause, gapMs } = bridge;
  const [fromAt, toAt] = [Date.parse(bridge.fromAt), Date.parse(bridge.toAt)];
  const [from, to] = [times.date(fromAt), times.date(toAt)];
  const moment = (at: number, date: string) => `${times.dayMonth(date, thisDate)} ${times.time(at)}`;
  const when =
    from === to
      ? words.onDay(times.dayMonth(from, thisDate), times.time(fromAt), times.time(toAt))
      : words.between(moment(fromAt, from), moment(toAt, to));
  const what = words.COUNTS[quantity];
  if (energyWh === null) {
    const why = cause === 'unlikely' || cause === 'overrun' ? cause : 'reset';
    return words.broke(when, what, words.NOT_KNOWN[why]);
  }
  const energy = asText(formats.energy(energyWh));
  if (gapMs === 0) return words.betweenDays(when, energy, what);
  return (isShort ? words.block : words.bridged)(when, energy, what);
}

function rowOf({ quantity, countedWh, bridgedWh, apart }: CounterSum, formats: Formats): string[] {
  const energy = (wh: number | null): string => asText(formats.energy(wh));
  const against = apart === null ? energy(null) : apartText(apart, formats);
  return [words.COUNTS[quantity], energy(countedWh), energy(bridgedWh), against];
}

function apartText({ differencePct, differenceWh, beyond }: CounterApart, formats: Formats): string {
  if (!beyond) return words.AGREES;
  const sign = differenceWh > 0 ? '+' : '';
  const energy = `${sign}${asText(formats.energy(differenceWh))}`;
  if (differencePct === null) return energy;
  return `${energy}, ${sign}${asText({ text: formats.number(differencePct, 1), unit: '%' })}`;
}

/** The section of the Ledger; nothing where the station has no counters. */
export function countedPart(answer: CountedAnswer, formats: Formats, times: Times, thisDate: string) {
  const all = countedTold(answer, formats, times, thisDate);
  if (all === null) return nothing;
  const { told, blocks, rows } = all;
  return html`<section class="counted"><h2>${words.COUNTER}</h2><p>${told.join(' ')}</p>
    ${
      blocks.length < 2
        ? nothing
        : html`<details><summary>${words.BLOCKS}</summary><ul>${blocks.map(line => html`<li>${line}</li>`)}</ul></details>`
    }
    <div class="across" tabindex="0" role="region" aria-label=${words.TABLE}>
      <table><caption class="unseen">${words.TABLE}</caption>
        <thead><tr>${words.COLUMNS.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
        <tbody>${rows.map(([name, ...cells]) => html`<tr><th scope="row">${name}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`)}</tbody>
      </table></div>
    <details class="why"><summary>${WHY}</summary><ul>${words.WHY_COUNTED.map(line => html`<li>${line}</li>`)}</ul></details></section>`;
}
