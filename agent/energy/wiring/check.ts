/**
 * Every way of wiring the panels, held against one port: verdict, reasons and numbers, the best first.
 *
 * Volts are at the panels' end of the lead. Guidance only: the station's manual, local code and licensed practice decide.
 */

import type { LeadLoss } from '../laws/lead.ts';
import type { FuseRules } from '../laws/string-fuse.ts';
import { figuresOf } from './figures.ts';
import { judge } from './judge.ts';
import type { Panel, Port, Weather } from './panel.ts';
import { type Reason, rankOf, type Verdict, verdictOf, worstFirst } from './verdicts.ts';
import { panelsIn, usedBy, type Way, waysOf } from './ways.ts';

export interface Arrangement {
  /** Panels in the longest string, and strings. */
  series: number;
  parallel: number;
  /** String by string, how many panels of each kind, in the order of the kinds. */
  strings: Way;
  /** Of each kind, in their order. */
  used: readonly number[];
  panelsLeftOver: number;
  /** Names of the port and, where several are told apart, of its station. */
  port: string;
  station: string | null;
  verdict: Verdict;
  /** Open circuit on the coldest morning: by the label, and with the label's tolerance on top. */
  coldOpenCircuitV: number | null;
  coldOpenCircuitMaxV: number | null;
  /** At maximum power, on the hottest day and at 25 °C. */
  hotOperatingV: number | null;
  operatingV: number | null;
  operatingA: number | null;
  /** By the labels, and 1.25 × that. */
  shortCircuitA: number | null;
  designCurrentA: number | null;
  /** Sum of the ratings; of that lost by unlike panels, lost in the port's limits, and taken by the port. */
  peakW: number | null;
  mismatchLostW: number | null;
  clippedW: number | null;
  deliverableW: number | null;
  /** Each string needs a fuse of its own; also where three or more cannot be judged. */
  stringFuses: boolean;
  fuse: FuseRules | null;
  lead: LeadLoss | null;
  /** How far the nearest limit of volts or amps is, as a share of it; below 0 beyond it; null where not known. */
  margin: number | null;
  /** Those that weigh most first. */
  reasons: readonly Reason[];
}

/** One way at one port. */
export function checkArrangement(way: Way, panels: readonly Panel[], port: Port, weather: Weather): Arrangement {
  const found = figuresOf(way, panels, weather);
  const { strings: _, ...figures } = found;
  const { reasons, fuse, lead, deliverableW, clippedW } = judge(found, way, panels, port, weather);
  const used = usedBy(way, panels.length);
  const leftOver = panels.reduce((sum, panel, kind) => sum + panel.count - used[kind]!, 0);
  const every = [...reasons, ...leftOverOf(leftOver, figures.peakW, panels)];
  return {
    series: Math.max(...way.map(panelsIn)),
    parallel: way.length,
    strings: way,
    used,
    panelsLeftOver: leftOver,
    port: port.name,
    station: port.station,
    verdict: verdictOf(every),
    ...figures,
    clippedW,
    deliverableW,
    stringFuses: fuse?.nec ?? way.length > 2,
    fuse,
    lead,
    margin: marginOf(figures, port, lead),
    reasons: worstFirst(every),
  };
}

/**
 * Every way that the panels suffice for, the best first: by verdict, then by the watts the port takes, then by the
 * distance to the nearest limit, then the fewer strings and panels.
 *
 * @param panels the kinds of panel, each with its count; one or two
 */
export const checkArrangements = (panels: readonly Panel[], port: Port, weather: Weather): Arrangement[] =>
  waysOf(panels)
    .map(way => checkArrangement(way, panels, port, weather))
    .sort(bestFirst);

/** Orders arrangements by how well they do. */
export const bestFirst = (a: Arrangement, b: Arrangement): number =>
  rankOf(b.verdict) - rankOf(a.verdict) ||
  wattsApart(b.deliverableW ?? 0, a.deliverableW ?? 0) ||
  (b.margin ?? -1) - (a.margin ?? -1) ||
  a.parallel - b.parallel ||
  a.series - b.series;

/** Less than a thousandth of a watt is none. */
const wattsApart = (a: number, b: number): number => (Math.abs(a - b) < 1e-3 ? 0 : a - b);

function leftOverOf(leftOver: number, usedW: number | null, panels: readonly Panel[]): Reason[] {
  if (leftOver === 0) return [];
  const ratings = panels.map(panel => (panel.ratedW === null ? null : panel.ratedW * panel.count));
  const allW = ratings.reduce<number>((sum, watts) => sum + (watts ?? 0), 0);
  const lessPct = usedW === null || ratings.includes(null) ? null : 100 * (1 - usedW / allW);
  return [{ code: 'leftOver', panels: leftOver, lessPct }];
}

type Limited = Pick<Arrangement, 'coldOpenCircuitMaxV' | 'designCurrentA' | 'hotOperatingV'>;

function marginOf(figures: Limited, port: Port, lead: LeadLoss | null): number | null {
  const room = (value: number | null, limit: number | null) =>
    value === null || limit === null ? null : 1 - value / limit;
  const { coldOpenCircuitMaxV, designCurrentA, hotOperatingV } = figures;
  const low = hotOperatingV === null ? null : hotOperatingV - (lead?.voltsLost ?? 0);
  const rooms = [
    room(coldOpenCircuitMaxV, port.maxV),
    ...(port.overCurrentAllowed ? [] : [room(designCurrentA, port.maxA)]),
    ...(port.lead?.plugA == null ? [] : [room(designCurrentA, port.lead.plugA)]),
    low === null || port.minV === null ? null : 1 - port.minV / low,
  ];
  return rooms.includes(null) ? null : Math.min(...rooms.filter(value => value !== null));
}
