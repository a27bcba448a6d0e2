/**
 * Suspects on the side of sky, panels and lead: less is offered. How often each comes about is own judgement; what it
 * does to watts and volts follows from how panels are wired.
 *
 * In series a shaded panel, or a third or half of it, is stepped over by its bypass diode: volts and watts fall by that
 * part. In parallel the volts stay and one part of the current is lost.
 */
import type { Wiring } from './panel-volts.ts';
import { leadShareAt, type Scene, type Suspect, voltsAt, wattsAt } from './suspect.ts';

/** Drop of a conducting bypass diode, V. */
const BYPASS_V = 0.6;

/** Every suspect of this side, each cause's weight spread over its degrees and over the ways of wiring. */
export function panelSuspects(scene: Scene): Suspect[] {
  const wirings = scene.wirings.length === 0 ? [null] : scene.wirings;
  return wirings.flatMap(wiring => {
    const each = 1 / wirings.length;
    return [
      ...clouds(scene, wiring),
      ...stringsMissing(scene, wiring),
      ...panelsShaded(scene, wiring),
      ...warmth(scene, wiring),
      ...dirt(scene, wiring),
      ...leads(scene, wiring),
    ].map(suspect => ({ ...suspect, weight: suspect.weight * each }));
  });
}

const range = (from: number, to: number, count: number) =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));

/** Watts and volts with nothing wrong, in the light there is. */
const whole = (scene: Scene, wiring: Wiring | null) => ({
  watts: wattsAt(scene, wiring, scene.lightShare),
  volts: voltsAt(scene, wiring, scene.lightShare),
});

function clouds(scene: Scene, wiring: Wiring | null): Suspect[] {
  const at = (share: number, weight: number): Suspect => ({
    cause: 'cloud',
    weight,
    leavesW: wattsAt(scene, wiring, share),
    volts: voltsAt(scene, wiring, share),
  });
  if (scene.observed.planeOfArrayWm2 !== null) return scene.lightShare < 0.92 ? [at(scene.lightShare, 6)] : [];
  const all = { unsteady: 8, unknown: 3, steady: 1.5 }[scene.observed.sky];
  const shares = range(0.03, 0.93, 46);
  const even = scene.observed.sky === 'steady';
  return shares.map(share => at(share, ((even ? evenCloud(share) : 1) * all) / shares.length));
}

/** Cloud that holds still is a thick deck, or a thin veil; what lies between comes with gaps (own judgement). */
const evenCloud = (share: number): number => (share < 0.45 ? 1.4 : share < 0.78 ? 0.4 : 0.8);

function stringsMissing(scene: Scene, wiring: Wiring | null): Suspect[] {
  const { watts, volts } = whole(scene, wiring);
  const left = (share: number, weight: number): Suspect => ({
    cause: 'stringMissing',
    weight,
    leavesW: watts * share,
    volts,
  });
  if (wiring === null) return range(0.5, 0.8, 7).map(share => left(share, 0.3 / 7));
  const { parallel } = wiring;
  if (parallel < 2) return [];
  return [left((parallel - 1) / parallel, 1), ...(parallel > 2 ? [left((parallel - 2) / parallel, 0.2)] : [])];
}

function panelsShaded(scene: Scene, wiring: Wiring | null): Suspect[] {
  const { watts, volts: wholeV } = whole(scene, wiring);
  const shaded = (share: number, volts: number | null, weight: number): Suspect => ({
    cause: 'panelShaded',
    weight,
    leavesW: watts * share,
    volts,
  });
  if (wiring === null) return range(0.3, 0.85, 8).map(share => shaded(share, null, 0.5 / 8));
  const { series, parallel } = wiring;
  const stepped = (panels: number, weight: number) => {
    const lost = panels / series;
    if (lost > 0.9) return [];
    // A string beside it is drawn down with it, and gives a little more current there.
    const share = (1 - lost) * (parallel > 1 ? 1.04 : 1);
    return [shaded(share, wholeV === null ? null : wholeV * (1 - lost) - BYPASS_V, weight)];
  };
  const steps = [
    ...stepped(1, 0.35),
    ...stepped(1 / 2, 0.35),
    ...stepped(1 / 3, 0.12),
    ...stepped(2 / 3, 0.12),
    ...stepped(3 / 2, 0.1),
    ...stepped(2, 0.15),
  ];
  const degrees = range(0.1, 0.85, 8);
  // In parallel the volts may stay, and the string with the shade gives what its darkest cells let through.
  if (parallel > 1) {
    const beside = degrees.map(y => shaded((parallel - 1 + y) / parallel, wholeV, 0.8 / 8));
    return series > 1 ? [...steps, ...beside] : beside;
  }
  // Shaded a little, or with the tracker on the lesser hill, it holds the string back: less current at more volts.
  const held = degrees.map(y =>
    shaded(y * 1.06, wholeV === null ? null : wholeV * (1.12 - 0.06 * y), y > 0.5 ? 0.06 : 0.03),
  );
  return series > 1 ? [...steps, ...held] : steps;
}

function warmth(scene: Scene, wiring: Wiring | null): Suspect[] {
  const { watts, volts } = whole(scene, wiring);
  const all = (scene.observed.airTempC ?? 20) >= 28 ? 0.6 : 0.3;
  return [10, 18, 26].map(k => ({
    cause: 'heat',
    weight: all / 3,
    leavesW: watts * (1 + scene.powerPerK * k),
    volts: volts === null || scene.panel === null ? null : volts * (1 + scene.panel.perK * k),
  }));
}

/** Thick dirt is rare. */
const DIRT = [
  [0.08, 0.2],
  [0.14, 0.14],
  [0.2, 0.08],
  [0.3, 0.03],
] as const;

function dirt(scene: Scene, wiring: Wiring | null): Suspect[] {
  return DIRT.map(([lost, weight]) => ({
    cause: 'dirt',
    weight,
    leavesW: wattsAt(scene, wiring, scene.lightShare) * (1 - lost),
    volts: voltsAt(scene, wiring, scene.lightShare),
  }));
}

/** A lead that was told is a fact: nothing else need be wrong. One that was not could be any. */
function leads(scene: Scene, wiring: Wiring | null): Suspect[] {
  const { watts, volts } = whole(scene, wiring);
  if (scene.leadOhm !== null)
    return leadShareAt(scene, wiring, scene.lightShare) < 0.05
      ? []
      : [{ cause: 'lead', weight: 3, leavesW: watts, volts }];
  return [0.08, 0.14, 0.2].map(lost => ({
    cause: 'lead',
    weight: 0.08,
    leavesW: watts * (1 - lost),
    volts: volts === null ? null : volts * (1 - lost),
  }));
}
