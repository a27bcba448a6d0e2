import { describe, expect, it } from 'vitest';
import type { WireMark } from '#messages';
import { letterOf } from '../../agent/commands/run/aiming/kept.ts';
import { STANDING, staysOf } from '../../agent/derive/standing.ts';
import { stageAims, stationSettings } from '../support/aim-stage.ts';
import { reading } from '../support/record.ts';

const HOUR_MS = 3_600_000;
type Stage = ReturnType<typeof stageAims>;
const lettersOf = ({ aim }: Stage) =>
  aim()
    .marks.map(mark => mark.letter)
    .sort();
const mark = ({ aims }: Stage, choice: { note?: string; again?: number } = {}): WireMark => {
  const { mark: made } = aims.mark('shed', choice);
  if (made === null) throw new Error('nothing was marked');
  return made;
};
const standing = ({ record }: Stage) => staysOf(record.facts('shed')).map(stay => [stay.spot, stay.fromMs]);
const refused = (act: () => unknown, message: RegExp) =>
  expect(act).toThrow(expect.objectContaining({ code: 'REQUEST_INVALID', message: expect.stringMatching(message) }));

describe('marks', () => {
  it('are lettered within their walk and kept at once', () => {
    const stage = stageAims();
    stage.live(60, 180);
    expect(mark(stage, { note: 'by the stone' })).toMatchObject({
      id: 1,
      letter: 'A',
      note: 'by the stone',
      spot: null,
    });
    stage.carryTo(140);
    expect(mark(stage)).toMatchObject({ id: 2, letter: 'B' });
    expect(stage.record.marks('shed', 1).map(m => [m.id, m.walk, m.letter])).toEqual([
      [1, 1, 'A'],
      [2, 1, 'B'],
    ]);
    expect(stage.aim().verdict).toMatchObject({ here: 'B', than: 'A' });
  });

  it('are not made while there is nothing to measure, and that is said', () => {
    const stage = stageAims();
    expect(stage.aims.mark('shed', {})).toEqual({ mark: null, why: 'short' });
    stage.live(60, 180);
    stage.live(3, 10);
    expect(stage.aims.mark('shed', {}).mark).toBeNull();
    expect(stage.record.lastMark('shed')).toBeNull();
  });

  it('that could not be saved were not made', () => {
    const stage = stageAims();
    stage.live(60, 180);
    stage.disk.full = true;
    expect(() => stage.aims.mark('shed', {})).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
    expect(lettersOf(stage)).toEqual([]);
    stage.disk.full = false;
    expect(mark(stage)).toMatchObject({ id: 1, letter: 'A' });
  });

  it('are taken back from the last one on; their letter is free again, their number is not', () => {
    const stage = stageAims();
    stage.live(60, 180);
    mark(stage);
    stage.carryTo(140);
    mark(stage);
    stage.aims.changeMarks('shed', { do: 'undo' });
    expect(lettersOf(stage)).toEqual(['A']);
    expect(stage.record.lastMark('shed')).toMatchObject({ id: 2, takenBackAt: stage.clock.at });
    expect(mark(stage)).toMatchObject({ id: 3, letter: 'B' });
    stage.aims.changeMarks('shed', { do: 'undo' });
    stage.aims.changeMarks('shed', { do: 'undo' });
    refused(() => stage.aims.changeMarks('shed', { do: 'undo' }), /no mark/);
  });

  it('are noted, and only those of this walk', () => {
    const stage = stageAims();
    stage.live(60, 180);
    const { id } = mark(stage);
    stage.aims.changeMarks('shed', { do: 'note', mark: id, note: 'watch the hose' });
    expect(stage.aim().marks[0]!.note).toBe('watch the hose');
    stage.aims.changeMarks('shed', { do: 'walk' });
    refused(() => stage.aims.changeMarks('shed', { do: 'note', mark: id, note: '' }), /no mark 1/);
  });
});

describe('a walk', () => {
  const marked = () => {
    const stage = stageAims();
    stage.live(60, 180);
    mark(stage);
    return stage;
  };

  it('begins anew when it is said, over a restart as well', () => {
    const stage = marked();
    stage.aims.changeMarks('shed', { do: 'walk' });
    expect(lettersOf(stage)).toEqual([]);
    stage.record.close();
    const later = stageAims(stage.dir, stage.clock.at);
    expect(lettersOf(later)).toEqual([]);
    later.live(60, 180);
    expect(mark(later)).toMatchObject({ id: 2, letter: 'A' });
    expect(later.record.lastMark('shed')!.walk).toBe(2);
  });

  it('begins anew by itself three hours after its last mark', () => {
    const stage = marked();
    stage.clock.at += 3 * HOUR_MS - 1000;
    expect(lettersOf(stage)).toEqual(['A']);
    stage.clock.at += 2000;
    expect(lettersOf(stage)).toEqual([]);
    stage.live(60, 180);
    expect(mark(stage)).toMatchObject({ letter: 'A', id: 2 });
  });

  it('begins anew on another civil day', () => {
    const stage = stageAims(undefined, Date.UTC(2026, 5, 3, 23, 30));
    stage.live(60, 180);
    mark(stage);
    stage.clock.at = Date.UTC(2026, 5, 4, 0, 10);
    expect(lettersOf(stage)).toEqual([]);
  });

  it('goes on where it was after a restart', () => {
    const stage = marked();
    stage.record.close();
    const later = stageAims(stage.dir, stage.clock.at + 60_000);
    expect(lettersOf(later)).toEqual(['A']);
  });

  it('has letters past Z', () => {
    expect([0, 25, 26, 27, 51, 52].map(letterOf)).toEqual(['A', 'Z', 'AA', 'AB', 'AZ', 'BA']);
  });
});

describe('a name for a mark', () => {
  it('makes its spot a named one, where the panels stand since they were set down there', () => {
    const stage = stageAims();
    stage.live(60, 140);
    mark(stage);
    stage.carryTo(180);
    const b = mark(stage);
    stage.aims.changeMarks('shed', { do: 'name', mark: b.id, name: 'Hive stand' });
    expect(stage.record.spots('shed')).toMatchObject([{ id: 'hive-stand', name: 'Hive stand' }]);
    expect(stage.aim().marks.find(m => m.id === b.id)).toMatchObject({ spot: 'hive-stand', name: 'Hive stand' });
    expect(standing(stage)).toEqual([['hive-stand', stage.record.lastMark('shed')!.movedAt]]);
    expect(stage.stands.at(-1)).toBe('shed');
  });

  it('ties it to the spot of that name, however it is written', () => {
    const stage = stageAims();
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.live(60, 180);
    const a = mark(stage);
    stage.aims.changeMarks('shed', { do: 'name', mark: a.id, name: 'step' });
    expect(stage.record.spots('shed')).toHaveLength(1);
    expect(stage.aim().marks[0]).toMatchObject({ spot: 'step', name: 'Step' });
  });

  it('that nobody has, for a spot first named on this walk, is what the spot is called from then on', () => {
    const stage = stageAims();
    stage.live(60, 180);
    const a = mark(stage);
    stage.aims.changeMarks('shed', { do: 'name', mark: a.id, name: 'Step' });
    stage.aims.changeMarks('shed', { do: 'name', mark: a.id, name: 'Front step' });
    expect(stage.record.spots('shed')).toMatchObject([{ id: 'step', name: 'Front step' }]);
  });

  it('that nobody has makes a new spot where the old one is older than this walk: that one stays as it was', () => {
    const stage = stageAims();
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.live(60, 180);
    stage.clock.at += 24 * HOUR_MS;
    stage.live(60, 180);
    const a = mark(stage);
    expect(a.spot).toBe('step');
    stage.aims.changeMarks('shed', { do: 'name', mark: a.id, name: 'Gate' });
    expect(stage.record.spots('shed').map(spot => spot.name)).toEqual(['Gate', 'Step']);
    expect(standing(stage).map(([spot]) => spot)).toEqual(['step', 'gate']);
  });

  it('of which the panels were carried away says nothing of where they stand', () => {
    const stage = stageAims();
    stage.live(60, 180);
    const a = mark(stage);
    stage.carryTo(140);
    stage.aims.changeMarks('shed', { do: 'name', mark: a.id, name: 'Step' });
    expect(standing(stage)).toEqual([]);
  });

  it('is the name of every mark made there again', () => {
    const stage = stageAims();
    stage.live(60, 180);
    const a = mark(stage);
    stage.carryTo(140);
    mark(stage);
    stage.carryTo(180);
    const c = mark(stage, { again: a.id });
    expect(c).toMatchObject({ letter: 'C', again: 'A', spot: null });
    stage.aims.changeMarks('shed', { do: 'name', mark: c.id, name: 'Step' });
    expect(stage.record.marks('shed', 1).map(m => m.spot)).toEqual(['step', null, 'step']);
  });
});

describe('where the panels stand', () => {
  it('ends with a mark made after they were moved, named or not', () => {
    const stage = stageAims();
    stage.live(60, 180);
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.live(60, 180);
    expect(mark(stage)).toMatchObject({ spot: 'step' });
    stage.carryTo(140);
    expect(mark(stage)).toMatchObject({ spot: null });
    expect(standing(stage).map(([spot]) => spot)).toEqual(['step', null]);
    const movedAt = stage.record.lastMark('shed')!.movedAt;
    expect(standing(stage)[1]![1]).toBe(movedAt);
    expect(stage.aims.planeNow('shed')).toBeNull();
  });

  it('can be told after they were seen to be carried without waiting anew, and is waited for where nothing was seen', () => {
    const stage = stageAims();
    stage.live(60, 180);
    for (const name of ['Step', 'Fence', 'Hedge']) stage.aims.changeSpots('shed', { do: 'add', name });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    expect(mark(stage)).toMatchObject({ letter: 'A', spot: 'step' });
    stage.carryTo(140);
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'fence' });
    expect(mark(stage)).toMatchObject({ letter: 'B', spot: 'fence' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'hedge' });
    expect(stage.aims.mark('shed', {})).toEqual({ mark: null, why: 'short' });
  });

  it('is still known after a restart, though the judge has seen nothing before it', () => {
    const stage = stageAims();
    stage.live(60, 180);
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.record.close();
    const later = stageAims(stage.dir, stage.clock.at + HOUR_MS);
    later.live(60, 180);
    expect(mark(later)).toMatchObject({ spot: 'step', name: 'Step' });
  });

  it('does not end with a move that nobody looked at: that was a cloud', () => {
    const stage = stageAims();
    stage.live(60, 180);
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.looking.clear();
    stage.clock.at += HOUR_MS;
    stage.live(60, 180);
    stage.carryTo(140, 200);
    expect(mark(stage)).toMatchObject({ spot: 'step' });
  });

  it('is what was said last, also of a carry that was still under way', () => {
    const stage = stageAims();
    for (const name of ['Step', 'Fence']) stage.aims.changeSpots('shed', { do: 'add', name });
    stage.aims.changeSpots('shed', { do: 'carry', spot: 'fence' });
    stage.clock.at += 5000;
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.clock.at += HOUR_MS;
    expect(stage.aims.desk('shed').kept.stay(stage.clock.at)?.spot).toBe('step');
  });

  it('is where they were again marked, though the spot has a name only', () => {
    const stage = stageAims();
    stage.live(60, 180);
    const a = mark(stage);
    stage.aims.changeMarks('shed', { do: 'name', mark: a.id, name: 'Step' });
    stage.carryTo(140);
    mark(stage);
    stage.carryTo(180);
    mark(stage, { again: a.id });
    expect(standing(stage).map(([spot]) => spot)).toEqual(['step', null, 'step']);
  });
});

describe('spots', () => {
  it('keep ids that were never given before', () => {
    const stage = stageAims();
    const add = (name: string) => stage.aims.changeSpots('shed', { do: 'add', name });
    add('Über der Tür!');
    add('東');
    stage.aims.changeSpots('shed', { do: 'remove', spot: 'spot' });
    add('西');
    refused(() => add('西'), /named "西" already/);
    expect(stage.record.spots('shed').map(({ id, removedAt }) => [id, removedAt !== null])).toEqual([
      ['uber-der-tur', false],
      ['spot', true],
      ['spot-2', false],
    ]);
  });

  it('change from now on: how panels stood there before stays as it was', async () => {
    const stage = stageAims();
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.aims.changeSpots('shed', { do: 'change', spot: 'step', tiltDeg: 26, azimuthDeg: 180 });
    stage.clock.at += HOUR_MS;
    stage.aims.changeSpots('shed', { do: 'change', spot: 'step', tiltDeg: 40, note: 'second notch' });
    expect(stage.aims.planes('shed').map(({ plane }) => plane?.tiltDeg)).toEqual([26, 40]);
    expect(stage.aims.planeNow('shed')).toEqual({ tiltDeg: 40, azimuthDeg: 180 });
    const { spots } = await stage.door.answer('shed');
    expect(spots).toMatchObject([{ note: 'second notch', tiltDeg: 40, azimuthDeg: 180, standing: true }]);
    stage.aims.changeSpots('shed', { do: 'change', spot: 'step', tiltDeg: null });
    expect(stage.aims.planeNow('shed')).toBeNull();
  });

  it('that are removed are stood at no longer, and that is all', () => {
    const stage = stageAims();
    stage.aims.changeSpots('shed', { do: 'add', name: 'Step' });
    stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' });
    stage.clock.at += HOUR_MS;
    stage.aims.changeSpots('shed', { do: 'remove', spot: 'step' });
    expect(standing(stage).map(([spot]) => spot)).toEqual(['step', null]);
    refused(() => stage.aims.changeSpots('shed', { do: 'stand', spot: 'step' }), /no spot "step"/);
  });

  it('are carried to only in the simulation; there they stand some time later', () => {
    const stage = stageAims();
    stage.aims.changeSpots('shed', { do: 'add', name: 'Fence' });
    stage.aims.changeSpots('shed', { do: 'carry', spot: 'fence' });
    expect(stage.carried).toEqual(['fence']);
    const [first, second] = stage.record.facts('shed').filter(fact => fact.key === STANDING);
    expect([first!.valueJson, second!.valueJson]).toEqual([null, '{"spot":"fence"}']);
    expect(second!.validFromMs).toBeGreaterThan(stage.clock.at + 15_000);
    refused(() => stage.aims.changeSpots('shed', { do: 'carry', spot: 'gate' }), /no spot "gate"/);
  });
});

describe('what is told', () => {
  it('is told to nobody while nobody looks, and about once a second while somebody does', () => {
    const stage = stageAims();
    stage.looking.clear();
    stage.live(10, 180);
    expect(stage.told).toEqual([]);
    stage.looking.add('shed');
    for (let i = 0; i < 50; i++) {
      stage.clock.at += 200;
      stage.aims.add(reading(1, { solarPowerW: 180 }, { at: stage.clock.at }));
    }
    expect(stage.told.length).toBeGreaterThanOrEqual(9);
    expect(stage.told.length).toBeLessThanOrEqual(11);
  });

  it('is told at once after a mark', () => {
    const stage = stageAims();
    stage.live(60, 180);
    stage.told.length = 0;
    mark(stage);
    expect(stage.told).toMatchObject([{ type: 'aim', aim: { marks: [{ letter: 'A' }] } }]);
  });

  it('names the quantity of the figure', () => {
    expect(stageAims().aim().quantity).toBe('solarPowerW');
  });

  it('is held against another station whose panels stand still', () => {
    const stage = stageAims();
    stage.seat(stationSettings(), stationSettings({ id: 'barn', name: 'Barn' }));
    for (let s = 0; s < 90; s++) {
      stage.live(1, 90, 'barn');
      stage.clock.at -= 1000;
      stage.live(1, 180);
    }
    expect(stage.aim().reference).toBe('Barn');
  });
});
