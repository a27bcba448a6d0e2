import { expect, test } from 'vitest';
import { watchedStation } from '../support/watched-station.ts';

const FIVE_MIN_S = 300;

test('values that stand still for five minutes are told with the station, until one changes; energy stays as it is', () => {
  const { published, watch, hand, live, phase } = watchedStation(60_000);
  const statuses = () => published.flatMap(({ message }) => (message.type === 'status' ? [message.status] : []));
  const told = () => statuses().map(({ unchangedMs }) => unchangedMs);
  const outputWh = () => {
    const day = watch.current('shed').find(message => message.type === 'day');
    return day?.type === 'day' ? day.tally.today.outputWh : 0;
  };
  phase('live');
  live(FIVE_MIN_S);
  expect(told()).toEqual([undefined]);
  live(1);
  expect(told()).toEqual([undefined, 300_000]);
  // Who asks only now is told too, and a steady doubt is told once.
  live(FIVE_MIN_S);
  expect(told()).toHaveLength(2);
  expect(watch.current('shed')).toContainEqual({ type: 'status', status: statuses().at(-1) });
  expect(outputWh()).toBeCloseTo((40 * 600) / 3600, 3);
  live(1, { outputPowerW: 41 });
  expect(told()).toEqual([undefined, 300_000, undefined]);
  live(FIVE_MIN_S + 301, { outputPowerW: 41 });
  expect(told().at(-1)).toBeGreaterThan(0);
  // A station that is lost has another trouble, and stands anew once it is back.
  phase('retrying');
  expect(told().at(-1)).toBeUndefined();
  hand.advance(61_000);
  phase('live');
  live(1, { outputPowerW: 41 });
  expect(told().at(-1)).toBeUndefined();
});
