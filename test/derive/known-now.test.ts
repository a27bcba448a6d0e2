import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import type { Reasons } from '#kit';
import { StationSettings } from '#messages';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { asToldAnew, watchKnown } from '../../agent/derive/known-now.ts';
import { lookingFollower } from '../support/looking-follower.ts';
import { reading } from './readings.ts';

const START = Date.UTC(2026, 5, 21, 20);
const MINUTE = 60_000;
const at = (minute: number) => START + minute * MINUTE;

const saying = (minute: number, pct: number | null, outputPowerW: number | null, reasons: Reasons = {}) =>
  reading({
    at: at(minute),
    quantities: { inputPowerW: 0, outputPowerW, stateOfChargePct: pct },
    reasons: {
      ...(pct === null ? { stateOfChargePct: 'notAvailable' as const } : {}),
      ...(outputPowerW === null ? { outputPowerW: 'notAvailable' as const } : {}),
      ...reasons,
    },
  });

describe('what a projection rests on', () => {
  it('is known while percent and powers come', () => {
    const known = watchKnown();
    for (let m = 0; m < 60; m++) known.see(saying(m, 70, 60));
    expect(known.lacks(at(60))).toBeNull();
  });

  it('is not known a quarter of an hour after the last percent, and known again with the next', () => {
    const known = watchKnown();
    known.see(saying(0, 70, 60));
    for (let m = 1; m < 40; m++) {
      known.see(saying(m, null, 60));
      expect(known.lacks(at(m))).toBe(m > 15 ? 'noStateOfCharge' : null);
    }
    known.see(saying(40, 66, 60));
    expect(known.lacks(at(40))).toBeNull();
  });

  it('is not known two minutes after a power went missing, and never missed where it is not given', () => {
    const known = watchKnown();
    known.see(saying(0, 70, null));
    expect(known.lacks(at(2))).toBeNull();
    expect(known.lacks(at(3))).toBe('noPower');
    known.see(saying(4, 70, null, { outputPowerW: 'notGiven' }));
    expect(known.lacks(at(30))).toBeNull();
  });

  it('is no new percent while the one from before still stands', () => {
    const standing = saying(0, 70, 60, { stateOfChargePct: 'notGiven' });
    expect(asToldAnew(standing).quantities.stateOfChargePct).toBeNull();
    expect(asToldAnew(saying(0, 70, 60)).quantities.stateOfChargePct).toBe(70);
  });
});

describe('a station whose percent is typed while its powers are read', () => {
  const settings = v.parse(StationSettings, {
    id: 'shed',
    name: 'Shed',
    ratedWh: 1640,
    zone: 'UTC',
    transport: { kind: 'typed' },
  });
  const follow = () => lookingFollower(factsOf(settings, 1000, 'UTC'));

  it('is told by its label until more is known, and promises nothing from a percent of long ago', () => {
    const follower = follow();
    follower.add(saying(0, 70, 60));
    for (let m = 1; m <= 14; m++) follower.add(saying(m, 70, 60, { stateOfChargePct: 'notGiven' }));
    expect(follower.project(at(14)).byLabel).not.toBeNull();
    for (let m = 15; m <= 40; m++) follower.add(saying(m, null, 60));
    expect(follower.project(at(40))).toMatchObject({
      why: 'noStateOfCharge',
      toward: 'none',
      byLabel: null,
      fan: null,
    });
    follower.add(saying(41, 66, 60));
    expect(follower.project(at(41)).byLabel).not.toBeNull();
  });
});
