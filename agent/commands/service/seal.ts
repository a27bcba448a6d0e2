/**
 * The last line of a file that `wattkeep service install` wrote: whose it is, and a digest of all before it. It tells
 * a file of ours from a stranger's, and one as it was written from one that somebody changed.
 */
import { createHash } from 'node:crypto';

const MARK = 'written by wattkeep service install, sha256';

/** How a remark begins and ends in the file's format. */
export type Remark = readonly [open: string, close: string];

const digest = (text: string): string => createHash('sha256').update(text).digest('hex');

export const sealed = (text: string, [open, close]: Remark): string =>
  `${text}${open}${MARK} ${digest(text)}${close}\n`;

/** `foreign`: no such line; `changed`: what stands before it is not what was written. */
export function sealOf(whole: string, [open, close]: Remark): 'own' | 'changed' | 'foreign' {
  const at = whole.lastIndexOf(`${open}${MARK} `);
  if (at < 0) return 'foreign';
  return sealed(whole.slice(0, at), [open, close]) === whole ? 'own' : 'changed';
}
