/** A planned load while it is typed: texts in, a load or what is wrong with which field out. */
import type { CommonLoad } from '#energy/estimates/plan/common-loads';
import { COMMON_LOADS } from '#energy/estimates/plan/common-loads';
import type { PlanAnswer, PlannedLoadSettings } from '#messages';
import * as words from '../../../words/plan.ts';
import { typedNumber } from '../../now/typed-number.ts';

export const NUMBERS = ['powerW', 'startFactor', 'hoursPerDay', 'count'] as const;
export type NumberName = (typeof NUMBERS)[number];

export interface LoadDraft {
  name: string;
  texts: Readonly<Record<NumberName, string>>;
  mustStayOn: boolean;
}

export type LoadWrong = Partial<Record<'name' | NumberName, string>>;

const LIMITS: Readonly<Record<NumberName, readonly [least: number, most: number]>> = {
  powerW: [0.1, 20_000],
  startFactor: [1, 20],
  hoursPerDay: [0, 24],
  count: [1, 40],
};
const LONGEST = 60;

const text = (value: number): string => String(Math.round(10 * value) / 10);

export const EMPTY_DRAFT: LoadDraft = {
  name: '',
  texts: { powerW: '', startFactor: '1', hoursPerDay: '24', count: '1' },
  mustStayOn: false,
};

export const draftOf = ({ name, mustStayOn, ...load }: PlannedLoadSettings): LoadDraft => ({
  name,
  texts: {
    powerW: text(load.powerW),
    startFactor: text(load.startFactor),
    hoursPerDay: text(load.hoursPerDay),
    count: text(load.count),
  },
  mustStayOn,
});

export const commonDraft = ({ name, powerW, hoursPerDay, startFactor }: CommonLoad): LoadDraft =>
  draftOf({ name, powerW, hoursPerDay, startFactor, count: 1, mustStayOn: false });

/** What was seen plugged in; how it starts is taken from a common load of that name. */
export function seenDraft({ name, powerW, duty, mustStayOn }: PlanAnswer['seen'][number], unnamed: string): LoadDraft {
  const known = COMMON_LOADS.find(common => (name ?? '').toLowerCase().includes(common.name.toLowerCase()));
  const load = {
    name: name ?? unnamed,
    powerW,
    hoursPerDay: 24 * duty,
    startFactor: known?.startFactor ?? 1,
    count: 1,
    mustStayOn,
  };
  return draftOf(load);
}

export function loadOf({ name, texts, mustStayOn }: LoadDraft): { load: PlannedLoadSettings } | { wrong: LoadWrong } {
  const wrong: LoadWrong = {};
  const clean = name.trim();
  if (clean === '' || clean.length > LONGEST) wrong.name = words.WRONG.name;
  const numbers = Object.fromEntries(
    NUMBERS.map(field => {
      const value = typedNumber(texts[field]);
      const [least, most] = LIMITS[field];
      if (value === null || value < least || value > most || (field === 'count' && !Number.isInteger(value)))
        wrong[field] = words.WRONG[field];
      return [field, value];
    }),
  ) as Record<NumberName, number>;
  return Object.keys(wrong).length > 0 ? { wrong } : { load: { name: clean, ...numbers, mustStayOn } };
}
