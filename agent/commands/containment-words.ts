/** How far adapters of one's own are contained, in words. */
import type { Containment } from '../host/containment.ts';

export const OWN_SPACE =
  'Adapters of your own run in a space of their own: no network, no files but their own, no other programs.';
export const NETWORK_OPEN =
  'Adapters on this computer can still reach the network; they cannot read your files or start programs.';
export const NETWORK_HELD =
  'Node keeps adapters from the network, your files and other programs: a seat belt and no wall.';

export const whyHeld = (hindrance: Containment['hindrance'], detail: string): string => {
  if (hindrance === 'missing') return 'Install bubblewrap to give them a space of their own.';
  if (hindrance === 'forbidden') return `bubblewrap is installed but may not be used here: ${detail}.`;
  return 'A space of their own is to be had on Linux only.';
};
