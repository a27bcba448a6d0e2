/**
 * The worth of the energy over time as a thin line, under the dotted line of what the set cost. From what is known only
 * as a sum, the time before the days shown, a straight line comes. Layout pure; CSS px of its own small drawing.
 */
import { html, nothing, svg, type TemplateResult } from 'lit';

export interface PaybackLine {
  /** Days since the first date of the sum. */
  points: readonly { day: number; worth: number }[];
  /** Days before the first point of which only the sum is known. */
  beforeDays: number;
  beforeWorth: number;
  paid: number | null;
  /** What is written where the line ends. */
  worthText: string;
}

export interface PaybackWords {
  label: string;
  from: string;
  to: string;
  worth: string;
  paid: string;
}

export const WIDTH = 400;
const HEIGHT = 132;
const [LEFT, TOP, BASE] = [1, 22, 104];
/** Where the line ends, at the left and at the right most. */
const ENDS = { least: 160, most: 330 };
/** From the end to its words; and of one of their letters, strong digits being the widest. */
const [END_GAP, LETTER_PX] = [8, 7.6];

export interface PaybackLayout {
  known: string;
  before: string;
  end: { x: number; y: number };
  paidY: number | null;
  /** The cost is written at the end of its line: at the beginning the line of the worth goes through there. */
  paidAtEnd: boolean;
  right: number;
}

export function paybackLayout({ points, beforeDays, beforeWorth, paid, worthText }: PaybackLine): PaybackLayout {
  const last = points.at(-1)!;
  const right = Math.min(ENDS.most, Math.max(ENDS.least, WIDTH - END_GAP - LETTER_PX * worthText.length));
  const span = Math.max(1, beforeDays + last.day);
  const most = Math.max(paid ?? 0, last.worth, 1e-9);
  const x = (day: number) => Math.round((LEFT + ((beforeDays + day) / span) * (right - LEFT)) * 10) / 10;
  const y = (worth: number) => Math.round((BASE - (worth / most) * (BASE - TOP)) * 10) / 10;
  const start = beforeDays === 0 ? `M${LEFT} ${y(0)}` : `M${x(0)} ${y(beforeWorth)}`;
  return {
    known: start + points.map(({ day, worth }) => `L${x(day)} ${y(worth)}`).join(''),
    before: beforeDays === 0 ? '' : `M${LEFT} ${y(0)}L${x(0)} ${y(beforeWorth)}`,
    end: { x: x(last.day), y: y(last.worth) },
    paidY: paid === null ? null : y(paid),
    paidAtEnd: paid !== null && paid < last.worth / 2,
    right,
  };
}

export function paybackDrawing(layout: PaybackLayout, words: PaybackWords): TemplateResult {
  const { known, before, end, paidY, paidAtEnd, right } = layout;
  return html`<svg class="payback" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label=${words.label}>${svg`
    <line class="axis" x1=${LEFT} x2=${right} y1=${BASE} y2=${BASE}></line>
    <path class="known" d=${known}></path><path class="before" d=${before}></path>
    <circle class="end" cx=${end.x} cy=${end.y} r="3.5"></circle>
    <text class="ink" x=${right + END_GAP} y=${end.y + 4}>${words.worth}</text>
    ${paidY === null ? nothing : svg`<line class="paid" x1=${LEFT} x2=${right} y1=${paidY} y2=${paidY}></line><text class=${paidAtEnd ? 'end' : ''} x=${paidAtEnd ? right : LEFT} y=${paidY - 7}>${words.paid}</text>`}
    <text x=${LEFT} y=${BASE + 18}>${words.from}</text><text class="end" x=${right} y=${BASE + 18}>${words.to}</text>`}</svg>`;
}
