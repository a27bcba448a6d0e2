/** How the command line ends: one number for each kind of trouble, the same in every verb. */
import type { ErrorCode } from '#kit';

const STATUS: { [C in ErrorCode]?: number } = {
  USAGE: 2,
  IMPORT_HEADER: 2,
  IMPORT_ROW: 2,
  STATION_UNKNOWN: 2,
  SETTINGS_SYNTAX: 3,
  SETTINGS_UNKNOWN_KEY: 3,
  SETTINGS_VALUE: 3,
  SETTINGS_CHANGED: 3,
  ADAPTER_UNKNOWN: 3,
  ADAPTER_API: 3,
  ADAPTER_TABLE: 3,
  DATA_BUSY: 4,
  PORT_BUSY: 5,
  RECORD_DAMAGED: 6,
  SNAPSHOT_UNPROVEN: 6,
  DISK_FULL: 7,
  DISK_READ_ONLY: 7,
  DATA_PERMISSION: 8,
  DATA_NETWORK_DISK: 8,
  RECORD_NEWER: 9,
};

/** 1 for everything that has no number of its own. */
export const exitStatus = (code: ErrorCode): number => STATUS[code] ?? 1;
