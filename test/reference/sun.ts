/**
 * Sun position and rise/set to check against.
 *
 * Positions: computed with the Solar Position Algorithm of I. Reda and A. Andreas, NREL/TP-560-34302 (2003, rev. 2008),
 * by pvlib-python (delta T 69.2 s, refraction 0.5667° at the horizon). The worked example is printed in the appendix.
 * Asked for: 0.02° between directions; kept: 0.002°.
 */
import { table } from './table.ts';

/** The report's worked example: 17 October 2003, 12:30:30 at 7 h west. Angles as printed, degrees. */
export const WORKED_EXAMPLE = {
  at: '2003-10-17T12:30:30-07:00',
  latitudeDeg: 39.742476,
  longitudeDeg: -105.1786,
  pressurePa: 82_000,
  airTempC: 11,
  /** Refraction included. */
  apparentZenithDeg: 50.111622,
  azimuthDeg: 194.340241,
  refractionDeg: 0.016332072,
  plane: { tiltDeg: 30, azimuthDeg: 170 },
  /** Julian centuries of dynamical time from 2000, and where the earth then stands on its way. */
  earthCenturies: 0.03792782,
  earthLongitudeDeg: 24.0182616917,
  /** With the apparent zenith. */
  incidenceDeg: 25.187,
  sunrise: '06:12:43',
  /** By event search. The report prints 17:20:19, which is the sunset of the evening before. */
  sunset: '17:18:52',
} as const;

export interface SunAt {
  where: string;
  latitudeDeg: number;
  longitudeDeg: number;
  utc: string;
  pressurePa: number;
  airTempC: number;
  zenithDeg: number;
  apparentElevationDeg: number;
  azimuthDeg: number;
}

/** True zenith, apparent elevation with the pressure and air of the place, azimuth; degrees. */
export const SUN_POSITIONS = table<SunAt>(`
where               latitudeDeg longitudeDeg utc                  pressurePa airTempC zenithDeg  apparentElevationDeg azimuthDeg
quito-equinox-noon  -0.1807     -78.4678     2024-03-20T17:21:00Z 71456.66   14       0.416269   89.583794            3.912098
singapore-dec-noon  1.3521      103.8198     2024-12-21T05:03:00Z 101144.93  30       24.791411  65.215884            180.072099
near-zenith-mumbai  19.076      72.8777      2025-05-15T07:05:00Z 101156.93  30       0.137219   89.862789            197.481864
darwin-jan-noon     -12.4634    130.8456     2025-01-15T03:26:00Z 100953.15  32       8.626723   81.375636            180.037205
sydney-dec-am       -33.8688    151.2093     2024-12-20T21:30:00Z 100630.19  22       57.720239  32.305212            98.198639
sydney-apr-late     -33.8688    151.2093     2025-04-10T06:45:00Z 100630.19  18       79.984381  10.102823            286.866124
christchurch-oct-pm -43.5321    172.6362     2025-10-12T03:10:00Z 101084.97  13       52.354709  37.666928            300.442169
ushuaia-dec-evening -54.8019    -68.303      2025-12-21T23:40:00Z 101049.01  9        80.237217  9.855279             242.85716
denver-mar-am       39.7392     -104.9903    2025-03-01T16:00:00Z 83431.39   5        64.633035  25.396662            125.281685
phoenix-jun-pm      33.4484     -112.074     2025-06-20T23:45:00Z 97411.38   40       56.087589  33.934244            277.487093
tokyo-feb-pm        35.6762     139.6503     2025-02-11T06:30:00Z 100845.4   8        70.883215  19.164947            235.78075
berlin-jun-evening  52.52       13.405       2025-06-21T18:30:00Z 100917.22  22       83.064431  7.05467              299.985342
edinburgh-may-am    55.9533     -3.1883      2025-05-05T07:15:00Z 100761.66  10       67.36689   22.673056            94.147396
reykjavik-jun-night 64.1466     -21.9426     2025-06-21T23:30:00Z 101144.93  9        89.361394  1.041141             332.751202
tromso-dec-noon     69.6492     18.9553      2024-12-21T10:42:00Z 101204.93  -5       93.090079  -3.090079            179.898214
longyearbyen-aug    78.2232     15.6267      2025-08-15T11:00:00Z 101084.97  5        64.336296  25.699218            179.474258
night-sample-paris  48.8566     2.3522       2025-07-10T23:50:00Z 100905.25  15       109.035692 -19.035692           358.504547
leap-day-2028       48.8566     2.3522       2028-02-29T12:00:00Z 100905.25  8        56.519448  33.506154            179.112005
`);

/** True elevation, refraction at 1010 mbar and 10 °C; degrees. Tolerance 0.0001°. */
export const REFRACTION: readonly [number, number][] = [
  [-0.8, 0.6125],
  [-0.5, 0.5615],
  [0, 0.483],
  [0.5, 0.4167],
  [1, 0.3624],
  [2, 0.2821],
  [5, 0.1612],
  [10, 0.0901],
  [20, 0.0457],
  [45, 0.0169],
  [80, 0.003],
];

export interface DayOfSun {
  where: string;
  latitudeDeg: number;
  longitudeDeg: number;
  zone: string;
  date: string;
  sunrise: string;
  sunset: string;
}

/** Event search with the same algorithm at −0.8333°, to the second, within the civil day. Tolerance 10 s below 66° of
 * latitude, 180 s above. */
export const SUN_EVENTS = table<DayOfSun>(`
where                   latitudeDeg longitudeDeg zone                      date       sunrise                   sunset
35.0S                   -35         0            UTC                       1996-07-05 1996-07-05T07:08:15+00:00 1996-07-05T17:01:05+00:00
35.0S                   -35         0            UTC                       2004-12-04 2004-12-04T04:38:57+00:00 2004-12-04T19:02:03+00:00
35.0N                   35          0            UTC                       1994-01-02 1994-01-02T07:08:13+00:00 1994-01-02T16:59:56+00:00
39.0N                   39          -105         Etc/GMT+7                 2015-01-02 2015-01-02T07:19:02-07:00 2015-01-02T16:49:10-07:00
39.0N                   39          -105         Etc/GMT+7                 2015-04-02 2015-04-02T05:43:20-07:00 2015-04-02T18:24:28-07:00
39.0N                   39          -105         Etc/GMT+7                 2015-08-02 2015-08-02T05:01:27-07:00 2015-08-02T19:10:30-07:00
39.0N                   39          -105         Etc/GMT+7                 2015-12-02 2015-12-02T07:00:39-07:00 2015-12-02T16:37:54-07:00
39.917N                 39.917      116.383      Asia/Shanghai             2015-01-02 2015-01-02T07:36:08+08:00 2015-01-02T17:00:26+08:00
39.917N                 39.917      116.383      Asia/Shanghai             2015-04-02 2015-04-02T05:58:12+08:00 2015-04-02T18:38:56+08:00
39.917N                 39.917      116.383      Asia/Shanghai             2015-08-02 2015-08-02T05:13:14+08:00 2015-08-02T19:27:43+08:00
39.917N                 39.917      116.383      Asia/Shanghai             2015-12-02 2015-12-02T07:17:03+08:00 2015-12-02T16:49:57+08:00
quito-2024-03-20        -0.1807     -78.4678     America/Guayaquil         2024-03-20 2024-03-20T06:17:51-05:00 2024-03-20T18:24:22-05:00
singapore-2024-06-21    1.3521      103.8198     Asia/Singapore            2024-06-21 2024-06-21T07:00:33+08:00 2024-06-21T19:12:37+08:00
sydney-2024-12-21       -33.8688    151.2093     Australia/Sydney          2024-12-21 2024-12-21T05:40:51+11:00 2024-12-21T20:05:39+11:00
capetown-2025-08-08     -33.9249    18.4241      Africa/Johannesburg       2025-08-08 2025-08-08T07:32:23+02:00 2025-08-08T18:11:54+02:00
christchurch-2025-07-01 -43.5321    172.6362     Pacific/Auckland          2025-07-01 2025-07-01T08:03:31+12:00 2025-07-01T17:03:14+12:00
ushuaia-2025-12-21      -54.8019    -68.303      America/Argentina/Ushuaia 2025-12-21 2025-12-21T04:51:31-03:00 2025-12-21T22:11:28-03:00
denver-2025-03-09       39.7392     -104.9903    America/Denver            2025-03-09 2025-03-09T07:20:15-06:00 2025-03-09T19:01:01-06:00
denver-2025-11-02       39.7392     -104.9903    America/Denver            2025-11-02 2025-11-02T06:30:11-07:00 2025-11-02T16:56:23-07:00
madrid-2025-10-10       40.4168     -3.7038      Europe/Madrid             2025-10-10 2025-10-10T08:20:33+02:00 2025-10-10T19:42:20+02:00
tokyo-2025-02-11        35.6762     139.6503     Asia/Tokyo                2025-02-11 2025-02-11T06:32:41+09:00 2025-02-11T17:18:57+09:00
berlin-2025-03-30       52.52       13.405       Europe/Berlin             2025-03-30 2025-03-30T06:45:08+02:00 2025-03-30T19:37:28+02:00
helsinki-2025-01-05     60.1699     24.9384      Europe/Helsinki           2025-01-05 2025-01-05T09:21:14+02:00 2025-01-05T15:30:34+02:00
reykjavik-2025-06-21    64.1466     -21.9426     Atlantic/Reykjavik        2025-06-21 2025-06-21T02:55:10+00:00 2025-06-21T00:03:54+00:00
tromso-2025-03-15       69.6492     18.9553      Europe/Oslo               2025-03-15 2025-03-15T06:05:31+01:00 2025-03-15T17:42:34+01:00
tromso-2025-09-22       69.6492     18.9553      Europe/Oslo               2025-09-22 2025-09-22T06:24:54+02:00 2025-09-22T18:46:36+02:00
longyearbyen-2025-10-20 78.2232     15.6267      Arctic/Longyearbyen       2025-10-20 2025-10-20T10:20:24+02:00 2025-10-20T15:01:43+02:00
`);

export interface PublishedDay {
  latitudeDeg: number;
  longitudeDeg: number;
  zone: string;
  date: string;
  sunrise: string;
  sunset: string;
}

/** To the second the checks printed with the Solar Position Algorithm (attribution from memory), to the minute the tables
 * of the US Naval Observatory. */
export const PUBLISHED_EVENTS = table<PublishedDay>(`
latitudeDeg longitudeDeg zone          date       sunrise  sunset
-35         0            UTC           1996-07-05 07:08:15 17:01:04
-35         0            UTC           2004-12-04 04:38:57 19:02:02
35          0            UTC           1994-01-02 07:08:12 16:59:55
39          -105         Etc/GMT+7     2015-01-02 07:19    16:49
39          -105         Etc/GMT+7     2015-04-02 05:43    18:24
39          -105         Etc/GMT+7     2015-08-02 05:01    19:10
39          -105         Etc/GMT+7     2015-12-02 07:01    16:38
39.917      116.383      Asia/Shanghai 2015-01-02 07:36    17:00
39.917      116.383      Asia/Shanghai 2015-04-02 05:58    18:39
39.917      116.383      Asia/Shanghai 2015-08-02 05:13    19:28
39.917      116.383      Asia/Shanghai 2015-12-02 07:17    16:50
`);
