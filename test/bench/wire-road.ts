/**
 * Three roads from a pseudo-terminal to a WebSocket, all open at once, one used at a time: the agent, a bare script, and
 * a bare script with as many processes as the agent has on that road.
 */
import { type PtyPort, plugPty } from '../support/pty.ts';
import { freshHome, type Served, serve, serveAgent } from './agent.ts';
import { benchChild } from './places.ts';

/** Same on every road; only outputPowerW is looked at. */
export const lineOf = (outputPowerW: number): string =>
  `{"inputPowerW":181.5,"outputPowerW":${outputPowerW},"stateOfChargePct":71}\n`;

export interface Road {
  readonly pty: PtyPort;
  readonly served: Served;
  end(): Promise<void>;
}

export async function agentRoad(): Promise<Road> {
  const pty = await plugPty();
  const home = freshHome(
    '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1640\nzone = "UTC"\n' +
      `transport = { kind = "serial", path = "${pty.path}", baud = 115200 }\n`,
  );
  return roadOf(pty, await serveAgent(home), () => home.remove());
}

export async function bareRoad(hops: 'one' | 'three'): Promise<Road> {
  const pty = await plugPty();
  const served = await serve(process.execPath, [benchChild('bare-serial'), pty.path, hops]);
  return roadOf(pty, served, () => undefined);
}

const roadOf = (pty: PtyPort, served: Served, after: () => void): Road => ({
  pty,
  served,
  async end() {
    await served.end();
    await pty.remove();
    after();
  },
});
