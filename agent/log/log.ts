/** The agent's log: levels, one line an event, in a bounded set of files. Nothing here ever throws at its caller. */
import { join } from 'node:path';
import { type Fields, formatLine, type Level } from './line.ts';
import { openRotatingFile } from './rotating-file.ts';

export type { Fields, Level } from './line.ts';

export const LOG_FILE = 'wattkeep.log';
const LEVELS: readonly Level[] = ['error', 'warn', 'info', 'debug'];
const DEFAULT_MAX_BYTES = 1_048_576;
const DEFAULT_KEEP = 5;

export interface LogOptions {
  /** Folder of the log files; made (0700) where it is missing. */
  readonly dir: string;
  /** The least important level that is written. */
  readonly level: Level;
  /** UTC epoch ms. */
  now(): number;
  readonly maxBytes?: number;
  /** Files in all. */
  readonly keep?: number;
  /** Also gets each line, with its newline: the terminal. */
  alsoTo?(line: string): void;
}

export interface Log {
  error(area: string, message: string, fields?: Fields): void;
  warn(area: string, message: string, fields?: Fields): void;
  info(area: string, message: string, fields?: Fields): void;
  debug(area: string, message: string, fields?: Fields): void;
  /** Lines that could not be written since the last one that could. */
  dropped(): number;
  close(): void;
}

/** Opens nothing before the first line. */
export function createLog(options: LogOptions): Log {
  const { now, alsoTo } = options;
  const file = openRotatingFile(
    join(options.dir, LOG_FILE),
    options.maxBytes ?? DEFAULT_MAX_BYTES,
    options.keep ?? DEFAULT_KEEP,
  );
  const threshold = LEVELS.indexOf(options.level);
  let dropped = 0;
  const write = (level: Level, area: string, message: string, fields?: Fields) => {
    if (LEVELS.indexOf(level) > threshold) return;
    const line = formatLine(now(), level, area, message, fields);
    alsoTo?.(`${line}\n`);
    if (dropped > 0) {
      const confession = formatLine(now(), 'warn', 'log', 'lines could not be written', { lines: dropped });
      if (file.append(confession)) dropped = 0;
    }
    if (dropped > 0 || !file.append(line)) dropped += 1;
  };
  return {
    error: (area, message, fields) => write('error', area, message, fields),
    warn: (area, message, fields) => write('warn', area, message, fields),
    info: (area, message, fields) => write('info', area, message, fields),
    debug: (area, message, fields) => write('debug', area, message, fields),
    dropped: () => dropped,
    close: () => file.close(),
  };
}
