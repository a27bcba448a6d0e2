/**
 * The closed list of everything that can go wrong in a way the owner must act on. Each code has one paragraph in
 * DEVELOPERS.md under "Error codes"; a test keeps list and paragraphs equal both ways.
 */
export const ERROR_CODES = [
  'USAGE',
  'SETTINGS_SYNTAX',
  'SETTINGS_UNKNOWN_KEY',
  'SETTINGS_VALUE',
  'SETTINGS_CHANGED',
  'DATA_BUSY',
  'DATA_PERMISSION',
  'DATA_NETWORK_DISK',
  'DISK_FULL',
  'DISK_READ_ONLY',
  'RECORD_DAMAGED',
  'RECORD_NEWER',
  'SNAPSHOT_UNPROVEN',
  'SQLITE_OLD',
  'READING_BUSY',
  'READING_ENDED',
  'PORT_BUSY',
  'ADAPTER_UNKNOWN',
  'ADAPTER_API',
  'ADAPTER_TABLE',
  'ADAPTER_CRASHED',
  'ADAPTER_SILENT',
  'ADAPTER_MEMORY',
  'ADAPTER_MESSAGE',
  'IMPORT_HEADER',
  'IMPORT_ROW',
  'STATION_UNKNOWN',
  'REQUEST_INVALID',
  'REQUEST_REFUSED',
  'SESSION_NEEDED',
  'SCOPE_NEEDED',
  'PAIRING_REFUSED',
  'PAIRING_LOCKED',
  'NETWORK_MISSING',
  'AGENT_AWAY',
  'INTERNAL',
] as const;

export type ErrorCode = (typeof ERROR_CODES)[number];

/** `message` says what happened and to which thing; `fix` says what to do. */
export class WattkeepError extends Error {
  override readonly name = 'WattkeepError';
  readonly code: ErrorCode;
  readonly fix: string;

  constructor(code: ErrorCode, message: string, fix: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
    this.fix = fix;
  }
}
