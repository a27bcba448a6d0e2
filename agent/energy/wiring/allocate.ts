/**
 * Which panels go into which port, of one station or several: the safe ways that bring most watts, then leave most room
 * to the limits, then take the fewest strings and panels. Often the answer is one string into each port.
 *
 * Ports are taken one after another; for each share of the panels given out so far only the best few ways on are kept,
 * so nothing better is missed while the ceiling on choices is not reached.
 */
import { type Arrangement, bestFirst, checkArrangements } from './check.ts';
import type { Panel, Port, Weather } from './panel.ts';
import { isSafe, rankOf, type Verdict } from './verdicts.ts';

/** Best allocations given back. */
const KEPT = 5;
/** Steps of the search; beyond it each port is tried with fewer of its ways, the best ones. */
export const SEARCH_CEILING = 1_000_000;

export interface Allocation {
  /** Port by port in the order given; null where it stays empty. */
  parts: readonly (Arrangement | null)[];
  /** The worst of the parts. */
  verdict: Verdict;
  deliverableW: number;
  /** Of the part with the least room to a limit, as a share of that limit. */
  margin: number;
  panelsLeftOver: number;
}

export interface Allocations {
  /** Best first; empty where no port may be used. */
  allocations: Allocation[];
  /** Whether every choice was looked at. */
  complete: boolean;
}

interface Begun {
  used: readonly number[];
  parts: readonly (Arrangement | null)[];
  watts: number;
  margin: number;
  strings: number;
}

/** @param panels kinds with their counts, shared by all ports */
export function allocate(panels: readonly Panel[], ports: readonly Port[], weather: Weather): Allocations {
  const safe = ports.map(port => bestOfEachUse(checkArrangements(panels, port, weather)));
  const states = panels.reduce((product, panel) => product * (panel.count + 1), 1);
  const most = Math.max(1, Math.floor(SEARCH_CEILING / (KEPT * states * Math.max(1, ports.length))));
  let begun: Begun[] = [
    { used: panels.map(() => 0), parts: [], watts: 0, margin: Number.POSITIVE_INFINITY, strings: 0 },
  ];
  for (const ways of safe)
    begun = keepBest(
      begun.flatMap(one => on(one, ways.slice(0, most), panels)),
      ports,
    );
  const found = begun.filter(({ parts }) => parts.some(part => part !== null)).sort(better);
  return {
    allocations: unlike(found, ports, KEPT).map(one => allocationOf(one, panels)),
    complete: safe.every(ways => ways.length <= most),
  };
}

/** Of the safe ways that take the same panels only the best. */
function bestOfEachUse(arrangements: readonly Arrangement[]): Arrangement[] {
  const best = new Map<string, Arrangement>();
  for (const arrangement of arrangements) {
    const key = arrangement.used.join();
    if (isSafe(arrangement.verdict) && !best.has(key)) best.set(key, arrangement);
  }
  return [...best.values()].sort((a, b) => (b.deliverableW ?? 0) - (a.deliverableW ?? 0) || bestFirst(a, b));
}

function on(one: Begun, ways: readonly Arrangement[], panels: readonly Panel[]): Begun[] {
  const withOne = ways.map(way => ({
    used: one.used.map((n, kind) => n + way.used[kind]!),
    parts: [...one.parts, way],
    watts: one.watts + (way.deliverableW ?? 0),
    margin: Math.min(one.margin, way.margin ?? 0),
    strings: one.strings + way.parallel,
  }));
  const enough = withOne.filter(({ used }) => used.every((n, kind) => n <= panels[kind]!.count));
  return [{ ...one, parts: [...one.parts, null] }, ...enough];
}

const total = (counts: readonly number[]) => counts.reduce((sum, n) => sum + n, 0);

const better = (a: Begun, b: Begun): number =>
  (Math.abs(a.watts - b.watts) < 1e-3 ? 0 : b.watts - a.watts) ||
  (Math.abs(a.margin - b.margin) < 1e-9 ? 0 : b.margin - a.margin) ||
  a.strings - b.strings ||
  total(a.used) - total(b.used);

/** For each share of the panels given out the best few. */
function keepBest(begun: readonly Begun[], ports: readonly Port[]): Begun[] {
  const byUse = new Map<string, Begun[]>();
  for (const one of begun) {
    const key = one.used.join();
    byUse.set(key, [...(byUse.get(key) ?? []), one]);
  }
  return [...byUse.values()].flatMap(alike => unlike(alike.sort(better), ports, KEPT));
}

/** The first few; those that only swap equal ports count once. */
function unlike(sorted: readonly Begun[], ports: readonly Port[], most: number): Begun[] {
  const kept = new Map<string, Begun>();
  for (const one of sorted) {
    if (kept.size >= most) break;
    const filled = one.parts.map((part, i) => JSON.stringify([limitsOf(ports[i]!), part?.strings]));
    const key = filled.sort().join();
    if (!kept.has(key)) kept.set(key, one);
  }
  return [...kept.values()];
}

const limitsOf = ({ name: _, station: __, ...limits }: Port) => limits;

function allocationOf({ parts: found, used, watts, margin }: Begun, panels: readonly Panel[]): Allocation {
  const panelsLeftOver = panels.reduce((sum, panel) => sum + panel.count, 0) - total(used);
  // What one port leaves over, another may take.
  const parts = found.map(part =>
    part === null ? null : { ...part, panelsLeftOver, reasons: part.reasons.filter(({ code }) => code !== 'leftOver') },
  );
  const verdicts = parts.flatMap(part => (part === null ? [] : [part.verdict]));
  return {
    parts,
    verdict: verdicts.reduce((worst, verdict) => (rankOf(verdict) < rankOf(worst) ? verdict : worst)),
    deliverableW: watts,
    margin,
    panelsLeftOver,
  };
}
