/**
 * What a file that is saved is called: the station's name, what is in it and of which days, so that two of them lie beside
 * each other under names of their own. Of no letter that some system refuses in a file's name.
 */
import type { WireStation } from '#messages';

/** Civil dates, both included; null where it is open. */
export interface FileDates {
  readonly from: string | null;
  readonly to: string | null;
}

/** Refused by one system or another, or broken text. */
const REFUSED = /["*/:<>?\\|\p{Cc}\p{Cs}]/gu;

/** The value of Content-Disposition. @param what in the plural: `days` */
export function savedAs(
  { id, name, simulated }: Pick<WireStation, 'id' | 'name' | 'simulated'>,
  what: string,
  dates: FileDates,
  ending: string,
): string {
  const safe = name.replace(REFUSED, '-').replace(/^[. ]+|[. ]+$/g, '');
  const rest = `${simulated ? ' (simulated)' : ''}, ${stretch(what, dates)}.${ending}`;
  const whole = `${safe || id}${rest}`;
  // Who does not know RFC 8187 takes the first name, which holds no letter beyond ASCII (RFC 6266, appendix D).
  const bare = whole
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/[^\x20-\x7e]/gu, '-');
  const other = bare === whole ? '' : `; filename*=UTF-8''${extended(whole)}`;
  return `attachment; filename="${bare}"${other}`;
}

function stretch(what: string, { from, to }: FileDates): string {
  if (from === null) return to === null ? `all ${what}` : `${what} up to ${to}`;
  if (to === null) return `${what} from ${from} on`;
  return from === to ? `${what} of ${from}` : `${what} from ${from} to ${to}`;
}

/** RFC 8187: what encodeURIComponent leaves and the standard does not. */
const extended = (text: string): string =>
  encodeURIComponent(text).replace(/['()*]/g, letter => `%${letter.charCodeAt(0).toString(16).toUpperCase()}`);
