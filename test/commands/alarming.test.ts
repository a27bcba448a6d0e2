import { describe, expect, it } from 'vitest';
import { stageAlarming } from '../support/alarming-stage.ts';
import { EVENING_AT } from '../support/honey-shed.ts';

const MINUTE = 60_000;
const iso = (ms: number) => new Date(ms).toISOString();

function stage() {
  const s = stageAlarming();
  s.begin();
  return s;
}

describe('the warning of half an hour', () => {
  it('is raised once as the promise comes down to it, not before, and stands to the end', () => {
    const s = stage();
    const from = s.now();
    s.live(89, minute => 120.5 - minute);
    expect(s.standing()).toEqual([]);
    s.live(3, minute => 120.5 - minute);
    expect(s.standing()).toEqual(['ending']);
    const [alarm] = s.list();
    expect(Date.parse(alarm!.raisedAt) - from).toBeGreaterThanOrEqual(90 * MINUTE);
    expect(Date.parse(alarm!.raisedAt) - from).toBeLessThan(90.5 * MINUTE);
    expect(alarm!.values).toMatchObject({ floorPct: 10 });
    s.live(30, minute => Math.max(0, 120.5 - minute));
    expect(s.standing()).toEqual(['ending']);
    expect(s.calls()).toHaveLength(1);
  });

  it('comes between two messages too, as time goes by', () => {
    const s = stage();
    s.live(1, () => 31);
    expect(s.standing()).toEqual([]);
    s.live(1, () => 30.1);
    expect(s.standing()).toEqual(['ending']);
  });

  it('is raised once by a range that breathes about the half hour', () => {
    const s = stage();
    s.live(240, minute => 30 + 10 * Math.sin(minute));
    expect(s.calls()).toHaveLength(1);
  });

  it('is over when much more is promised or the mains is back; only after a while a new one is raised', () => {
    const s = stage();
    s.live(1, () => 20);
    s.live(5, () => 300);
    expect(s.states()).toEqual(['ending cleared']);
    s.live(2, () => 20);
    expect(s.standing()).toEqual(['ending']);
    expect(s.calls()).toHaveLength(1);
    s.live(15, () => 20, { onMains: true });
    expect(s.standing()).toEqual([]);
    s.live(2, () => 20);
    expect(s.states()).toEqual(['ending active']);
    expect(s.calls()).toHaveLength(2);
  });

  it('is one and the same for a mains that flickers all evening, and stands throughout', () => {
    const s = stage();
    for (let i = 0; i < 60; i++) {
      s.live(1, () => 20);
      s.live(0.5, () => 20, { onMains: true });
      expect(s.standing()).toEqual(['ending']);
    }
    expect(s.calls()).toHaveLength(1);
  });

  describe('near its floor', () => {
    const low = { quantities: { outputPowerW: 7, stateOfChargePct: 19 } };
    const risen = { quantities: { outputPowerW: 7, stateOfChargePct: 21 } };
    const down = (s: ReturnType<typeof stage>, reading = low) => s.live(2, () => 20, {}, reading);
    const eased = (s: ReturnType<typeof stage>, minutes: number, reading = low) =>
      s.live(minutes, () => 300, {}, reading);

    it('is one call for a night in which what is promised comes and goes', () => {
      const s = stage();
      for (let i = 0; i < 8; i++) {
        down(s);
        expect(s.standing()).toEqual(['ending']);
        eased(s, 90);
        expect(s.standing()).toEqual([]);
      }
      expect(s.calls()).toHaveLength(1);
    });

    it('is called anew once the battery rose from it, the mains was there, or another day came', () => {
      const s = stage();
      down(s);
      eased(s, 15, risen);
      down(s);
      expect(s.calls()).toHaveLength(2);
      s.live(15, () => 20, { onMains: true }, low);
      down(s);
      expect(s.calls()).toHaveLength(3);
      eased(s, 6 * 60 + 1);
      down(s);
      expect(s.calls()).toHaveLength(4);
    });

    it('is held back by no charge that is not told', () => {
      const s = stage();
      const untold = { quantities: { outputPowerW: 7 } };
      for (const _ of [1, 2]) {
        s.live(2, () => 20, {}, untold);
        s.live(12, () => 300, {}, untold);
      }
      expect(s.calls()).toHaveLength(2);
    });
  });

  it('is not raised on the mains, nor where no end is told, nor at the floor itself', () => {
    const s = stage();
    s.live(5, () => 10, { onMains: true });
    s.live(5, () => null);
    s.live(5, () => 0, { why: 'atFloor' });
    expect(s.calls()).toEqual([]);
  });

  it('stands while the station is not read for a few minutes, and calls no more once it is acknowledged', () => {
    const s = stage();
    s.live(1, () => 25);
    s.live(5, () => null, { why: 'stale', toward: 'none' });
    expect(s.standing()).toEqual(['ending']);
    s.change({ do: 'acknowledge', id: s.list()[0]!.id });
    s.live(5, () => 15);
    expect(s.states()).toEqual(['ending acknowledged']);
    s.live(5, () => 300);
    expect(s.list()).toEqual([]);
    expect(s.calls()).toHaveLength(1);
  });
});

describe('the call to a load gone quiet', () => {
  const quiet = [{ name: 'Chest freezer', powerW: 95, sinceAt: iso(EVENING_AT - 200 * MINUTE) }];

  it('is raised once for each time it went quiet, and ends when it draws again', () => {
    const s = stage();
    s.live(30, () => 500, { quiet });
    expect(s.standing()).toEqual(['quiet']);
    expect(s.list()[0]!.values).toMatchObject({ name: 'Chest freezer', sinceAt: quiet[0]!.sinceAt });
    s.live(1, () => 500, { quiet: [] });
    expect(s.standing()).toEqual([]);
    s.live(1, () => 500, { quiet: [{ ...quiet[0]!, sinceAt: iso(EVENING_AT) }] });
    expect(s.calls()).toHaveLength(2);
    // The one before is over and needs no answer any more.
    expect(s.states()).toEqual(['quiet active']);
  });

  it('stands while the station is not read', () => {
    const s = stage();
    s.live(1, () => 500, { quiet });
    s.live(5, () => null, { quiet: [], why: 'stale', toward: 'none' });
    expect(s.standing()).toEqual(['quiet']);
  });
});

describe('a load gone quiet as the battery ends', () => {
  const quiet = [{ name: 'Chest freezer', powerW: 95, sinceAt: iso(EVENING_AT - 200 * MINUTE) }];
  const outlets = (acOutletsOn?: boolean) => ({ states: acOutletsOn === undefined ? {} : { acOutletsOn } });

  it('is no call of its own where the outlets are off, until the end is over and it still does not draw', () => {
    const s = stage();
    s.live(2, () => 20, {}, outlets(true));
    s.live(200, () => 0, { why: 'atFloor', quiet }, outlets(false));
    expect(s.standing()).toEqual(['ending']);
    s.live(2, () => 300, { quiet }, outlets(false));
    expect(s.standing()).toEqual(['quiet']);
    expect(s.calls().map(({ kind }) => kind)).toEqual(['ending', 'quiet']);
  });

  it('has an hour to draw again once the outlets are back, then it is called', () => {
    const s = stage();
    s.live(2, () => 20, {}, outlets(true));
    s.live(60, () => 0, { why: 'atFloor', quiet }, outlets(false));
    s.live(58, () => 0, { why: 'atFloor', quiet }, outlets(true));
    expect(s.standing()).toEqual(['ending']);
    s.live(4, () => 0, { why: 'atFloor', quiet }, outlets(true));
    expect(s.standing().sort()).toEqual(['ending', 'quiet']);
  });

  it('is called where the outlets are on, or not told, and stands though the end comes after it', () => {
    for (const acOutletsOn of [true, undefined]) {
      const s = stage();
      s.live(2, () => 20, { quiet }, outlets(acOutletsOn));
      expect(s.standing().sort()).toEqual(['ending', 'quiet']);
    }
    const s = stage();
    s.live(2, () => 300, { quiet }, outlets(false));
    s.live(2, () => 20, { quiet }, outlets(false));
    expect(s.standing().sort()).toEqual(['ending', 'quiet']);
  });
});

describe('a station that tells nothing', () => {
  const drawing = { inputPowerW: 0, outputPowerW: 41, stateOfChargePct: 52 };

  it('is missed after ten minutes where something was drawing; what rests on its last values gives way', () => {
    const s = stage();
    s.live(2, () => 20);
    s.say({ status: { phase: 'stale' } });
    s.live(9, () => null, { why: 'stale', toward: 'none' });
    expect(s.standing()).toEqual(['ending']);
    s.live(2, () => null, { why: 'stale', toward: 'none' });
    expect(s.standing()).toEqual(['silent']);
    expect(s.calls().map(({ kind }) => kind)).toEqual(['ending', 'silent']);
    s.say({ status: { phase: 'live' } });
    s.live(2, () => 15);
    expect(s.states()).toEqual(['ending active', 'silent cleared']);
    expect(s.calls()).toHaveLength(2);
  });

  it('is not missed where nothing was drawing, where the owner let it go, nor where it speaks only on change', () => {
    const idle = stage();
    idle.read(1, { ...drawing, outputPowerW: 0 });
    idle.say({ status: { phase: 'retrying' } });
    idle.go(30, () => undefined);
    expect(idle.calls()).toEqual([]);
    const away = stage();
    away.read(1, drawing);
    away.say({ status: { phase: 'away' } });
    away.go(30, () => undefined);
    expect(away.calls()).toEqual([]);
    const quiet = stage();
    quiet.say({ status: { staleAfterMs: null } });
    quiet.read(1, drawing);
    quiet.go(30, () => undefined);
    expect(quiet.calls()).toEqual([]);
  });
});

describe('what readings raise', () => {
  it('volts within 5 % of the limit of their port, over only well below', () => {
    const s = stageAlarming({ solarPort: [{ maxV: 60 }, { maxV: 150 }] });
    s.begin();
    s.read(2, { 'solarVoltageV.1': 56.9, 'solarVoltageV.2': 70 });
    expect(s.standing()).toEqual([]);
    s.read(1, { 'solarVoltageV.1': 57, 'solarVoltageV.2': 70 });
    expect(s.list()).toMatchObject([
      { kind: 'overVolts', priority: 'high', values: { volts: 57, limitV: 60, port: 1 } },
    ]);
    s.read(10, { 'solarVoltageV.1': 55.3, 'solarVoltageV.2': 70 });
    expect(s.standing()).toEqual(['overVolts']);
    s.read(3, { 'solarVoltageV.1': 55, 'solarVoltageV.2': 70 });
    expect(s.states()).toEqual(['overVolts cleared']);
  });

  it('volts of no port in particular are held against the lowest limit', () => {
    const s = stageAlarming({ solarPort: [{ maxV: 60 }, { maxV: 50 }] });
    s.begin();
    s.read(1, { solarVoltageV: 48 });
    expect(s.list()).toMatchObject([{ kind: 'overVolts', values: { limitV: 50, port: null } }]);
  });

  it('a battery charged in the cold, after a minute, not one that only lies in the cold', () => {
    const s = stage();
    s.read(5, { batteryTempC: -3, inputPowerW: 40, outputPowerW: 41 });
    expect(s.standing()).toEqual([]);
    s.read(0.5, { batteryTempC: -3, inputPowerW: 140, outputPowerW: 41 });
    expect(s.standing()).toEqual([]);
    s.read(1, { batteryTempC: -3, inputPowerW: 140, outputPowerW: 41 });
    expect(s.list()).toMatchObject([{ kind: 'cold', values: { tempC: -3, chargeW: 99 } }]);
  });

  it('a fault as the station words it; another one calls for itself', () => {
    const s = stage();
    s.read(1, {}, { fault: 'overload' });
    s.change({ do: 'acknowledge', id: s.list()[0]!.id });
    s.read(1, {}, { fault: 'inverter too hot' });
    expect(s.calls().map(({ values }) => values.fault)).toEqual(['overload', 'inverter too hot']);
    s.read(3, {});
    expect(s.states()).toEqual(['fault cleared']);
  });
});

describe('the agent itself', () => {
  it('calls where nothing is being saved for a minute, and where its clock is wrong', () => {
    const s = stage();
    s.say({ unsaved: 'DISK_FULL', clock: 'unknown' });
    s.go(1.5, () => undefined);
    expect(s.list()).toMatchObject([
      { kind: 'unsaved', station: null, values: { code: 'DISK_FULL' } },
      { kind: 'clock', station: null, priority: 'low' },
    ]);
    s.say({ unsaved: null, clock: 'synced' });
    s.go(2, () => undefined);
    expect(s.states()).toEqual(['unsaved cleared', 'clock cleared']);
  });

  it.each([
    ['one that was put back by a minute, which the record waits for', 60_000, []],
    ['one that was put back by an hour', 3_600_000, ['clock']],
  ])('calls for a clock that is wrong: %s', (_, backMs, standing) => {
    const s = stage();
    s.say({ clock: 'stepped' });
    s.go(20, () => s.hearReading({ at: iso(s.now() + backMs) }));
    expect(s.standing()).toEqual(standing);
  });

  it('does not call for a clock that was stepped once', () => {
    const s = stage();
    s.say({ clock: 'stepped' });
    s.go(0.2, () => undefined);
    s.say({ clock: 'synced' });
    s.go(5, () => undefined);
    expect(s.calls()).toEqual([]);
  });
});

describe('after a start and after a sleep', () => {
  it('nothing is raised for half a minute, then all that stands is one call', () => {
    const s = stageAlarming();
    const hot = { quantities: { outputPowerW: 41 }, states: { fault: 'overload' } };
    s.hearProjection({ emptyAt: { p10: iso(s.now() + 9 * MINUTE), p50: null, p90: null } });
    s.go(0.4, () => s.hearReading(hot));
    expect(s.list()).toEqual([]);
    s.go(0.4, () => s.hearReading(hot));
    expect(s.list().map(({ kind, call }) => [kind, call])).toEqual([
      ['fault', 1],
      ['ending', 1],
    ]);
    expect(s.news).toHaveLength(1);
  });

  it('a sleep is told by either clock', () => {
    const asleep: [monoMs: number, wallMs: number][] = [
      [3_600_000, 3_600_000],
      [1000, 3_600_000],
    ];
    for (const [monoMs, wallMs] of asleep) {
      const s = stage();
      s.read(1, { outputPowerW: 41 });
      s.pass(monoMs, wallMs);
      s.read(0.4, {}, { fault: 'overload' });
      expect(s.standing()).toEqual([]);
      s.read(0.4, {}, { fault: 'overload' });
      expect(s.standing()).toEqual(['fault']);
    }
  });
});

describe('what the owner answers', () => {
  const overload = { fault: 'overload' };

  it('set aside for an hour it stands in the list and calls no more; then it calls anew', () => {
    const s = stage();
    s.read(1, {}, overload);
    s.change({ do: 'shelve', id: s.list()[0]!.id, until: '1h' });
    expect(s.list()).toMatchObject([{ state: 'active', shelvedUntilAt: iso(s.now() + 60 * MINUTE) }]);
    s.read(59, {}, overload);
    expect(s.calls()).toHaveLength(1);
    s.read(2, {}, overload);
    expect(s.calls()).toHaveLength(2);
    expect(s.list()).toMatchObject([{ state: 'active', shelvedUntilAt: null, call: 2 }]);
  });

  it('until tomorrow means seven in the morning where the station is', () => {
    const s = stage();
    s.read(1, {}, overload);
    s.change({ do: 'shelve', id: s.list()[0]!.id, until: 'tomorrow' });
    // 20:00 by the clock of the shed, an hour ahead of UTC.
    expect(s.list()[0]!.shelvedUntilAt).toBe(iso(EVENING_AT + 11 * 60 * MINUTE));
    s.change({ do: 'unshelve', id: s.list()[0]!.id });
    expect(s.list()[0]!.shelvedUntilAt).toBeNull();
  });

  it('is refused for an alarm that is over, and for one of another station', () => {
    const s = stage();
    s.read(1, {}, overload);
    const { id } = s.list()[0]!;
    expect(() => s.change({ do: 'acknowledge', id: 'long ago' })).toThrow(/over/);
    expect(() => s.alarming.change({ do: 'acknowledge', id }, 'barn')).toThrow(/over/);
    s.alarming.change({ do: 'acknowledge', id }, 'shed');
    expect(s.states()).toEqual(['fault acknowledged']);
  });

  it('pages are told the whole list, and only where it changed', () => {
    const s = stage();
    s.read(10, {}, overload);
    s.change({ do: 'acknowledge', id: s.list()[0]!.id });
    s.read(10, {});
    expect(s.told.map(list => list.map(({ state }) => state))).toEqual([[], ['active'], ['acknowledged'], []]);
  });

  it('a station that is removed takes its alarms along', () => {
    const s = stage();
    s.read(1, {}, overload);
    s.say({ stations: [] });
    s.go(0.1, () => undefined);
    expect(s.list()).toEqual([]);
  });
});
