/** Words of the masthead, the notices and the buttons that every view shares. */
import type { Light } from '../state/light.ts';

export const MARK_SIMULATED = 'Simulated station';
export const MARK_SIMULATED_SHORT = 'simulated';
export const readingAge = (span: string): string => `reading ${span} old`;
export const readingAgeShort = (span: string): string => `${span} old`;
export const typedAge = (span: string): string => `typed ${span} ago`;
/** What this browser's session leaves out; '' where it leaves out nothing. */
export const MAY_ONLY = { view: 'may only look', mark: 'may look and mark', change: '' } as const;
export const agentAway = 'agent not answering';
export const zoneTold = (zone: string): string => `times of ${zone.replace(/_/g, ' ')}`;

export const lightName = (light: Light): string => ({ day: 'Day', glare: 'Glare', night: 'Night' })[light];
export const lightLabel = (light: Light): string => `Light: ${lightName(light)}. Change it (key L)`;

export const RELOAD = 'Reload to update';
export const OUTDATED = 'This page is of another version than the agent.';
export const WHICH_STATION = 'Station';
export const titleOf = (view: string, station: string | null): string =>
  station === null ? `${view} · wattkeep` : `${view} · ${station}`;
export const VIEW_NAMES = {
  now: 'Now',
  aim: 'Aim',
  outlast: 'Outlast',
  ledger: 'Ledger',
  trials: 'Trials',
  wiring: 'Wiring',
  setup: 'Setup',
  more: 'More',
} as const;
export const NOT_LOADED = 'This view did not load. Reload the page.';

/** What is wrong with the record. Readings still show; they are only not kept. */
export const savingTrouble = (
  trouble: 'DISK_FULL' | 'DISK_READ_ONLY' | 'RECORD_DAMAGED',
  since: string | null,
): string => {
  const what = {
    DISK_FULL: 'Nothing is being saved: the disk is full. Free some space; saving starts again by itself.',
    DISK_READ_ONLY: 'Nothing is being saved: the disk takes no writing. Check the disk or its mount.',
    RECORD_DAMAGED: 'Nothing is being saved: the record is damaged. Stop the agent and run wattkeep doctor.',
  }[trouble];
  return since === null ? what : `${what} Since ${since}.`;
};
