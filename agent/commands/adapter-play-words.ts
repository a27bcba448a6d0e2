/** Words of `wattkeep adapter play`. */
import { isRejection, type PartReading, type Rejection, type ToldField } from '#kit';
import type { PlayEnd, PlayStep } from '../host/play.ts';

export const ADAPTER_PLAY_HELP = `usage: wattkeep adapter play CAPTURE [--adapter NAME] [--step | --live] [--json]

Plays a capture through an adapter and shows each frame, the fields that decode read in it, and the reading that came of
it or why there is none. An adapter that asks is answered from the capture.

  --adapter NAME    your file, its name in your folder, or the id of one that comes with wattkeep; lines where not given
  --step            waits for Enter before each frame
  --live            at the pace of the capture
  --json            for programs

example: wattkeep adapter play morning.capture --adapter bee-box
`;

export const CAPTURE_FIX = 'Record one with wattkeep adapter capture.';
export const cannotPlay = (adapter: string, why: string): string => `${adapter} could not play it: ${why}.`;

const hex = (bytes: Uint8Array): string =>
  Buffer.from(bytes)
    .toString('hex')
    .replace(/..(?=.)/g, '$& ');

const told = (values: object): string =>
  Object.entries(values)
    .map(([name, value]) => `${name} ${String(value)}`)
    .join(', ');

/** A row a field, below each other. */
const rows = (fields: readonly ToldField[]): string =>
  fields
    .map(({ name, at, raw, value }, i) => {
      const place = `byte ${at}`.padEnd(9);
      const found = raw === null ? 'not known' : raw === value ? String(raw) : `${raw} → ${String(value)}`;
      return `${i === 0 ? 'fields   ' : ' '.repeat(19)}${place}${name} ${found}`;
    })
    .join('\n');

function decoded(answer: PartReading | Rejection): string {
  if (isRejection(answer)) return `refused: ${answer.rejected}${answer.detail === '' ? '' : `, ${answer.detail}`}`;
  const states = told(answer.states);
  return `decoded  ${told(answer.quantities)}${states === '' ? '' : `; ${states}`}`;
}

function what(step: PlayStep): string {
  switch (step.step) {
    case 'frame':
      return `frame    ${step.from === '' ? '' : `${step.from} `}${hex(step.bytes)}`;
    case 'decoded':
      return decoded(step.answer);
    case 'fields':
      return rows(step.fields);
    case 'unframed':
      return `no frame: ${step.cause}`;
    case 'asked':
      return `asks     ${step.to === '' ? '' : `${step.to} `}${hex(step.bytes)}${step.known ? '' : ' (the capture holds no such question)'}`;
    case 'reading':
      return `reading  ${step.reading.quality}: ${told(step.reading.quantities)}`;
    case 'rejected':
      return `rejected ${told(step.counts)}${step.detail === '' ? '' : ` (${step.detail})`}`;
  }
}

export const playLine = (step: PlayStep): string => `${String(Math.round(step.atMs)).padStart(8)}  ${what(step)}\n`;

/** A step with its bytes as hex. */
export const stepForPrograms = (step: PlayStep): object =>
  'bytes' in step ? { ...step, bytes: Buffer.from(step.bytes).toString('hex') } : step;

export const playedText = ({ readings, rejected, unheard }: PlayEnd): string =>
  `\n${readings} readings, ${rejected} rejected.${unheard === 0 ? '' : ` ${unheard} chunks were never reached: it asked something else.`}\n`;
