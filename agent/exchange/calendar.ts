/**
 * One day's reminder as an iCalendar file (RFC 5545): lines end in CRLF and are folded at 75 octets (3.1), texts are
 * escaped (3.3.11), the alarm is a DISPLAY (3.6.6). Dates are civil ones without a zone: the day is the owner's. Pure.
 */
import { CRLF } from './cells.ts';

const FOLD_OCTETS = 75;

export interface Reminder {
  /** Stays the same for the same event, so that a calendar takes it only once. */
  readonly uid: string;
  /** When it was made, UTC epoch ms. */
  readonly madeAt: number;
  /** Civil date `YYYY-MM-DD`, and the one after it. */
  readonly date: string;
  readonly dayAfter: string;
  readonly summary: string;
  readonly description: string;
  /** Hours after midnight at which it reminds. */
  readonly remindsAtHour: number;
}

export function reminderCalendar(reminder: Reminder): string {
  const { uid, madeAt, date, dayAfter, summary, description, remindsAtHour } = reminder;
  const day = (civil: string) => civil.replaceAll('-', '');
  const stamp = new Date(madeAt).toISOString().replace(/[-:]|\.\d+/g, '');
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//wattkeep//wattkeep//EN',
    'BEGIN:VEVENT',
    `UID:${text(uid)}`,
    `DTSTAMP:${stamp}`,
    `DTSTART;VALUE=DATE:${day(date)}`,
    `DTEND;VALUE=DATE:${day(dayAfter)}`,
    `SUMMARY:${text(summary)}`,
    `DESCRIPTION:${text(description)}`,
    'TRANSP:TRANSPARENT',
    'BEGIN:VALARM',
    'ACTION:DISPLAY',
    `DESCRIPTION:${text(summary)}`,
    `TRIGGER:PT${remindsAtHour}H`,
    'END:VALARM',
    'END:VEVENT',
    'END:VCALENDAR',
  ];
  return lines.map(line => fold(line) + CRLF).join('');
}

/** Control characters other than a line's end have no place in a TEXT. */
const text = (plain: string): string =>
  plain
    .replace(/\r\n?/g, '\n')
    .replace(/(?![\n\t])\p{Cc}/gu, '')
    .replace(/[\\;,]/g, '\\$&')
    .replaceAll('\n', '\\n');

/** Never within a character: what is folded stays readable as UTF-8. */
function fold(line: string): string {
  let folded = '';
  let octets = 0;
  for (const character of line) {
    const size = Buffer.byteLength(character);
    if (octets + size > FOLD_OCTETS) {
      folded += `${CRLF} `;
      octets = 1;
    }
    folded += character;
    octets += size;
  }
  return folded;
}
