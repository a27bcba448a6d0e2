/** Sharing on the home network: sessions, pairing, own addresses, QR codes. */
export * from './door-file.ts';
export * from './networks.ts';
export * from './qr.ts';
export { spelled } from './secrets.ts';
export * from './sessions.ts';
export * from './sharing.ts';
