/**
 * How packets travel between a host's process and the soft controller: u16 length (little-endian), then the packet.
 */
import type { Socket } from 'node:net';

export function sendPacket(socket: Socket, packet: Uint8Array): void {
  if (socket.destroyed) return;
  const frame = Buffer.allocUnsafe(2 + packet.length);
  frame.writeUInt16LE(packet.length, 0);
  frame.set(packet, 2);
  socket.write(frame);
}

/** Calls `onPacket` once a whole packet; a packet is only valid during the call. */
export function hearPackets(socket: Socket, onPacket: (packet: Buffer) => void): void {
  let held: Buffer = Buffer.alloc(0);
  socket.on('data', (chunk: Buffer) => {
    held = held.length === 0 ? chunk : Buffer.concat([held, chunk]);
    while (held.length >= 2) {
      const end = 2 + held.readUInt16LE(0);
      if (held.length < end) return;
      const packet = held.subarray(2, end);
      held = held.subarray(end);
      onPacket(packet);
    }
  });
}
