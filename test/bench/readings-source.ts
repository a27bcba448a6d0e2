/** The bench's end of a process that publishes readings: how it is started, told to publish, and what it answers. */
import { type ChildProcess, fork } from 'node:child_process';
import { benchChild } from './places.ts';

/** Publish so many readings at so many a second; 0 a second: end. */
export interface Order {
  hz: number;
  count: number;
}
export type Report = { port: number } | { published: number; cpuMicros: number };

export interface ReadingsSource {
  readonly port: number;
  /** Resolves when all are published; processor time of that process meanwhile, µs. */
  publish(hz: number, count: number): Promise<number>;
  end(): void;
}

export async function openSource(way: 'hub' | 'tcp' | 'ws'): Promise<ReadingsSource> {
  const child = fork(benchChild('readings-server'), [way]);
  const first = await next(child);
  if (!('port' in first)) throw new Error(`${way}: expected a port`);
  return {
    port: first.port,
    async publish(hz, count) {
      child.send({ hz, count } satisfies Order);
      const report = await next(child);
      if (!('cpuMicros' in report)) throw new Error(`${way}: expected a report`);
      return report.cpuMicros;
    },
    end: () => void child.send({ hz: 0, count: 0 } satisfies Order),
  };
}

const next = (child: ChildProcess): Promise<Report> =>
  new Promise((resolve, reject) => {
    const early = () => reject(new Error('the source of readings ended early'));
    child.once('exit', early);
    child.once('message', message => {
      child.off('exit', early);
      resolve(message as Report);
    });
  });
