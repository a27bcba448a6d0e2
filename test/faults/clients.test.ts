import { expect, test } from 'vitest';
import { liveReading, stageServer } from '../support/server-stage.ts';

// A slow client, a half-open one and each kind of rule-breaker: test/server/live.test.ts.
test('of three hundred clients at once as many as there is room for are served, the others are told to come later', async () => {
  const stage = await stageServer({ limits: { liveClientsOfOne: 300, connections: 400 } });
  try {
    const taps = Array.from({ length: 300 }, () => stage.open());
    const statuses = await Promise.all(taps.map(tap => tap.status));
    const served = taps.filter((_, i) => statuses[i] === 101);
    expect(served).toHaveLength(50);
    expect(statuses.filter(status => status === 503)).toHaveLength(250);
    expect(stage.server.refused()).toEqual({ clients: 250 });
    await Promise.all(served.map(tap => tap.until(message => message.type === 'hello')));
    for (const tap of served) tap.subscribe([]);
    await Promise.all(served.map(tap => tap.until(message => message.type === 'status')));
    stage.server.publish(liveReading(7));
    await Promise.all(
      served.map(tap =>
        tap.until(message => message.type === 'reading' && (message as { reading: { seq: number } }).reading.seq === 7),
      ),
    );
    // A place that is free again is given to the next one.
    served[0]!.socket.close();
    await served[0]!.closed;
    expect(await stage.open().status).toBe(101);
  } finally {
    await stage.close();
  }
});
