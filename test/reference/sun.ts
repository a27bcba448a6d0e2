/**
 * Sun position and rise/set to check against.
 *
 * Positions: computed with the Solar Position Algorithm of I. Reda and A. Andreas, NREL/TP-560-34302 (2003, rev. 2008);
 * the first row is the worked example printed in its appendix.
 * Rise and set: event search with the same algorithm, sun's centre at -0.8333°; the rows of 39 N agree to the minute
 * with the tables of the US Naval Observatory.
 */

/** latitude, longitude, UTC, true zenith, azimuth; degrees. */
export const SUN_POSITIONS: readonly [string, number, number, string, number, number][] = [
  ['report example', 39.742476, -105.1786, '2003-10-17T19:30:30Z', 50.1279, 194.3402],
  ['quito equinox noon', -0.1807, -78.4678, '2024-03-20T17:21:00Z', 0.4163, 3.9121],
  ['singapore december noon', 1.3521, 103.8198, '2024-12-21T05:03:00Z', 24.7914, 180.0721],
  ['mumbai near zenith', 19.076, 72.8777, '2025-05-15T07:05:00Z', 0.1372, 197.4819],
  ['darwin january noon', -12.4634, 130.8456, '2025-01-15T03:26:00Z', 8.6267, 180.0372],
  ['sydney december morning', -33.8688, 151.2093, '2024-12-20T21:30:00Z', 57.7202, 98.1986],
  ['sydney april late', -33.8688, 151.2093, '2025-04-10T06:45:00Z', 79.9844, 286.8661],
  ['christchurch october afternoon', -43.5321, 172.6362, '2025-10-12T03:10:00Z', 52.3547, 300.4422],
  ['ushuaia december evening', -54.8019, -68.303, '2025-12-21T23:40:00Z', 80.2372, 242.8572],
  ['denver march morning', 39.7392, -104.9903, '2025-03-01T16:00:00Z', 64.633, 125.2817],
  ['phoenix june afternoon', 33.4484, -112.074, '2025-06-20T23:45:00Z', 56.0876, 277.4871],
  ['tokyo february afternoon', 35.6762, 139.6503, '2025-02-11T06:30:00Z', 70.8832, 235.7808],
  ['berlin june evening', 52.52, 13.405, '2025-06-21T18:30:00Z', 83.0644, 299.9853],
  ['edinburgh may morning', 55.9533, -3.1883, '2025-05-05T07:15:00Z', 67.3669, 94.1474],
  ['reykjavik june night', 64.1466, -21.9426, '2025-06-21T23:30:00Z', 89.3614, 332.7512],
  ['tromso december noon', 69.6492, 18.9553, '2024-12-21T10:42:00Z', 93.0901, 179.8982],
  ['longyearbyen august', 78.2232, 15.6267, '2025-08-15T11:00:00Z', 64.3363, 179.4743],
  ['paris night', 48.8566, 2.3522, '2025-07-10T23:50:00Z', 109.0357, 358.5045],
  ['paris leap day', 48.8566, 2.3522, '2028-02-29T12:00:00Z', 56.5194, 179.112],
];

/** latitude, longitude, zone, civil date, sunrise, sunset (local, seconds). */
export const SUN_EVENTS: readonly [number, number, string, string, string, string][] = [
  [39.0, -105.0, 'Etc/GMT+7', '2015-01-02', '07:19:02', '16:49:10'],
  [39.0, -105.0, 'Etc/GMT+7', '2015-08-02', '05:01:27', '19:10:30'],
  [39.917, 116.383, 'Asia/Shanghai', '2015-04-02', '05:58:12', '18:38:56'],
  [39.917, 116.383, 'Asia/Shanghai', '2015-12-02', '07:17:03', '16:49:57'],
  [-0.1807, -78.4678, 'America/Guayaquil', '2024-03-20', '06:17:51', '18:24:22'],
  [-33.8688, 151.2093, 'Australia/Sydney', '2024-12-21', '05:40:51', '20:05:39'],
  [-43.5321, 172.6362, 'Pacific/Auckland', '2025-07-01', '08:03:31', '17:03:14'],
  [39.7392, -104.9903, 'America/Denver', '2025-03-09', '07:20:15', '19:01:01'],
  [39.7392, -104.9903, 'America/Denver', '2025-11-02', '06:30:11', '16:56:23'],
  [52.52, 13.405, 'Europe/Berlin', '2025-03-30', '06:45:08', '19:37:28'],
];
