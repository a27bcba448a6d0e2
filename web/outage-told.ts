/** An outage that is over, as a sentence and the lines under it. Pure. */
import { asText, type Formats, spanText, type Times } from './format.ts';
import type { Outage } from './state/outage.ts';
import * as words from './words/outages.ts';

export interface OutageTold {
  headline: string;
  lines: string[];
}

/** @param outage one that ended */
export function outageTold(outage: Outage, formats: Formats, times: Times, nowAt: number): OutageTold {
  const endedAt = outage.endedAt ?? nowAt;
  const at = (moment: number) => times.moment(moment, nowAt);
  return {
    headline: words.lasted(spanText(endedAt - outage.startedAt)),
    lines: [
      words.fromTo(at(outage.startedAt), at(endedAt)),
      words.energy(asText(formats.energy(outage.outputWh)), asText(formats.energy(outage.inputWh))),
      ...levels(outage, formats),
      ...promise(outage, endedAt, at),
    ],
  };
}

function levels({ startPct, endPct, lowestPct }: Outage, formats: Formats): string[] {
  if (startPct === null || endPct === null) return [];
  const percent = (value: number) => asText(formats.percent(value));
  const low = lowestPct === null || lowestPct >= Math.min(startPct, endPct) ? '' : words.lowest(percent(lowestPct));
  return [`${words.levels(percent(startPct), percent(endPct))}${low}.`];
}

/** What was promised first, and what came of it. */
function promise({ promised, floorAt }: Outage, endedAt: number, at: (moment: number) => string): string[] {
  if (promised === null) return [floorAt === null ? words.NOT_PROMISED : words.floorUnforetold(at(floorAt))];
  const { p10, p50 } = promised;
  const came =
    floorAt !== null
      ? (floorAt < p10 ? words.floorEarly : words.floorKept)(at(floorAt))
      : endedAt < p10
        ? words.backBefore
        : words.backAfter(at(p10));
  return [words.promisedFirst(at(p10), p50 === null ? null : at(p50)), came];
}
