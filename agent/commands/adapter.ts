/** `wattkeep adapter VERB`: the workbench for adapters of one's own. */
import { nearestName } from '#kit/nearest';
import { ADAPTER_HELP } from './adapter-words.ts';
import type { Invocation, Verb } from './invocation.ts';
import { usage } from './numbers.ts';

const VERBS: Record<string, () => Promise<Verb>> = {
  new: async () => (await import('./adapter-new.ts')).adapterNew,
  capture: async () => (await import('./adapter-capture.ts')).adapterCapture,
  play: async () => (await import('./adapter-play.ts')).adapterPlay,
  check: async () => (await import('./adapter-check.ts')).adapterCheck,
  list: async () => (await import('./adapter-list.ts')).adapterList,
  approve: async () => (await import('./adapter-list.ts')).adapterApprove,
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
