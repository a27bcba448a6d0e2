/** What is told of marks and their judgement, in the message the page reads. */
import type { Look, RankedMark } from '#energy/estimates/aiming/asked';
import type { Mark, Spot, WireAim, WireMark } from '#messages';
import { toInstant } from '../../../server/encode.ts';

export interface AimTold {
  readonly station: string;
  readonly at: number;
  readonly quantity: WireAim['quantity'];
  readonly reference: string | null;
  readonly look: Look;
  readonly marks: readonly Mark[];
  readonly spots: readonly Spot[];
}

export function wireAim({ station, at, quantity, reference, look, marks, spots }: AimTold): WireAim {
  const { here, verdict } = look;
  return {
    station,
    at: toInstant(at),
    quantity,
    sky: look.sky,
    here:
      here === null
        ? null
        : { meanW: here.meanW, giveOrTakeW: here.giveOrTakeW, sinceAt: toInstant(Math.round(here.sinceMs)) },
    reference,
    marks: look.marks.flatMap(ranked => {
      const mark = marks.find(m => m.id === ranked.id);
      return mark === undefined ? [] : [wireMark(mark, ranked, marks, spots)];
    }),
    verdict: { ...verdict },
  };
}

/** A mark as it is worth now, among the others of its walk. */
export function wireMark(mark: Mark, ranked: RankedMark, marks: readonly Mark[], spots: readonly Spot[]): WireMark {
  const again = marks.find(m => m.id === mark.againOf)?.letter;
  return {
    id: mark.id,
    letter: mark.letter,
    at: toInstant(mark.at),
    spot: mark.spot,
    name: spots.find(spot => spot.id === mark.spot)?.name ?? null,
    ...(again === undefined ? {} : { again }),
    note: mark.note,
    measured: ranked.measured,
    now: ranked.now,
    why: ranked.why,
  };
}
