/**
 * The device's end of a Modbus TCP connection: header of seven bytes and a data unit, told apart by the header's length
 * (MODBUS Messaging on TCP/IP Implementation Guide V1.0b, section 3.1.3). A header that is none ends the trust in what
 * came: it is thrown away.
 */

const HEADER_BYTES = 7;
const MAX_DATA_BYTES = 254;

export interface TcpOptions {
  readonly unit: number;
  readonly answer: (pdu: Uint8Array) => Uint8Array;
}

const GATEWAY_NO_ANSWER = 0x0b;

/** `head`: the request's header, whose number and unit are repeated. */
function reply(head: Uint8Array, pdu: Uint8Array): Uint8Array {
  const frame = new Uint8Array(HEADER_BYTES + pdu.length);
  frame.set(head);
  const bytes = pdu.length + 1;
  frame[4] = bytes >> 8;
  frame[5] = bytes & 0xff;
  frame.set(pdu, HEADER_BYTES);
  return frame;
}

/** Takes what comes over one connection and gives whole replies to `send`. */
export function tcpSide({ unit, answer }: TcpOptions, send: (frame: Uint8Array) => void): (bytes: Uint8Array) => void {
  let held = new Uint8Array(0);
  return bytes => {
    const joined = new Uint8Array(held.length + bytes.length);
    joined.set(held);
    joined.set(bytes, held.length);
    held = joined;
    while (held.length >= HEADER_BYTES) {
      const told = held[4]! * 256 + held[5]!;
      if (held[2] !== 0 || held[3] !== 0 || told < 2 || told > MAX_DATA_BYTES) {
        held = new Uint8Array(0);
        return;
      }
      if (held.length < 6 + told) return;
      const head = held.slice(0, HEADER_BYTES);
      const pdu = held.slice(HEADER_BYTES, 6 + told);
      held = held.slice(6 + told);
      send(reply(head, head[6] === unit ? answer(pdu) : Uint8Array.of(pdu[0]! | 0x80, GATEWAY_NO_ANSWER)));
    }
  };
}
