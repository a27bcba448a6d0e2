/**
 * Where everything of the wiring drawing stands: panels, leads, connectors, fuses, the port and every word. Pure, in
 * CSS px, y downward. One string a row; + leaves at the right, − at the left; a string too long for the width, or too
 * many strings, are drawn with a gap that says how many are left out. No label ever touches a lead.
 */
import { type Box, boxAround, type Label, labelAt } from './wiring-label.ts';

export type Point = readonly [x: number, y: number];

export interface Lead {
  sign: '+' | '-' | 'link';
  points: readonly Point[];
}

export interface PanelBox extends Box {
  /** False for the dashed box that stands for several. */
  single: boolean;
}

export interface WiringLayout {
  width: number;
  height: number;
  panels: PanelBox[];
  leads: Lead[];
  /** Branch connectors, where strings join. */
  joints: Point[];
  fuses: Box[];
  port: Box;
  labels: Label[];
}

export interface WiringPlan {
  /** String by string the name of each panel, such as `1` or `A2`. */
  strings: readonly (readonly string[])[];
  /** Words at each string's fuse, such as `10 A`; null where none is needed. */
  fuse: string | null;
  port: readonly [station: string, port: string];
  words: { link: string; morePanels(count: number): string; moreStrings(count: number): string };
}

const PANEL = { most: 150, least: 44, height: 92, lowHeight: 70 };
/** From a panel's side to its terminal. */
const TERMINAL = 12;
const DROP = 32;
const STUB = 16;
const LANE = 24;
const NARROW_PX = 520;
const MOST_ROWS = 5;

interface Frame {
  width: number;
  left: number;
  right: number;
  gap: number;
  panelHeight: number;
  /** x of the bus that gathers +, and of the one that gathers −. */
  plusX: number;
  minusX: number | null;
}

/** @param widthPx 280 or more */
export function layoutWiring(plan: WiringPlan, widthPx: number): WiringLayout {
  const frame = frameOf(plan, widthPx);
  const drawn: WiringLayout = {
    width: widthPx,
    height: 0,
    panels: [],
    leads: [],
    joints: [],
    fuses: [],
    port: { x: 0, y: 0, width: 0, height: 0 },
    labels: [],
  };
  let y = 2;
  let firstMinus: Point | null = null;
  let firstPlus: Point | null = null;
  const rows = rowsOf(plan.strings);
  for (const row of rows) {
    if (typeof row === 'number') {
      drawn.labels.push(labelAt(plan.words.moreStrings(row), frame.left + 4, y + 18));
      y += 36;
      continue;
    }
    const ends = drawString(drawn, plan, row, frame, y);
    firstMinus ??= ends.minus;
    firstPlus ??= ends.plus;
    y = ends.below;
  }
  drawPort(drawn, plan, frame, y, firstPlus!, firstMinus!);
  return drawn;
}

function frameOf(plan: WiringPlan, width: number): Frame {
  const several = plan.strings.length > 1;
  const narrow = width < NARROW_PX;
  return {
    width,
    left: several ? 34 : 2,
    right: plan.fuse === null ? 44 : 84,
    gap: narrow ? 18 : 50,
    panelHeight: narrow ? PANEL.lowHeight : PANEL.height,
    plusX: width - 20,
    minusX: several ? 10 : null,
  };
}

/** Strings to draw; a number stands for so many alike that are left out. */
function rowsOf(strings: WiringPlan['strings']): (readonly string[] | number)[] {
  if (strings.length <= MOST_ROWS) return [...strings];
  const first = strings.slice(0, MOST_ROWS - 2);
  return [...first, strings.length - first.length - 1, strings.at(-1)!];
}

/** Panels to draw in one row; a number stands for so many that are left out. */
function slotsOf(names: readonly string[], frame: Frame): (string | number)[] {
  const room = frame.width - frame.left - frame.right;
  const most = Math.max(3, Math.floor((room + frame.gap) / (PANEL.least + frame.gap)));
  if (names.length <= most) return [...names];
  const first = names.slice(0, most - 2);
  return [...first, names.length - first.length - 1, names.at(-1)!];
}

function drawString(drawn: WiringLayout, plan: WiringPlan, names: readonly string[], frame: Frame, top: number) {
  const { left, right, gap, panelHeight, width } = frame;
  const slots = slotsOf(names, frame);
  const panelWidth = Math.min(PANEL.most, (width - left - right - gap * (slots.length - 1)) / slots.length);
  const bottom = top + panelHeight;
  const boxes = slots.map((slot, i) => {
    const box = { x: left + i * (panelWidth + gap), y: top, width: panelWidth, height: panelHeight };
    drawn.panels.push({ ...box, single: typeof slot === 'string' });
    drawn.labels.push(...panelLabels(slot, box, plan));
    return box;
  });
  const minusOf = (box: Box): Point => [box.x + TERMINAL, bottom];
  const plusOf = (box: Box): Point => [box.x + box.width - TERMINAL, bottom];
  boxes.slice(1).forEach((box, i) => {
    const [from, to] = [plusOf(boxes[i]!), minusOf(box)];
    drawn.leads.push({ sign: 'link', points: [from, [from[0], bottom + DROP], [to[0], bottom + DROP], to] });
  });
  drawn.labels.push(...linkLabels(boxes, bottom + DROP + LANE / 2 + 4, plan.words.link));
  const minus = minusLead(drawn, minusOf(boxes[0]!), frame);
  const plus = plusLead(drawn, plusOf(boxes.at(-1)!), boxes.at(-1)!, frame, plan.fuse);
  const depth = boxes.length > 1 ? DROP + LANE + 12 : STUB + 26;
  return { minus, plus, below: bottom + depth };
}

function panelLabels(slot: string | number, box: Box, plan: WiringPlan): Label[] {
  const { x, y, width, height } = box;
  if (typeof slot === 'number') {
    const words = plan.words.morePanels(slot).split(' ');
    return words.map((word, i) =>
      labelAt(word, x + width / 2, y + height / 2 + (i - (words.length - 1) / 2) * 19, 'middle'),
    );
  }
  return [
    { ...labelAt(slot, x + 9, y + 16), strong: true },
    labelAt('\u2212', x + TERMINAL, y + height - 12, 'middle'),
    labelAt('+', x + width - TERMINAL, y + height - 12, 'middle'),
  ];
}

/** Under each link where there is room, else once under the row. */
function linkLabels(boxes: readonly Box[], y: number, words: string): Label[] {
  if (boxes.length < 2) return [];
  const middleOf = (i: number) => (boxes[i]!.x + boxes[i]!.width + boxes[i + 1]!.x) / 2;
  const each = boxes.slice(1).map((_, i) => labelAt(words, middleOf(i), y, 'middle'));
  const pitch = boxes[1]!.x - boxes[0]!.x;
  const { width } = boxAround(each[0]!);
  if (width + 8 <= pitch && width / 2 < boxes[0]!.width - TERMINAL) return each;
  const last = boxes.at(-1)!;
  // Right of the lead that may go down from the first panel.
  const middle = Math.max((boxes[0]!.x + last.x + last.width) / 2, boxes[0]!.x + TERMINAL + 10 + width / 2);
  return [labelAt(words, middle, y, 'middle')];
}

/** From the first panel: to the bus at the left, or straight down where there is one string. */
function minusLead(drawn: WiringLayout, from: Point, { minusX }: Frame): Point {
  if (minusX === null) return from;
  const joint: Point = [minusX, from[1] + STUB];
  drawn.leads.push({ sign: '-', points: [from, [from[0], joint[1]], joint] });
  drawn.joints.push(joint);
  return joint;
}

function plusLead(drawn: WiringLayout, from: Point, last: Box, frame: Frame, fuse: string | null): Point {
  const y = from[1] + STUB;
  const joint: Point = [frame.plusX, y];
  if (fuse === null) drawn.leads.push({ sign: '+', points: [from, [from[0], y], joint] });
  else {
    const box = { x: last.x + last.width + 12, y: y - 6, width: 28, height: 12 };
    drawn.fuses.push(box);
    drawn.leads.push({ sign: '+', points: [from, [from[0], y], [box.x, y]] });
    drawn.leads.push({ sign: '+', points: [[box.x + box.width, y], joint] });
    drawn.labels.push(labelAt(fuse, box.x + box.width / 2, y - 18, 'middle'));
  }
  if (frame.minusX !== null) drawn.joints.push(joint);
  return joint;
}

/** The port at the lower right: + comes from above, − from the left. */
function drawPort(drawn: WiringLayout, plan: WiringPlan, frame: Frame, top: number, plus: Point, minus: Point): void {
  const names = plan.port.map(name => labelAt(name, 0, 0, 'middle'));
  const width = Math.min(frame.width / 2, Math.max(104, ...names.map(label => boxAround(label).width + 24)));
  const port = { x: frame.width - width - 2, y: top + 18, width, height: 62 };
  const middle = port.y + port.height * 0.7;
  drawn.port = port;
  drawn.leads.push({ sign: '+', points: [plus, [plus[0], port.y]] });
  drawn.leads.push({ sign: '-', points: [minus, [minus[0], middle], [port.x, middle]] });
  drawn.labels.push(
    { ...labelAt('+', plus[0] - 14, port.y - 10, 'middle'), strong: true },
    { ...labelAt('\u2212', minus[0] + 18, middle - 12, 'middle'), strong: true },
    { ...labelAt(plan.port[0], port.x + width / 2, port.y + 22, 'middle'), strong: true, onPort: true },
    { ...labelAt(plan.port[1], port.x + width / 2, port.y + 42, 'middle'), onPort: true },
  );
  drawn.height = port.y + port.height + 2;
}
