/** Every schema there ever was, in order; the record's `user_version` says which one it has. */
import * as first from './0001.ts';
import * as second from './0002.ts';
import * as third from './0003.ts';
import * as fourth from './0004.ts';
import * as fifth from './0005.ts';
import * as sixth from './0006.ts';
import * as seventh from './0007.ts';
import * as eighth from './0008.ts';
import * as ninth from './0009.ts';
import * as tenth from './0010.ts';
import * as eleventh from './0011.ts';

export interface Migration {
  readonly version: number;
  readonly sql: string;
}

export const MIGRATIONS: readonly Migration[] = [
  first,
  second,
  third,
  fourth,
  fifth,
  sixth,
  seventh,
  eighth,
  ninth,
  tenth,
  eleventh,
];
