/**
 * `wattkeep adapter VERB`: the workbench for adapters of one's own. A first word that is the name of a file in the
 * owner's folder, without its ending, stands for that file.
 */
import { nearestName } from '#kit/nearest';
import { fileOfName } from './adapter-place.ts';
import { ADAPTER_HELP } from './adapter-words.ts';
import type { Invocation, Verb } from './invocation.ts';
import { usage } from './numbers.ts';

const VERBS: Record<string, () => Promise<Verb>> = {
  new: async () => (await import('./adapter-new.ts')).adapterNew,
  capture: async () => (await import('./adapter-capture.ts')).adapterCapture,
  play: async () => (await import('./adapter-play.ts')).adapterPlay,
  check: async () => onFile((await import('./adapter-check.ts')).adapterCheck),
  list: async () => (await import('./adapter-list.ts')).adapterList,
  approve: async () => (await import('./adapter-list.ts')).adapterApprove,
};

const onFile =
  (verb: Verb): Verb =>
  invocation => {
    const [first = '', ...rest] = invocation.argv;
    return verb({ ...invocation, argv: [fileOfName(first, invocation.argv) ?? first, ...rest] });
  };

export async function adapter({ argv, ...rest }: Invocation): Promise<number> {
  const [first, ...others] = argv;
  if (first === undefined || first === '--help') {
    process.stdout.write(ADAPTER_HELP);
    return first === undefined ? 2 : 0;
  }
  const found = Object.hasOwn(VERBS, first) ? VERBS[first] : undefined;
  if (found === undefined) {
    const near = nearestName(first, Object.keys(VERBS));
    const meant = near === null ? '' : `Did you mean ${near}? `;
    throw usage(`adapter ${first.slice(0, 40)} is not known.`, `${meant}Known: ${Object.keys(VERBS).join(', ')}.`);
  }
  return (await found())({ ...rest, argv: others });
}
