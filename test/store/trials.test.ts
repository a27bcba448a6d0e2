/** Trials in the record: kept whole, the newest word stands, ids stay taken, a damaged file gives them back. */
import { expect, test } from 'vitest';
import type { KeptTrial } from '#messages';
import { openRecord } from '../../agent/store/open.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const trial = (over: Partial<KeptTrial> = {}): KeptTrial => ({
  station: 'shed',
  id: 'shed-usable-260603-aaaaaa',
  kind: 'usable',
  startedAt: START_AT,
  endedAt: null,
  optionsJson: '{"kind":"usable"}',
  askedJson: '{}',
  conditionsJson: '{"note":"é蜂"}',
  stepsJson: '[]',
  typedJson: '[{"at":1,"energyWh":0.5}]',
  simulated: 0,
  version: '1.2.3',
  judgementJson: null,
  judgedBy: null,
  removedAt: null,
  ...over,
});

test('a trial is found by its id, live until it is judged or removed, and survives the end of the process', () => {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  const other = trial({ station: 'barn', id: 'barn-solar-260603-bbbbbb', kind: 'solar', simulated: 1 });
  record.commit(batch([reading(1, { outputPowerW: 5 })], { trials: [trial(), other] }));
  expect(record.trials('shed')).toEqual([trial()]);
  expect(record.trial(other.id)).toEqual(other);
  expect(record.trial('shed-usable-260603-cccccc')).toBeNull();
  expect(record.liveTrials().map(({ id }) => id)).toEqual([other.id, trial().id]);

  const done = trial({ judgementJson: '{"phase":"done"}', judgedBy: '1.2.4', endedAt: START_AT + 5 });
  record.commit(batch([], { trials: [done, { ...other, removedAt: START_AT + 9 }] }));
  expect(record.liveTrials()).toEqual([]);
  record.close();
  const again = openRecord(dir, { nowMs: () => START_AT, commitIntervalMs: 0, readOnly: true });
  expect(again.trial(done.id)).toEqual(done);
  expect(again.trial(other.id)?.removedAt).toBe(START_AT + 9);
  again.close();
});
