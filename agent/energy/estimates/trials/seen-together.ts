/**
 * What was seen in a trial, alike taken together: a link that stutters leaves dozens of short gaps, which say no more one
 * by one than as a sum. Order is that of the first of each; what spoils stands first, since all else falls with it.
 */
import type { Spoiled } from './asked.ts';

/** Up to so many are told one by one. */
const ONE_BY_ONE = 2;
/** Amounts that add up; of the others the greatest is told. */
const ADDS_UP: ReadonlySet<string> = new Set(['min', 'Wh']);

type Seen<At> = Pick<Spoiled, 'what' | 'consequence' | 'amount' | 'unit'> & { readonly at: At; readonly toAt: At };

export interface Together<At> extends Seen<At> {
  readonly count: number;
  /** The greatest of them; null where it has no size. */
  readonly most: number | null;
  /** `amount` is the sum; else the greatest. */
  readonly isSum: boolean;
}

const alone = <At>(one: Seen<At>): Together<At> => ({ ...one, count: 1, most: one.amount, isSum: false });

function summed<At>(all: readonly Seen<At>[]): Together<At> {
  const amounts = all.flatMap(({ amount }) => (amount === null ? [] : [amount]));
  const most = amounts.length === 0 ? null : Math.max(...amounts);
  const isSum = ADDS_UP.has(all[0]!.unit ?? '');
  const sum = amounts.reduce((a, b) => a + b, 0);
  return {
    ...all[0]!,
    toAt: all.at(-1)!.toAt,
    amount: most === null ? null : isSum ? sum : most,
    count: all.length,
    most,
    isSum: isSum && most !== null,
  };
}

/** @param seen oldest first */
export function together<At>(seen: readonly Seen<At>[]): Together<At>[] {
  const kinds = new Map<string, Seen<At>[]>();
  for (const one of seen) {
    const key = `${one.what} ${one.consequence}`;
    kinds.set(key, [...(kinds.get(key) ?? []), one]);
  }
  const all = [...kinds.values()].flatMap(of => (of.length > ONE_BY_ONE ? [summed(of)] : of.map(alone)));
  const rank = ({ consequence }: Together<At>) => (consequence === 'spoils' ? 0 : 1);
  return all.sort((a, b) => rank(a) - rank(b) || Number(a.at > b.at) - Number(a.at < b.at));
}
