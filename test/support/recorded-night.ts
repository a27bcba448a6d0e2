/**
 * An invented night as rows of a recording: a fridge of 80 W, 20 minutes in every 60, and a lamp of 15 W, on a station of
 * 512 Wh at 48 %, down to below 10 %. All of it follows from a few round numbers; nothing is random.
 */
import type { ReplayRow } from '#energy/estimates/scoring/replay';

const MINUTE_MS = 60_000;
/** 20:00 of an autumn evening, UTC+1. */
export const NIGHT_AT = Date.UTC(2026, 10, 8, 19, 0);
export const NIGHT_RATED_WH = 512;
const START_PCT = 48;
const OWN_W = 9;
const COST = 1.1;

export const row = (at: number, outputW: number, stateOfChargePct: number | null, inputW = 0): ReplayRow => ({
  at,
  outputW,
  inputW,
  solarW: inputW,
  stateOfChargePct,
  held: false,
  onMains: false,
  statedMin: null,
});

/** @param everyMs between rows */
export function fridgeNight(everyMs = MINUTE_MS / 2): ReplayRow[] {
  const rows: ReplayRow[] = [];
  let leftWh = (NIGHT_RATED_WH * START_PCT) / 100;
  for (let at = NIGHT_AT; leftWh > (NIGHT_RATED_WH * 8) / 100; at += everyMs) {
    const outputW = 15 + ((at - NIGHT_AT) % (60 * MINUTE_MS) < 20 * MINUTE_MS ? 80 : 0);
    rows.push(row(at, outputW, Math.round((100 * leftWh) / NIGHT_RATED_WH)));
    leftWh -= ((COST * outputW + OWN_W) * everyMs) / 3_600_000;
  }
  return rows;
}

/** The same as a file: with the station's own time to empty where asked for. */
export function recordingCsv(rows: readonly ReplayRow[], stated = false): string {
  const head = `time,inputPowerW,outputPowerW,stateOfChargePct${stated ? ',statedMinutesToEmpty' : ''}`;
  const cell = (value: number | null) => (value === null ? '' : String(value));
  const line = (r: ReplayRow) =>
    [r.at, cell(r.inputW), cell(r.outputW), cell(r.stateOfChargePct), ...(stated ? [statedCell(r)] : [])].join(',');
  return `${[head, ...rows.map(line)].join('\n')}\n`;
}

/** What a station says: all that is in it over the watts of the moment. */
const statedCell = ({ outputW, stateOfChargePct }: ReplayRow) =>
  outputW === null || stateOfChargePct === null
    ? ''
    : String(Math.round((60 * NIGHT_RATED_WH * stateOfChargePct) / 100 / Math.max(1, outputW)));
