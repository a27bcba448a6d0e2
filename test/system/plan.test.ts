/** Plan through the whole agent: its list is kept in the settings and survives a restart; the verb says what the page does. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { PlanAnswer } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { planned } from '../support/plans.ts';
import { verb } from '../support/yard-agent.ts';

const SETTINGS = `
[tariff]
perKWh = 0.4
currency = "EUR"
[[tariff.hours]]
days = ["mon", "tue", "wed", "thu", "fri"]
fromHour = 0
toHour = 6
perKWh = 0.12

[[station]]
id = "shed"
name = "Honey shed"
transport = { kind = "typed" }
ratedWh = 1000
continuousW = 1000
zone = "Europe/Rome"
place = { latitudeDeg = 45.5, longitudeDeg = 9 }
`;
const path = '/api/stations/shed/plan';

describe('planning with the whole agent', () => {
  let folders: Folders;
  let agent: AgentProcess;
  beforeAll(async () => {
    folders = freshFolders(SETTINGS);
    agent = await startAgentProcess(folders);
  });
  afterAll(async () => {
    await agent.end();
    folders.remove();
  });

  it('says that nothing is planned, then keeps the list where it outlives the agent', async () => {
    expect(verb(folders, 'plan').stdout).toContain('Nothing is planned yet.');
    const load = [planned('Router', 10, { mustStayOn: true }), planned('Kettle', 2200, { hoursPerDay: 0.2 })];
    expect((await agent.change('POST', path, { load, dullDays: 2 })).status).toBe(200);
    expect(readFileSync(folders.settings, 'utf8')).toContain('Kettle');
    await agent.end();
    agent = await startAgentProcess(folders);
    const basis = await agent.api<PlanAnswer>(path);
    expect(basis.plan).toEqual({ load, dullDays: 2 });
    expect(basis).toMatchObject({ simulated: false, floorPct: 10, now: null, days: [], weeks: [], surgeW: null });
    expect(basis.price!.perKWh.slice(4, 8)).toEqual([0.12, 0.12, 0.4, 0.4]);
    expect(basis.price!.perKWh[5 * 24 + 4]).toBe(0.4);
  });

  it('answers on the command line as on the page: verdicts, a router that gets less than half of the label, the sun', () => {
    const { status, stdout, stderr } = verb(folders, 'plan', '--station', 'shed');
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/Router +10 W +240 Wh +runs\n/);
    expect(stdout).toMatch(/Kettle +2200 W +440 Wh +too big\n/);
    expect(stdout).toContain('From 100 % down to 10 % on the battery alone: ');
    expect(stdout).toMatch(/Dec +\d+–\d+ Wh +\d+ +[\d.]+|no end +assumed/);
    expect(stdout).toContain('No panels are told');
    const { verdict, lasting } = verb(folders, 'plan', '--json').json<{
      verdict: { loads: { verdict: string }[] };
      lasting: { full: { p10: number; p50: number; p90: number } };
    }>();
    expect(verdict.loads.map(l => l.verdict)).toEqual(['runs', 'tooBig']);
    expect(10 * lasting.full.p50).toBeLessThan(500);
    expect(lasting.full.p10).toBeLessThan(lasting.full.p50);
  });

  it('refuses words it does not take and stations there are not', () => {
    expect(verb(folders, 'plan', 'kettle')).toMatchObject({ status: 2 });
    expect(verb(folders, 'plan', '--station', 'barn').stderr).toContain('STATION_UNKNOWN');
    expect(verb(folders, 'plan', '--help').stdout).toContain('usage: wattkeep plan');
  });
});
