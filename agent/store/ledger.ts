/**
 * The plain rows of a batch: day totals (added), cursors (never back), outages, spans, facts, spots, marks and notes
 * (the newest word stands, and what has ended does not begin again unless the owner says so). Readings, totals and what follows from them were there
 * already where a station is replayed; what the owner says was not. Energies are whole mJ, so sums are exact.
 */
import type { Batch, DayDelta } from '#messages';
import type { Connection } from './connection.ts';
import { prepareCounted } from './counted.ts';
import { recordError } from './failure.ts';

type Statement = ReturnType<Connection['prepare']>;
type Admitted = ReadonlyMap<string, 'fresh' | 'replayed'>;

// Numbers are bound as REAL; the cast keeps sums whole.
const ADD_DAY = `INSERT INTO day (station, date, zone, startMs, endMs, solarMilliJ, inputMilliJ, outputMilliJ, coveredMs,
    gapMs, solarPeakW, stateOfChargeMinPct, stateOfChargeMaxPct)
  VALUES (@id, @date, @zone, @startMs, @endMs, cast(@solarMilliJ AS INT), cast(@inputMilliJ AS INT),
    cast(@outputMilliJ AS INT), cast(@coveredMs AS INT), cast(@gapMs AS INT), @solarPeakW, @stateOfChargeMinPct,
    @stateOfChargeMaxPct)
  ON CONFLICT (station, date, zone) DO UPDATE SET
    solarMilliJ = solarMilliJ + excluded.solarMilliJ,
    inputMilliJ = inputMilliJ + excluded.inputMilliJ,
    outputMilliJ = outputMilliJ + excluded.outputMilliJ,
    coveredMs = coveredMs + excluded.coveredMs,
    gapMs = gapMs + excluded.gapMs,
    solarPeakW = max(solarPeakW, excluded.solarPeakW),
    stateOfChargeMinPct = coalesce(min(stateOfChargeMinPct, excluded.stateOfChargeMinPct),
      stateOfChargeMinPct, excluded.stateOfChargeMinPct),
    stateOfChargeMaxPct = coalesce(max(stateOfChargeMaxPct, excluded.stateOfChargeMaxPct),
      stateOfChargeMaxPct, excluded.stateOfChargeMaxPct)`;

const PUT_CURSOR = `INSERT INTO cursor (station, session, seq, at, inputSource)
  VALUES (@id, @session, @seq, @at, @inputSource)
  ON CONFLICT (station) DO UPDATE SET session = excluded.session, seq = excluded.seq, at = excluded.at,
    inputSource = excluded.inputSource WHERE excluded.at >= cursor.at`;

const PUT_OUTAGE = `INSERT INTO outage (station, startedAt, endedAt, startPct, endPct, lowestPct, outputMilliJ,
    inputMilliJ, promisedAt, promisedP10At, promisedP50At, floorAt)
  VALUES (@id, @startedAt, @endedAt, @startPct, @endPct, @lowestPct, cast(@outputMilliJ AS INT),
    cast(@inputMilliJ AS INT), @promisedAt, @promisedP10At, @promisedP50At, @floorAt)
  ON CONFLICT (station, startedAt) DO UPDATE SET
    endedAt = coalesce(excluded.endedAt, endedAt),
    startPct = coalesce(startPct, excluded.startPct),
    endPct = coalesce(excluded.endPct, endPct),
    lowestPct = coalesce(min(lowestPct, excluded.lowestPct), lowestPct, excluded.lowestPct),
    outputMilliJ = max(outputMilliJ, excluded.outputMilliJ),
    inputMilliJ = max(inputMilliJ, excluded.inputMilliJ),
    promisedP10At = iif(promisedAt IS NULL, excluded.promisedP10At, promisedP10At),
    promisedP50At = iif(promisedAt IS NULL, excluded.promisedP50At, promisedP50At),
    promisedAt = coalesce(promisedAt, excluded.promisedAt),
    floorAt = coalesce(floorAt, excluded.floorAt)`;

const PUT_SPAN = `INSERT INTO span (station, reason, fromMs, toMs, note) VALUES (@id, @reason, @fromMs, @toMs, @note)
  ON CONFLICT (station, reason, fromMs) DO UPDATE SET toMs = coalesce(excluded.toMs, toMs), note = excluded.note`;

const PUT_FACT = `INSERT INTO fact (station, key, validFromMs, valueJson) VALUES (@id, @key, @validFromMs, @valueJson)
  ON CONFLICT (station, key, validFromMs) DO UPDATE SET valueJson = excluded.valueJson`;

const PUT_LEARNED = `INSERT INTO learned (station, valueJson) VALUES (@id, @valueJson)
  ON CONFLICT (station) DO UPDATE SET valueJson = excluded.valueJson`;

const PUT_SPOT = `INSERT INTO spot (station, spot, name, note, removedAt) VALUES (@id, @spot, @name, @note, @removedAt)
  ON CONFLICT (station, spot) DO UPDATE SET name = excluded.name, note = excluded.note, removedAt = excluded.removedAt`;

const PUT_MARK = `INSERT INTO mark (station, mark, walk, letter, at, movedAt, spot, againOf, note, meanW, errorW,
    seenJson, takenBackAt)
  VALUES (@id, @mark, @walk, @letter, @at, @movedAt, @spot, @againOf, @note, @meanW, @errorW,
    @seenJson, @takenBackAt)
  ON CONFLICT (station, mark) DO UPDATE SET walk = excluded.walk, letter = excluded.letter, at = excluded.at,
    movedAt = excluded.movedAt, spot = excluded.spot, againOf = excluded.againOf, note = excluded.note, meanW = excluded.meanW,
    errorW = excluded.errorW, seenJson = excluded.seenJson, takenBackAt = excluded.takenBackAt`;

const TELL_SPAN = `INSERT INTO span (station, reason, fromMs, toMs, note, takenBackAt)
  VALUES (@id, @reason, @fromMs, @toMs, @note, @takenBackAt)
  ON CONFLICT (station, reason, fromMs) DO UPDATE SET toMs = excluded.toMs, note = excluded.note,
    takenBackAt = excluded.takenBackAt`;

const PUT_NOTE = `INSERT INTO note (station, note, date, at, text, writtenAt, takenBackAt)
  VALUES (@id, @note, @date, @at, @text, @writtenAt, @takenBackAt)
  ON CONFLICT (station, note) DO UPDATE SET date = excluded.date, at = excluded.at, text = excluded.text,
    writtenAt = excluded.writtenAt, takenBackAt = excluded.takenBackAt`;

// The value of a moment that has one already stays: two facts never become one.
const MOVE_FACT = `UPDATE OR IGNORE fact SET validFromMs = @toMs
  WHERE station = @id AND key = @key AND validFromMs = @fromMs`;

const PUT_EVIDENCE = `INSERT INTO evidence (station, why, fromMs, toMs, droppedAt)
  VALUES (@id, @why, @fromMs, @toMs, @droppedAt)
  ON CONFLICT (station, why, fromMs) DO UPDATE SET toMs = excluded.toMs, droppedAt = excluded.droppedAt`;

const PUT_TRIAL = `INSERT INTO trial (station, trial, kind, startedAt, endedAt, optionsJson, askedJson, conditionsJson,
    stepsJson, typedJson, simulated, version, judgementJson, judgedBy, removedAt)
  VALUES (@id, @trial, @kind, @startedAt, @endedAt, @optionsJson, @askedJson, @conditionsJson, @stepsJson, @typedJson,
    @simulated, @version, @judgementJson, @judgedBy, @removedAt)
  ON CONFLICT (station, trial) DO UPDATE SET endedAt = excluded.endedAt, optionsJson = excluded.optionsJson,
    askedJson = excluded.askedJson, conditionsJson = excluded.conditionsJson, stepsJson = excluded.stepsJson,
    typedJson = excluded.typedJson, judgementJson = excluded.judgementJson, judgedBy = excluded.judgedBy,
    removedAt = excluded.removedAt`;

const WHOLE = ['startMs', 'endMs', 'solarMilliJ', 'inputMilliJ', 'outputMilliJ', 'coveredMs', 'gapMs'] as const;

function requireWhole(delta: DayDelta): void {
  for (const key of WHOLE) {
    if (!Number.isSafeInteger(delta[key])) {
      throw recordError('INTERNAL', `station ${delta.station}: ${key} of ${delta.date} is ${delta[key]}, not whole`);
    }
  }
}

/** The answer writes a batch's plain rows. `idOf` gives a station's number, making it where it is new. */
export function prepareLedger(
  db: Connection,
): (batch: Batch, admitted: Admitted, idOf: (name: string) => number) => void {
  const [
    addDay,
    putCursor,
    putOutage,
    putSpan,
    putFact,
    putLearned,
    putSpot,
    putMark,
    tellSpan,
    putNote,
    moveFact,
    putEvidence,
    putTrial,
  ] = [
    ADD_DAY,
    PUT_CURSOR,
    PUT_OUTAGE,
    PUT_SPAN,
    PUT_FACT,
    PUT_LEARNED,
    PUT_SPOT,
    PUT_MARK,
    TELL_SPAN,
    PUT_NOTE,
    MOVE_FACT,
    PUT_EVIDENCE,
    PUT_TRIAL,
  ].map(sql => db.prepare(sql));
  const putCounted = prepareCounted(db);
  return (batch, admitted, idOf) => {
    for (const delta of batch.days) {
      const admission = admitted.get(delta.station);
      if (admission === undefined) {
        throw recordError('INTERNAL', `station ${delta.station}: totals of ${delta.date} came without their readings`);
      }
      requireWhole(delta);
      if (admission === 'fresh') addDay!.run({ ...delta, id: idOf(delta.station) });
    }
    putCounted(batch, admitted, idOf);
    const put = (statement: Statement | undefined, rows: readonly { station: string }[]) => {
      for (const row of rows) {
        if (admitted.get(row.station) !== 'replayed') statement!.run({ ...row, id: idOf(row.station) });
      }
    };
    put(putCursor, batch.cursors);
    put(putOutage, batch.outages);
    put(putSpan, batch.spans);
    put(putFact, batch.facts);
    put(putLearned, batch.learned ?? []);
    // Their own id goes by another name here: `id` is the station's number.
    for (const { station, ...row } of batch.spots ?? []) putSpot!.run({ ...row, spot: row.id, id: idOf(station) });
    for (const { station, ...row } of batch.marks ?? []) putMark!.run({ ...row, mark: row.id, id: idOf(station) });
    for (const { station, ...row } of batch.notes ?? []) putNote!.run({ ...row, note: row.id, id: idOf(station) });
    for (const { station, ...row } of batch.toldSpans ?? []) tellSpan!.run({ ...row, id: idOf(station) });
    for (const { station, ...row } of batch.evidence ?? []) putEvidence!.run({ ...row, id: idOf(station) });
    for (const { station, ...row } of batch.trials ?? []) putTrial!.run({ ...row, trial: row.id, id: idOf(station) });
    for (const { station, ...row } of batch.movedFacts ?? []) moveFact!.run({ ...row, id: idOf(station) });
  };
}
