/** A cloudless hour over a place, as a file of measured light that the simulator lives under. */
import { writeFileSync } from 'node:fs';
import { clearSkyOver, DEFAULT_TURBIDITY } from '#energy/sky';

const HOUR_MS = 3_600_000;

/** @param nowMs the file begins ten minutes before and ends an hour after */
export function clearSkyFile(file: string, place: { latitudeDeg: number; longitudeDeg: number }, nowMs: number): void {
  const sky = clearSkyOver({ ...place, altitudeM: 0, turbidity: DEFAULT_TURBIDITY });
  const rows = ['time,ghiWm2,dniWm2,dhiWm2,airTempC,windMs'];
  for (let at = nowMs - 600_000; at < nowMs + HOUR_MS; at += 60_000) {
    const { ghiWm2, dniWm2, dhiWm2 } = sky(at);
    rows.push([at, ...[ghiWm2, dniWm2, dhiWm2].map(w => w.toFixed(1)), 21, 1.5].join(','));
  }
  writeFileSync(file, `${rows.join('\n')}\n`);
}
