/** Instants as ISO 8601 with the offset of their place, and the offset a written instant carries. */

const MINUTE_MS = 60_000;
const two = (n: number) => String(Math.floor(n)).padStart(2, '0');

/** To the second: `2025-06-21T07:00:00-06:00`. @param offsetMs local minus universal time */
export function localIso(atMs: number, offsetMs: number): string {
  const second = Math.round(atMs / 1000) * 1000;
  // Offsets of the years before zones had seconds; ISO writes minutes.
  const shift = Math.round(offsetMs / MINUTE_MS);
  const minutes = Math.abs(shift);
  const local = new Date(second + shift * MINUTE_MS).toISOString().slice(0, -5);
  return `${local}${shift < 0 ? '-' : '+'}${two(minutes / 60)}:${two(minutes % 60)}`;
}

/** Offset written at the end of an ISO instant, ms east of Greenwich; 0 for Z and where none is written. */
export function writtenOffsetMs(iso: string): number {
  const found = /T.*([+-])(\d\d):?(\d\d)?$/i.exec(iso.trim().replace(' ', 'T'));
  if (found === null) return 0;
  const [, sign, hours, minutes = '0'] = found;
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * MINUTE_MS;
}
