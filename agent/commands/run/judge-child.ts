/**
 * Entry file of a short-lived process: is told its order on stdin, lives through the last days of one station's record
 * and prints, as lines of JSON, how far it has come and then how right the answers were. Minutes of work that the
 * agent's own process never stops for.
 */
import { readFileSync } from 'node:fs';
import { constants, setPriority } from 'node:os';
import { zoneOffsetMs } from '#energy/civil-day';
import type { StationSettings, WireJudged } from '#messages';
import { panelsRatedW } from '../../derive/facts.ts';
import { createJudging, type Judged } from '../../derive/judge.ts';
import { toInstant } from '../../server/encode.ts';
import { openRecord } from '../../store/open.ts';
import { isDark, lightOver } from '../recording-light.ts';
import { rowOf } from '../replay-rows.ts';
import { factsOf } from './station-facts.ts';

export interface JudgeOrder {
  /** Folder of the record. */
  dir: string;
  demo: boolean;
  station: StationSettings;
  /** IANA zone in force. */
  zone: string;
  /** UTC epoch ms. */
  fromMs: number;
  toMs: number;
}

export type JudgeLine = { share: number } | { judged: WireJudged };

/** Said so many times on the way. */
const SAYS = 50;

function main({ dir, demo, station, zone, fromMs, toMs }: JudgeOrder): void {
  setPriority(constants.priority.PRIORITY_BELOW_NORMAL);
  const known = factsOf(station, null, zone);
  const clearWm2 = lightOver(station, zone);
  const { ratedWh, floorPct, ceilingPct, lowCutoffPct, solarMaxW } = known;
  const rated = panelsRatedW(known);
  const judging = createJudging({
    ratedWh,
    floorPct,
    ceilingPct,
    lowCutoffPct,
    panelsRatedW: rated,
    solarMaxW,
    clearWm2,
    offsetMs: at => zoneOffsetMs(at, zone),
  });
  const input = { source: known.inputSource, panelsRatedW: rated, isDark: (at: number) => isDark(clearWm2, at) };
  const record = openRecord(dir, { nowMs: () => toMs, commitIntervalMs: 0, readOnly: true, demo });
  // Where the record begins later than that, most of the way would be gone at the first step.
  const beginMs = Math.max(fromMs, record.extent(station.id)?.fromMs ?? fromMs);
  let said = 0;
  for (const reading of record.readings(station.id, fromMs, toMs)) {
    judging.add(rowOf(reading, input));
    const share = (reading.at - beginMs) / (toMs - beginMs);
    if (share * SAYS < said) continue;
    said = Math.floor(share * SAYS) + 1;
    print({ share });
  }
  record.close();
  print({ judged: asTold(judging.result(), toMs) });
}

const print = (line: JudgeLine) => process.stdout.write(`${JSON.stringify(line)}\n`);

const instantOrNull = (at: number | null) => (at === null ? null : toInstant(at));

const asTold = ({ fromAt, toAt, ...rest }: Judged, madeAt: number): WireJudged => ({
  madeAt: toInstant(madeAt),
  fromAt: instantOrNull(fromAt),
  toAt: instantOrNull(toAt),
  ...rest,
});

main(JSON.parse(readFileSync(0, 'utf8')) as JudgeOrder);
