/**
 * Loads that come on hours apart and draw much (a defrost heater, a pump, a furnace fan): what of them lies ahead, so
 * that a short look back that holds none, or just held one, does not decide. Times in minutes ahead.
 */
import type { Chance } from '../chance.ts';
import type { PluggedIn } from './plugged-in.ts';

export interface RareCycle {
  powerW: number;
  runMin: number;
  everyMin: number;
  /** Minutes since its last run ended; 0 while it runs. */
  sinceMin: number;
}

/** Spread of the time between two runs, as a share of it (own judgement). */
const UNEVEN = 0.15;
const LEAST_W = 20;

/** @param nowMinute minutes since the epoch */
export const rareCycles = (loads: readonly PluggedIn[], nowMinute: number): RareCycle[] =>
  loads.flatMap(({ kind, powerW, runMin, cycleMin, lastMinute, on }) =>
    kind !== 'rare' || cycleMin === null || powerW < LEAST_W
      ? []
      : [{ powerW, runMin: runMin ?? 1, everyMin: cycleMin, sinceMin: on ? 0 : Math.max(0, nowMinute - lastMinute) }],
  );

/** Adds one likely course of it to mean watts a step. */
export function addRare(cycle: RareCycle, chance: Chance, stepMin: number, into: Float64Array): void {
  const restMin = Math.max(1, cycle.everyMin - cycle.runMin);
  const wait = () => restMin * Math.max(0.1, 1 + UNEVEN * chance.normal());
  // One that is overdue may come at any moment of its next rest.
  const due = wait() - cycle.sinceMin;
  let at = due > 0 ? due : chance.uniform() * restMin * UNEVEN;
  const endMin = into.length * stepMin;
  while (at < endMin) {
    spread(cycle.powerW, at, Math.min(endMin, at + cycle.runMin), stepMin, into);
    at += cycle.runMin + wait();
  }
}

function spread(powerW: number, fromMin: number, toMin: number, stepMin: number, into: Float64Array): void {
  for (let s = Math.floor(fromMin / stepMin); s < into.length && s * stepMin < toMin; s++) {
    const share = (Math.min(toMin, (s + 1) * stepMin) - Math.max(fromMin, s * stepMin)) / stepMin;
    into[s]! += powerW * share;
  }
}
