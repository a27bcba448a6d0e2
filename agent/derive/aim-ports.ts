/**
 * A station with several solar ports: which of them is being carried about, and what the others say of the sky
 * meanwhile. A port whose watts collapse while the others keep theirs is the one in hand. Watts.
 */
import type { Quantities } from '#kit';

/** A port that never gave this much has nothing plugged in. */
const IN_USE_W = 5;
/** Below this share of its level a port has collapsed; above the other one it has kept it (common practice, no source). */
const COLLAPSED = 0.4;
const KEPT = 0.8;
const LEVEL_MS = 30_000;

export interface PortsSplit {
  /** Of the panels in hand; null where not told. */
  readonly powerW: number | null;
  /** Of those that stand still; null where there are none. */
  readonly referenceW: number | null;
  /** Number of the port in hand; null where they are not told apart. */
  readonly inHand: number | null;
}

interface Port {
  levelW: number;
  nowW: number;
  atMs: number;
}

export interface AimPorts {
  /** Takes a reading's quantities. @param totalW all that comes from the sun, W */
  split(atMs: number, quantities: Quantities, totalW: number | null): PortsSplit;
}

const PORT = /^solarPowerW\.(\d+)$/;

export function createAimPorts(): AimPorts {
  const ports = new Map<number, Port>();
  let inHand: number | null = null;

  const see = (number: number, atMs: number, nowW: number): void => {
    const port = ports.get(number) ?? { levelW: nowW, nowW, atMs };
    const share = 1 - Math.exp(-(atMs - port.atMs) / LEVEL_MS);
    ports.set(number, { levelW: port.levelW + (port.nowW - port.levelW) * share, nowW, atMs });
  };

  const collapsedAlone = (used: readonly [number, Port][]): number | null => {
    const down = used.filter(([, { levelW, nowW }]) => levelW > IN_USE_W && nowW < COLLAPSED * levelW);
    const up = used.filter(([, { levelW, nowW }]) => nowW > KEPT * levelW);
    return down.length === 1 && up.length === used.length - 1 ? down[0]![0] : null;
  };

  return {
    split(atMs, quantities, totalW) {
      for (const [key, value] of Object.entries(quantities)) {
        const number = PORT.exec(key)?.[1];
        if (number !== undefined && typeof value === 'number') see(Number(number), atMs, value);
      }
      const told = [...ports].filter(([, port]) => port.atMs === atMs);
      const used = told.filter(([, { levelW, nowW }]) => Math.max(levelW, nowW) > IN_USE_W);
      if (used.length < 2) return { powerW: totalW, referenceW: null, inHand: null };
      inHand = collapsedAlone(used) ?? inHand ?? Math.min(...used.map(([number]) => number));
      const powerW = ports.get(inHand)?.nowW ?? null;
      const referenceW = used.reduce((sum, [number, { nowW }]) => sum + (number === inHand ? 0 : nowW), 0);
      return { powerW, referenceW, inHand };
    },
  };
}
