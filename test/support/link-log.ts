/** Opens a link and keeps what it tells. */
import type { Link, LinkFailure, OpenLink } from '#kit';
import { until } from './real-time.ts';

export interface LinkLog {
  readonly link: Link;
  opened: number;
  bytes: number;
  text: string;
  ends: { failure: LinkFailure; detail: string }[];
  untilOpen(): Promise<void>;
  /** The one end. */
  untilEnd(): Promise<{ failure: LinkFailure; detail: string }>;
}

/** @param onBytes hears each chunk too, and where it came from */
export function openLogged(
  openLink: OpenLink,
  onBytes: (chunk: Uint8Array, from: string) => void = () => undefined,
): LinkLog {
  const log = { opened: 0, bytes: 0, text: '', ends: [] as LinkLog['ends'] };
  const link = openLink({
    opened: () => {
      log.opened += 1;
    },
    bytes: (chunk, from = '') => {
      onBytes(chunk, from);
      log.bytes += chunk.length;
      if (log.text.length < 10_000) log.text += Buffer.from(chunk).toString('latin1');
    },
    closed: (failure, detail) => log.ends.push({ failure, detail }),
  });
  return Object.assign(log, {
    link,
    untilOpen: () => until(() => log.opened > 0),
    async untilEnd() {
      await until(() => log.ends.length > 0);
      return log.ends[0]!;
    },
  });
}
