/** Trials of a server in a test: none, and what is asked for is told as it was asked. */
import { WattkeepError } from '#kit';
import type { TrialsDoor } from '../../agent/server/deps.ts';

async function* inOne(text: string): AsyncGenerator<Uint8Array> {
  yield Buffer.from(text);
}

const none = (id: string) =>
  Promise.reject(new WattkeepError('REQUEST_INVALID', `There is no trial "${id}".`, 'GET /api/trials lists them.'));

export const noTrials: TrialsDoor = {
  list: async () => ({ kinds: [], notMeasurable: [], trials: [] }),
  one: none,
  start: start => none(start.station),
  change: none,
  compare: ids => inOne(JSON.stringify({ ids })),
  firstWeek: station => inOne(JSON.stringify({ station })),
  years: station => inOne(JSON.stringify({ station })),
  report: (ids, show) => inOne(JSON.stringify({ ids, show })),
  chart: (ids, axis) => inOne(JSON.stringify({ ids, axis })),
  samples: none,
};
