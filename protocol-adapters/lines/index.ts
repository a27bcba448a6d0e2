/**
 * Newline-delimited JSON: one object a line, its keys the names of quantities, so that any microcontroller or script
 * can speak it: `{"inputPowerW":120,"outputPowerW":35,"stateOfChargePct":81}`. An optional `states` object carries
 * acOutletsOn, dcOutletsOn, onMains, inputLimitedBy, inputSource and fault. Unknown keys are ignored; null means the
 * source does not know. Units and ranges: the quantities table. At most 4096 bytes a line.
 */
import {
  type Adapter,
  type AdapterManifest,
  API_VERSION,
  createDelimiterFramer,
  type DecodedReading,
  decodeQuantities,
  decodeStates,
  judge,
  printable,
  QUANTITIES,
  type QuantityName,
  type Rejection,
  type RejectionCause,
  utf8,
} from '#kit';

const manifest: AdapterManifest = {
  id: 'lines',
  title: 'JSON lines from a microcontroller or a script',
  version: '1',
  apiVersion: API_VERSION,
  transports: ['serial', 'tcp', 'process'],
  gives: Object.keys(QUANTITIES) as QuantityName[],
  intervalMs: 1000,
  maxFrameBytes: 4096,
  maxReadingsPerS: 50,
};

const reject = (rejected: RejectionCause, detail: string): Rejection => ({ rejected, detail: printable(detail) });

function parse(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError; no JSON text parses to undefined.
    if (cause instanceof SyntaxError) return undefined;
    throw cause;
  }
}

function decode(frame: Uint8Array): DecodedReading | Rejection {
  const text = utf8(frame);
  if (text === null) return reject('notText', 'the line is not UTF-8: wrong baud rate or a broken cable');
  const parsed = parse(text);
  if (parsed === undefined) return reject('notJson', text);
  if (typeof parsed !== 'object' || parsed === null || Array.isArray(parsed)) return reject('notObject', text);
  const { quantities, reasons, known } = decodeQuantities(parsed);
  if (known === 0) return reject('noQuantity', text);
  const states = 'states' in parsed ? decodeStates(parsed.states) : {};
  return { quantities, states, quality: judge(quantities, reasons), reasons };
}

export const lines: Adapter = {
  manifest,
  open: () => ({ createFramer: () => createDelimiterFramer({ maxFrameBytes: manifest.maxFrameBytes }), decode }),
};
