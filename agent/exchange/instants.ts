/**
 * Instants in recordings: ISO 8601 with an offset, or epoch ms. A time without an offset is refused: nobody can know
 * which hour it means. Offsets come from the zone rules inside Intl; they change only on quarter hours, which is what
 * makes writing a year affordable.
 */

const ISO = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)(?::(\d\d)(?:[.,](\d{1,9}))?)?(Z|[+-]\d\d(?::?\d\d)?)$/i;
const EPOCH_MS = /^-?\d{1,15}$/;
const QUARTER_MS = 900_000;

/** UTC epoch ms (whole), or null where the text is no instant. */
export function parseInstant(text: string): number | null {
  if (EPOCH_MS.test(text)) return Number(text);
  const found = ISO.exec(text);
  if (found === null) return null;
  const [, date, minute, second = '00', fraction = '', zone = 'Z'] = found;
  const offset = /^z$/i.test(zone) ? 'Z' : `${zone.slice(0, 3)}:${zone.slice(3).replace(':', '') || '00'}`;
  const at = Date.parse(`${date}T${minute}:${second}.${`${fraction}000`.slice(0, 3)}${offset}`);
  // Date.parse takes 31 April for 1 May.
  return Number.isNaN(at) || !isRealDate(date!) ? null : at;
}

const isRealDate = (date: string): boolean => {
  const at = Date.parse(`${date}T00:00:00Z`);
  return !Number.isNaN(at) && new Date(at).toISOString().startsWith(date);
};

const MINUTE_MS = 60_000;
const MINUTE_CHARS = 'YYYY-MM-DDThh:mm'.length;
const SECONDS = /^:([0-5]\d)(?:\.(\d{3}))?$/;

/** As `parseInstant`, for rows that follow each other: within a minute and an offset only the seconds are looked at. */
export function instantReader(): (text: string) => number | null {
  let [minute, offset, minuteAt] = ['', '', 0];
  return text => {
    if (minute !== '' && text.startsWith(minute) && text.endsWith(offset)) {
      const found = SECONDS.exec(text.slice(MINUTE_CHARS, text.length - offset.length));
      if (found !== null) return minuteAt + Number(found[1]) * 1000 + Number(found[2] ?? 0);
    }
    const at = parseInstant(text);
    const zone = at === null ? undefined : ISO.exec(text)?.[5];
    if (at === null || zone === undefined) return at;
    // Offsets are whole minutes.
    [minute, offset, minuteAt] = [text.slice(0, MINUTE_CHARS), zone, Math.floor(at / MINUTE_MS) * MINUTE_MS];
    return at;
  };
}

/** Writes instants with the offset of one IANA zone; throws RangeError for a zone that Intl does not know. */
export function instantWriter(zone: string): (at: number) => string {
  const format = new Intl.DateTimeFormat('en-US-u-ca-gregory-nu-latn', { timeZone: zone, timeZoneName: 'longOffset' });
  const offsets = new Map<number, string>();
  const offsetAt = (at: number): string => {
    const quarter = Math.floor(at / QUARTER_MS);
    const known = offsets.get(quarter);
    if (known !== undefined) return known;
    const name = format.formatToParts(quarter * QUARTER_MS).find(part => part.type === 'timeZoneName')!.value;
    const offset = /[+-]\d\d:\d\d/.exec(name)?.[0] ?? '+00:00';
    offsets.set(quarter, offset);
    return offset;
  };
  return at => {
    const offset = offsetAt(at);
    const sign = offset.startsWith('-') ? -1 : 1;
    const shiftMs = sign * (Number(offset.slice(1, 3)) * 60 + Number(offset.slice(4, 6))) * 60_000;
    const local = new Date(at + shiftMs).toISOString().slice(0, -1);
    return `${local.endsWith('.000') ? local.slice(0, -4) : local}${offset}`;
  };
}
