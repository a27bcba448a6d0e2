/**
 * The steps of DEVELOPERS.md for a station nobody has written for, run as they stand there: shell lines in a shell,
 * statements put into the file that was begun. At their end a running agent reads the station.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, describe, expect, it } from 'vitest';
import { ROOT } from '../house/rooms.ts';
import { type AgentProcess, startAgentProcess } from '../support/agent-process.ts';
import { needs } from '../support/needs.ts';
import { type PtyPort, plugPty } from '../support/pty.ts';
import { type Workbench, withStatement, workbench } from '../support/workbench.ts';

const TITLE = '**Read a station nobody has written for.**';
const developers = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
const section = developers.slice(developers.indexOf(TITLE)).split(/\n(?=\*\*)/)[0]!;
const blocks = [...section.matchAll(/^ {3}```(\w+)\n([\s\S]*?)^ {3}```/gm)].map(([, language, lines]) => ({
  language: language!,
  lines: lines!.replace(/^ {3}/gm, ''),
}));

let bench: Workbench;
let port: PtyPort;
let agent: AgentProcess;
let ticking: NodeJS.Timeout;
afterAll(async () => {
  clearInterval(ticking);
  await agent?.end('SIGKILL');
  await port?.remove();
  bench?.remove();
});

describe('the how-to', () => {
  it('has at most four steps, all of them shell lines and statements', () => {
    expect(section.match(/^\d+\. /gm)?.length).toBeLessThanOrEqual(4);
    expect(new Set(blocks.map(({ language }) => language))).toEqual(new Set(['sh', 'ts']));
  });

  needs('socat')('leads from a cable to a station that is read', async () => {
    bench = workbench();
    port = await plugPty();
    ticking = setInterval(() => port.write(Buffer.from('aa550751780063013e71', 'hex')), 1000);
    let said = '';
    for (const { language, lines } of blocks) {
      const file = join(bench.adapters, 'hive-box.ts');
      if (language === 'ts') writeFileSync(file, withStatement(readFileSync(file, 'utf8'), lines));
      else {
        const { status, out, complaint } = await bench.sh(lines, { PORT: port.path });
        expect([status, lines, complaint, out]).toEqual([0, lines, expect.anything(), expect.anything()]);
        said += out;
      }
    }
    expect(said).toMatch(/byte 8 +batteryTempC 62 → 22/);
    expect(said).toMatch(/hive-box: \d+ checks passed \(seed 1\)/);
    agent = await startAgentProcess(bench);
    for (;;) {
      const { reading } = await agent.api<{ reading: { quantities: object } | null }>('api/stations/hive/now');
      if (reading === null) await pause(200);
      else {
        expect(reading.quantities).toMatchObject({ stateOfChargePct: 81, outputPowerW: 35.5, batteryTempC: 22 });
        break;
      }
    }
  });
});
