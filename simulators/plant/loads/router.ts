/** A router that is always on and whose draw wanders with the traffic. Invented figures. */
import { noise, STREAM } from '../chance.ts';
import type { Load } from './load.ts';

/** The router on a DC outlet. */
export function createRouter(seed: number): Load {
  return {
    name: 'router',
    side: 'dc',
    draw: ({ ms, dcOn }) =>
      dcOn ? 5.4 + 1.6 * noise(seed, STREAM.router, ms / 45_000) + 0.5 * noise(seed, STREAM.router, ms / 3_000) : 0,
  };
}
