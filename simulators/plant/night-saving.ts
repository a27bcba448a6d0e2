/**
 * A habit of the station's owner: with little left at bedtime, the AC outlets are switched off until morning, so that
 * the converter's idle draw does not empty the pack overnight. Minutes since civil midnight.
 */

export interface NightSaving {
  readonly belowPct: number;
  readonly bedtimeMinute: number;
  readonly morningMinute: number;
}

/** Asked every step, in order of time; `shownPct` is looked at once, at bedtime. */
export function nightSaver(habit: NightSaving): (dayNumber: number, minute: number, shownPct: number) => boolean {
  let night = Number.NaN;
  let off = false;
  return (dayNumber, minute, shownPct) => {
    const evening = minute >= habit.bedtimeMinute;
    if (!evening && minute >= habit.morningMinute) return false;
    const thisNight = evening ? dayNumber : dayNumber - 1;
    if (thisNight !== night) {
      night = thisNight;
      off = shownPct < habit.belowPct;
    }
    return off;
  };
}
