/**
 * A real host and supervisor with a steady station, and a second one whose adapter or device misbehaves. The steady
 * one reads through the built-in adapters; what it gives while the other fails is what a test looks at.
 */
import { mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { API_VERSION } from '#kit';
import { type AdapterHostOptions, createAdapterHost } from '../../agent/host/adapter-host.ts';
import { createSupervisor, type StationReading, type StationStatus } from '../../agent/stations/index.ts';
import { describeLink, openLinkFor, type TransportLike } from '../../agent/transports/index.ts';
import { built } from './built.ts';
import { realClock, realTimers, until } from './real-time.ts';

const STEADY = `setInterval(() => console.log('{"inputPowerW":100,"outputPowerW":40,"stateOfChargePct":70}'), 25)`;
/** A device that says something ten times a second. */
export const TICKING = `setInterval(() => console.log('tick'), 100)`;

/** Source of an owner's adapter: `head` at the top of the file, `decode` the body of its decode(frame). */
export const adapterSource = (decode: string, head = ''): string => `
${head}
export default {
  manifest: {
    id: 'hostile', title: 'Hostile', version: '1', apiVersion: ${API_VERSION}, transports: ['process'],
    gives: ['inputPowerW'], intervalMs: 1000, maxFrameBytes: 4096, maxReadingsPerS: 50,
  },
  open: () => ({
    createFramer: () => ({ push: (chunk, onFrame) => onFrame(chunk), end() {} }),
    decode(frame) { ${decode} },
  }),
};`;

export interface ContainmentOptions {
  /** Source of the second station's adapter file, or the id of a built-in. */
  readonly adapter: string;
  /** Arguments of the program it reads. */
  readonly device: readonly string[];
  readonly heartbeatLimitMs?: number;
  readonly rssLimitBytes?: number;
  readonly mostLevel?: 1 | 2;
  /** Where it reads instead of a program. */
  readonly transport?: TransportLike;
  readonly allows?: AdapterHostOptions['allows'];
}

export const program = (source: string): string[] => [process.execPath, '-e', source];

export async function containmentStage(options: ContainmentOptions) {
  const folder = mkdtempSync(path.join(tmpdir(), 'adapter-'));
  const isSource = options.adapter.includes('export default');
  const adapter = isSource ? path.join(folder, 'hostile.js') : options.adapter;
  if (isSource) {
    // An owner may keep the file elsewhere and link it into the adapters folder.
    writeFileSync(path.join(folder, 'kept.js'), options.adapter);
    symlinkSync(path.join(folder, 'kept.js'), adapter);
  }

  const readings: StationReading[] = [];
  const statuses: StationStatus[] = [];
  let printed = '';
  const host = createAdapterHost({
    entryPath: built('agent/host/adapter-child.js'),
    clock: realClock,
    timers: realTimers,
    heartbeatLimitMs: options.heartbeatLimitMs ?? 5000,
    rssLimitBytes: options.rssLimitBytes ?? 256_000_000,
    mostLevel: options.mostLevel ?? 2,
    ...(options.allows === undefined ? {} : { allows: options.allows }),
    onStderr: (_source, text) => {
      printed += text;
    },
  });
  let session = 0;
  const supervisor = createSupervisor({
    clock: realClock,
    timers: realTimers,
    random: () => 0,
    newSessionId: () => String(++session),
    runner: host,
    onReading: reading => readings.push(reading),
    onStatus: status => statuses.push(status),
  });
  const plan = (id: string, of: string, transport: TransportLike) => {
    const surroundings = { clock: realClock, timers: realTimers, environment: process.env, onStderr: () => undefined };
    const link = describeLink(transport);
    return { kind: 'linked', id, adapter: of, openLink: openLinkFor(transport, surroundings), link, key: id } as const;
  };
  const count = (id: string): number => readings.filter(reading => reading.station === id).length;

  const steady = plan('steady', 'lines', { kind: 'process', command: program(STEADY) });
  supervisor.set([steady]);
  await until(() => count('steady') >= 3);
  const rssAtStart = process.memoryUsage.rss();
  supervisor.set([steady, plan('hostile', adapter, options.transport ?? { kind: 'process', command: options.device })]);

  return {
    host,
    supervisor,
    readings,
    statuses,
    count,
    printed: () => printed,
    status: (id: string) => supervisor.statuses().find(status => status.station === id),
    /** The failures the hostile station has had so far. */
    failures: (): string[] => statuses.filter(s => s.station === 'hostile' && s.failure).map(s => s.failure!),
    /** How much the agent's process grew since the hostile station began, bytes. */
    growth: () => process.memoryUsage.rss() - rssAtStart,
    /** Resolves when the steady station has given `more` readings from now on, in its first session still. */
    async steadyGoesOn(more = 10): Promise<void> {
      const before = count('steady');
      await until(() => count('steady') >= before + more);
      const sessions = new Set(readings.filter(r => r.station === 'steady').map(r => r.session));
      if (sessions.size !== 1) throw new Error(`the steady station was started ${sessions.size} times`);
    },
    async close(): Promise<void> {
      await supervisor.close();
      await host.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export type ContainmentStage = Awaited<ReturnType<typeof containmentStage>>;

/** The second station sends `bytes` of noise through the process of the built-ins, then keeps silent. */
export const garbageStage = (bytes: number): Promise<ContainmentStage> =>
  containmentStage({ adapter: 'lines', device: ['sh', '-c', `head -c ${bytes} /dev/urandom; sleep 1000`] });

/** Resolves when the counts of noise stand still, with the steady station reading all the while. */
export async function throughGarbage(stage: ContainmentStage): Promise<{ rejected: number; growth: number }> {
  await until(() => (stage.status('hostile')?.rejected.notText ?? 0) > 100);
  let growth = 0;
  let rejected = 0;
  for (let still = 0; still < 3; ) {
    await stage.steadyGoesOn();
    growth = Math.max(growth, stage.growth());
    const now = Object.values(stage.status('hostile')?.rejected ?? {}).reduce((sum, n) => sum + n, 0);
    still = now === rejected ? still + 1 : 0;
    rejected = now;
  }
  return { rejected, growth };
}
