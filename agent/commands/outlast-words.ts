/** What `wattkeep outlast` says: its help and its report for a reader. */
import type { CoreScore } from '#energy/estimates/scoring/core-score';
import type { Way } from '#energy/estimates/scoring/outcome';
import type { Told } from '#energy/estimates/scoring/replay';
import type { Score } from '#energy/estimates/scoring/score';
import type { OutlastOptions } from './outlast-options.ts';

export const OUTLAST_HELP = `usage: wattkeep outlast --recording FILE [options] [--json]

Replays a recording of a station and reports what the projections would have said on the way, and how right they were.
A projection uses only what came before it.

  --recording FILE  CSV or CSV in gzip, as export writes it: time,inputPowerW,outputPowerW,stateOfChargePct and any other
                    quantity; rows before the first state of charge count as a log of the load
  --after FILE …    earlier recordings of the same station, oldest first: what was learned in them is kept
  --rated-wh WH     energy on the label; without it the size is learned first
  --floor PCT       the reserve to be kept; 10 where not given
  --every SECONDS   between projections, from the first row with a state of charge; 60 where not given
  --zone ZONE       of the instants told, and of the day's light where no place is known
  --input SOURCE    what the input is where the recording does not say: sun, wall, vehicle or generator
  --settings FILE   label, floor, zone, place, panels and input from a station's settings
  --station ID      which of them
  --json            for programs

Input that nobody names is taken as sun by day, for the projection only. Without a place the day's light is a half wave
from 06:30 to 18:30. What is asked is when the floor is first shown, and when the ceiling (100 %) is; projections after
which the recording ends sooner are not scored. Points count from 30 minutes after a discharge began until 5 minutes
before it ended, and silence counts as a miss. The station's own time to empty is carried to the floor by share of
charge. Widths, coverage and shares go from 0 to 1, errors are percent of the time really left.

example: wattkeep outlast --recording night.csv.gz --rated-wh 1640 --every 300
`;

export const replaying = (share: number): string => `wattkeep: replaying, ${Math.round(100 * share)} %`;

export interface OutlastScore extends Score {
  fill: CoreScore;
  stated: Score | null;
  naive: Score;
  mean5: Score;
  mean15: Score;
  mean60: Score;
  mean60Less: Score;
  hull: Score;
}

const HEAD = ['', '75 %', '50 %', '25 %', '10 % left', 'all', 'in 10 %', 'in 20 %', 'held', 'early', 'width', 'drift'];

const NAMES: { [W in Way]: string } = {
  projection: 'wattkeep',
  stated: 'the station itself',
  naive: 'watts of the moment',
  mean5: 'mean of 5 min',
  mean15: 'mean of 15 min',
  mean60: 'mean of 60 min',
  mean60Less: 'mean of 60 min, less 15 %',
  hull: 'from 5 to 60 min',
};

const fixed = (value: number | null, digits: number) => (value === null ? '–' : value.toFixed(digits));
const percent = (share: number | null) => (share === null ? '–' : String(Math.round(100 * share)));

const row = (way: Way, s: Score): string[] => [
  NAMES[way],
  ...(['75', '50', '25', '10'] as const).map(share => fixed(s.medianAbsPctError[share], 1)),
  fixed(s.medianAbsPctErrorOverall, 1),
  percent(s.within10),
  percent(s.within20),
  percent(s.coverage80),
  percent(s.early),
  fixed(s.width, 2),
  fixed(s.driftMin, 1),
];

function lines(rows: readonly string[][]): string[] {
  const widths = rows[0]!.map((_, i) => Math.max(...rows.map(cells => cells[i]!.length)));
  return rows.map(cells =>
    cells.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]!) : cell.padStart(widths[i]! + 2))).join(''),
  );
}

/** The report for a reader. */
export function outlastLines(options: OutlastOptions, told: readonly Told[], score: OutlastScore): string {
  const { warning30: w, fill } = score;
  const ways = (Object.keys(NAMES) as Way[]).flatMap(way => {
    const found = way === 'projection' ? score : score[way];
    return found === null ? [] : [row(way, found)];
  });
  const counted = `${told.length} projections, ${score.runs} discharges down to ${options.floorPct} %, ${score.points} points scored`;
  if (score.points === 0 && fill.points === 0)
    return `${counted}.\nThe recording reaches neither the floor nor the ceiling: nothing can be judged.\n`;
  return [
    counted,
    '',
    'time to the floor: median error in %, shares of the points in %, width over the time left, drift in min per 10 min',
    ...lines([HEAD, ...ways]),
    '',
    `nothing said: ${percent(score.silent)} % of the points from an hour on`,
    w.of === 0
      ? 'no warning was due'
      : `warning at 30 min: on time in ${percent(w.onTime)} % of ${w.of}, at least 15 min left in ${percent(w.usable)} %, ` +
        `more than 90 min early in ${percent(w.tooEarly)} %`,
    fill.runs === 0
      ? 'no charge ended full'
      : `time to full: ${fixed(fill.medianAbsPctErrorOverall, 1)} % median error in ${fill.runs} charges, ` +
        `${percent(fill.coverage80)} % of the ranges held`,
    '',
  ].join('\n');
}
