import { describe, expect, it } from 'vitest';
import { formatsFor, timesFor } from '../../web/format.ts';
import type { Connection } from '../../web/state/connection.ts';
import { fold, type Live, NOTHING_YET } from '../../web/state/live.ts';
import { outageFrom } from '../../web/state/outage.ts';
import { almanacRows } from '../../web/views/now/almanac-rows.ts';
import { partsTold } from '../../web/views/now/parts-told.ts';
import { sentenceOf as sentenceWith } from '../../web/views/now/sentence.ts';
import { mayPromise, type Situation, situationOf } from '../../web/views/now/situation.ts';
import { whyLines } from '../../web/views/now/why.ts';
import { EVENING_AT, shedTally, ZONE } from '../support/honey-shed.ts';
import { toldOutage } from '../support/outages.ts';
import { type ShedChanges, shedData } from '../support/shed-agent.ts';

const HOUR = 3_600_000;
const iso = (ms: number) => new Date(ms).toISOString();
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

interface Moment {
  connection?: Connection;
  /** ms since the messages came. */
  laterMs?: number;
  outage?: Situation['outage'];
  noStation?: boolean;
  silentAgent?: boolean;
}

function situation(changes: ShedChanges = {}, moment: Moment = {}): Situation {
  const data = shedData(changes);
  let live: Live = NOTHING_YET;
  if (moment.silentAgent !== true) {
    const stations = moment.noStation === true ? [] : data.stations;
    live = fold(
      live,
      {
        type: 'hello',
        n: 1,
        protocol: 1,
        version: '0.1.0',
        demo: false,
        now: iso(data.nowAt),
        heartbeatMs: 5000,
        ackWindow: 10,
        display: data.display,
        stations,
      },
      0,
    );
    for (const message of data.messages) live = fold(live, { ...message, n: 2 } as never, 0);
  }
  return situationOf({
    connection: moment.connection ?? { phase: 'open' },
    live,
    selected: null,
    nowMs: moment.laterMs ?? 0,
    outage: moment.outage ?? null,
    formats: formatsFor('en-GB', 'C'),
    times: timesFor('en-GB', ZONE, '24'),
  });
}

const sentenceOf = (s: Situation) => sentenceWith(s, partsTold);
const said = (changes: ShedChanges = {}, moment: Moment = {}) => {
  const { headline, sure } = sentenceOf(situation(changes, moment));
  return { headline: plain(headline), sure: plain(sure.map(piece => piece.text).join('')) };
};
const moments = (...hours: (number | null)[]) => {
  const [p10, p50, p90] = hours.map(h => (h === null ? null : iso(EVENING_AT + h * HOUR)));
  return { p10: p10!, p50: p50 ?? null, p90: p90 ?? null };
};

describe('the sentence while all is well', () => {
  it('promises the lower end first and says how sure it is, on which assumption, and when the outlets stop', () => {
    expect(said()).toEqual({
      headline: 'At least until 01:20, more likely 03:10.',
      sure: 'Four times in five between 01:20 and 05:30, if use goes on like this evening. Then the floor of 10 % is reached; the outlets would stop about 05:00.',
    });
  });

  it('names the day once where the end is not tonight', () => {
    const { headline } = said({ projection: { emptyAt: moments(15.2, 18.1, 24), stopsAt: null } });
    expect(headline).toBe('At least until tomorrow 11:00, more likely 14:00.');
  });

  it('never rounds the promised end up', () => {
    const { headline } = said({ projection: { emptyAt: moments(0.99, 1.2, 1.5) } });
    expect(headline).toBe('At least until 20:55, more likely 21:10.');
  });

  it('says that the end is not in sight where only its lower end is', () => {
    const { headline, sure } = said({ projection: { emptyAt: moments(20, null, null), stopsAt: null } });
    expect(headline).toBe('At least until tomorrow 16:00; the end is not in sight.');
    expect(sure).toContain('Nine times in ten later than tomorrow 16:00, if');
  });

  it('tells the late end first when it fills', () => {
    const { headline } = said({ projection: { toward: 'full', emptyAt: null, fullAt: moments(1, 2, 3.2) } });
    expect(headline).toBe('Full by 23:20, more likely 22:00.');
  });

  it('speaks of the ceiling where charging stops below full', () => {
    const projection = { toward: 'full', ceilingPct: 80, emptyAt: null, fullAt: moments(1, 2, 3.2) } as const;
    expect(said({ projection }).headline).toBe('At 80 % by 23:20, more likely 22:00.');
  });

  it('tells on mains what would be if the power failed now', () => {
    const { headline } = said({ projection: { onMains: true } });
    expect(headline).toBe('If the power failed now: at least until 01:20, more likely 03:10.');
  });

  it('tells of an outage while it lasts', () => {
    const startedAt = EVENING_AT - 2 * HOUR;
    const outage = outageFrom(toldOutage(startedAt));
    expect(said({}, { outage }).sure).toContain('The mains failed at 18:00.');
    expect(said({}, { outage: { ...outage, endedAt: startedAt + 1.5 * HOUR } }).sure).not.toContain('mains');
  });

  it('says where numbers are typed before there are any', () => {
    const { sure } = said({ reading: null, projection: null, status: { phase: 'typed', staleAfterMs: null } });
    expect(sure).toBe('Enter below what its screen shows.');
  });

  it('marks an early estimate, typed numbers and a fault', () => {
    expect(said({ projection: { early: true } }).sure).toContain('An early estimate');
    const typed = said(
      { reading: { typed: true }, status: { phase: 'typed', staleAfterMs: null } },
      { laterMs: 25 * 60_000 },
    );
    expect(typed.sure).toContain('From numbers typed 25 min ago.');
    expect(said({ reading: { states: { fault: 'fan blocked' } } }).sure).toContain(
      'The station reports a fault: fan blocked.',
    );
  });

  it.each([
    ['atFull', 'none', 'Full, 52 %.'],
    ['atFloor', 'none', 'At the floor of 10 %.'],
    ['ok', 'steady', 'No end in sight for two days.'],
    ['noStateOfCharge', 'none', 'How long it lasts cannot be told.'],
    ['noPower', 'none', 'How long it lasts cannot be told.'],
    ['noRatedWh', 'none', 'How long it lasts cannot be told yet.'],
    ['noHistory', 'none', 'Too early to say.'],
  ] as const)('why %s toward %s is said as “%s”', (why, toward, headline) => {
    expect(said({ projection: { why, toward, emptyAt: null } }).headline).toBe(headline);
  });
});

describe('the sentence when something is missing', () => {
  it('says that the estimate is away, not that it is the first, where whoever looks ahead is', () => {
    expect(said({ projection: { why: 'stale', toward: 'none', emptyAt: null, stopsAt: null, fullAt: null } })).toEqual({
      headline: 'How long it lasts cannot be told now.',
      sure: 'The estimate is being made anew.',
    });
  });

  it('asks for a station where there is none', () => {
    const sentence = sentenceOf(situation({}, { noStation: true }));
    expect([sentence.headline, sentence.offers]).toEqual(['No station yet.', 'steps']);
  });

  it('waits for the agent, then for the first reading', () => {
    expect(said({}, { silentAgent: true, connection: { phase: 'connecting' } }).headline).toBe('Reading the station.');
    expect(said({ reading: null, projection: null, status: { phase: 'waiting' } })).toEqual({
      headline: 'Waiting for the first reading of Honey shed.',
      sure: '/dev/ttyUSB0 is open; nothing readable has come yet.',
    });
  });

  it('stops promising when readings are late and says how old the last one is', () => {
    const late = situation({}, { laterMs: 5000 });
    expect(late.freshness).toBe('stale');
    expect(mayPromise(late)).toBe(false);
    const { headline, sure } = said({}, { laterMs: 240_000 });
    expect(headline).toBe('The last reading is 4 min old.');
    expect(sure).toContain('It said 52 % then. Nothing is promised');
    expect(sure).not.toMatch(/\d\d:\d\d/);
  });

  it('is not late before the limit of its source, and never late where it speaks only on change', () => {
    expect(situation({}, { laterMs: 4500 }).freshness).toBe('live');
    expect(situation({ status: { staleAfterMs: null } }, { laterMs: 3_600_000 }).freshness).toBe('live');
  });

  it('tells why a station is lost, what is tried, and when next', () => {
    const status = { phase: 'retrying', failure: 'unplugged', attempt: 3, nextTryInMs: 8000 } as const;
    const { headline, sure } = said({ status }, { laterMs: 2000 });
    expect(headline).toBe('Disconnected: it was unplugged.');
    expect(sure).toBe(
      'Reading /dev/ttyUSB0. Plug it in again; nothing else is needed. Try 3 of 10. Trying again in 6 s.',
    );
  });

  it('says when it is left alone', () => {
    expect(said({ status: { phase: 'parked', failure: 'notFound' } }).sure).toContain('It is left alone');
  });

  it('has words for every way a link fails', () => {
    for (const failure of [
      'notFound',
      'inUse',
      'permission',
      'refused',
      'unplugged',
      'ended',
      'timeout',
      'unsupported',
    ]) {
      expect(said({ status: { phase: 'retrying', failure } }).headline).not.toBe('Disconnected: it failed.');
    }
  });

  it('tells that the agent is gone, with the age of what is shown and a countdown', () => {
    const { headline, sure } = said(
      {},
      { laterMs: 20_000, connection: { phase: 'lost', attempt: 3, retryAtMs: 24_000 } },
    );
    expect(headline).toBe('The agent does not answer.');
    expect(sure).toContain('The figures below are 20 s old');
    expect(sure).toContain('Trying again in 4 s.');
  });

  it('shows no figure as now from readings that no longer hold', () => {
    const [coming, going, left] = almanacRows(situation({}, { laterMs: 60_000 }));
    expect([coming, going, left].map(row => row!.cells[0].text)).toEqual(['–', '–', '–']);
    expect(left!.cells[2].text).toBe('–');
  });

  it('tells a missing quantity as missing, never as nothing', () => {
    const rows = almanacRows(
      situation({ reading: { quantities: { inputPowerW: null, outputPowerW: 41, stateOfChargePct: null } } }),
    );
    expect(rows.map(row => row.cells[0].text)).toEqual(['–', '41', '–']);
  });

  it('tells what was not recorded as missing, and no watt-hours of a battery whose size is not known', () => {
    const never = situation({ reading: null, projection: null });
    const tally = { ...shedTally(), lastHour: { inputWh: 0, outputWh: 0, stateOfChargeChangePct: null } };
    const live = { ...never.live!, tally: { ...tally, today: { ...tally.today, coveredMs: 0 } } };
    expect(almanacRows({ ...never, live }).flatMap(row => row.cells.map(cell => cell.text))).toEqual(
      Array(9).fill('–'),
    );
    const [, , left] = almanacRows(situation({ projection: { why: 'noRatedWh', emptyAt: null, leftWh: 421 } }));
    expect([left!.cells[0].text, left!.cells[2].text]).toEqual(['52', '–']);
  });
});

describe('the chain behind the sentence', () => {
  it('tells what was measured, over which windows, and what was assumed', () => {
    const lines = whyLines(situation()).map(plain);
    expect(lines[0]).toBe('Measured at 19:59: 52 % left, 0 W coming in, 41 W going out.');
    expect(lines).toContain('Mean of the last 60 min: 0 W in, 76 W out (100 % of it recorded).');
    expect(lines).toContain('Energy on the label: 1 500 Wh.');
    expect(lines.at(-1)).toBe('Your floor is 10 %; the station itself stops at 1 %.');
  });
});

describe('a station made of parts', () => {
  const plug = {
    name: 'Plug meter',
    gives: ['outputPowerW'],
    missing: false,
    phase: 'live',
    link: 'shed:7000',
    ageMs: 400,
  };
  const sun = {
    name: 'Panel meter',
    gives: ['solarPowerW'],
    missing: true,
    phase: 'retrying',
    link: 'usb',
    ageMs: 90_000,
  };
  const screen = { name: 'Screen', gives: ['stateOfChargePct'], missing: true, phase: 'typed', link: '', ageMs: null };

  it('says nothing more while all of them are there', () => {
    expect(said({ status: { parts: [plug] } })).toEqual(said());
  });

  it('names each part that is missing, why, and what is not known for it', () => {
    const { headline, sure } = said({ status: { parts: [plug, { ...sun, failure: 'unplugged' }, screen] } });
    expect(headline).toBe(said().headline);
    expect(sure).toContain('Panel meter: it was unplugged. Not known until it is back: coming in from the sun.');
    expect(sure).toContain('Screen: not typed yet: state of charge.');
  });

  it('tells how old typed numbers are that no longer count', () => {
    const old = { ...screen, ageMs: 20 * 60_000 };
    expect(said({ status: { parts: [plug, old] } }, { laterMs: 1000 }).sure).toContain(
      'Screen: typed 20 min ago and no longer counted: state of charge. Type it again.',
    );
  });

  it('says so aloud once, when the missing part changes', () => {
    const meaning = (parts: (typeof plug | typeof screen)[]) => sentenceOf(situation({ status: { parts } })).meaning;
    expect(meaning([plug, sun])).not.toBe(meaning([plug, { ...sun, missing: false }]));
    expect(meaning([plug, sun])).toBe(meaning([plug, { ...sun, ageMs: 95_000 }]));
  });
});

describe('values that stand still while readings keep coming', () => {
  it('are doubted beside a promise that stands, and not where they are late anyway', () => {
    const status = { unchangedMs: 300_000 };
    const doubt = 'Values unchanged for 5 min; they may be frozen: look at its own screen.';
    expect(said({ status }).headline).toBe(said().headline);
    expect(said({ status }).sure).toBe(`${said().sure} ${doubt}`);
    expect(said({ status }, { laterMs: 4000 }).sure).toContain(doubt);
    expect(said({ status }, { laterMs: 600_000 }).sure).not.toContain('unchanged');
  });
});
