import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { LedgerAnswer } from '#messages';
import { agentApi } from '../../web/state/api.ts';
import { askLedger } from '../../web/state/ledger.ts';
import { ledgerSeason } from '../support/ledger-season.ts';

const season = () => ledgerSeason('2026-07-01', '2026-07-04', { counted: true });
const ask = (body: unknown) =>
  askLedger(
    agentApi(async () => new Response(JSON.stringify(body))),
    'shed',
    '2026-07-01',
    '2026-07-04',
  );

describe('what the agent tells of a stretch of the ledger', () => {
  it('is asked by station and dates', async () => {
    const addresses: string[] = [];
    const api = agentApi(async address => {
      addresses.push(address);
      return new Response(JSON.stringify(season()));
    });
    await askLedger(api, 'honey shed', '2026-07-01', '2026-07-04');
    expect(addresses).toEqual(['/api/stations/honey%20shed/ledger?from=2026-07-01&to=2026-07-04']);
  });

  it('is taken as it is', async () => {
    const answer = season();
    expect(v.is(LedgerAnswer, answer)).toBe(true);
    expect(await ask(answer)).toMatchObject({ ok: true, value: answer });
  });

  it.each(Object.keys(season().days[0]!))(
    'is refused where a day has another kind of %s, as its schema does',
    async key => {
      const missing = season();
      delete (missing.days[2] as Record<string, unknown>)[key];
      const wrong = season();
      Object.assign(wrong.days[2]!, { [key]: ['odd'] });
      for (const answer of [missing, wrong]) {
        expect(v.is(LedgerAnswer, answer)).toBe(false);
        expect(await ask(answer)).toMatchObject({ ok: false, refusal: { code: 'UNREADABLE' } });
      }
    },
  );

  it('is refused where a row, a part of the rest or anything else is odd', async () => {
    const odd: ((answer: ReturnType<typeof season>) => void)[] = [
      answer => Object.assign(answer.carpet.rows[1]!, { 3: 'odd' }),
      answer => Object.assign(answer.carpet, { rows: 'odd' }),
      answer => Object.assign(answer.carpet, { stepMin: 0 }),
      answer => Object.assign(answer.days[1]!.whereItWent!, { shadeWh: null }),
      answer => Object.assign(answer.days[1]!.counted!, { solarWh: 'odd' }),
      answer => Object.assign(answer.days, { 1: null }),
      answer => Object.assign(answer, { money: 7 }),
    ];
    for (const change of odd) {
      const answer = season();
      change(answer);
      expect(await ask(answer)).toMatchObject({ ok: false, refusal: { code: 'UNREADABLE' } });
    }
  });
});
