/** What the judging of the owner's record found, as lines and rows. Pure. */
import type { WireJudged } from '#messages';
import { asText, type Formats, MISSING, spanText, type Times } from '../../format.ts';
import * as words from '../../words/judging.ts';

const MINUTE_MS = 60_000;
const PROMISED = 0.8;

export const errorText = (pct: number | null, formats: Formats): string =>
  pct === null ? MISSING : asText(formats.percent(pct));
const shareText = (share: number | null, formats: Formats): string =>
  share === null ? MISSING : asText(formats.percent(100 * share));

export function judgedLines(judged: WireJudged, formats: Formats, times: Times): string[] {
  const { ranges, floor, full, fromAt, toAt } = judged;
  const count = (n: number) => formats.number(n, 0);
  const plain = (pct: number | null) => (pct === null ? null : errorText(pct, formats));
  const day = (iso: string) => times.dayMonth(times.date(Date.parse(iso)), times.date(Date.parse(judged.madeAt)));
  return [
    ...(ranges.of === 0
      ? [words.NOT_YET]
      : [
          words.cameTrue(count(ranges.of), count(ranges.held), count(Math.round(PROMISED * ranges.of))),
          words.middleOff(errorText(ranges.medianErrorPct, formats), plain(ranges.plainErrorPct)),
        ]),
    ...(floor === null
      ? ranges.of === 0
        ? []
        : [words.NO_FLOOR]
      : [
          words.toFloor(
            words.times(floor.discharges),
            shareText(floor.coverage, formats),
            errorText(floor.medianErrorPct, formats),
            plain(floor.plainErrorPct),
          ),
          ...(floor.warnings === 0
            ? []
            : [words.warned(shareText(floor.warnedInTime, formats), count(floor.warnings))]),
        ]),
    ...(full === null
      ? []
      : [
          words.toFull(
            words.times(full.charges),
            shareText(full.coverage, formats),
            errorText(full.medianErrorPct, formats),
          ),
        ]),
    ...(fromAt === null || toAt === null ? [] : [words.span(day(fromAt), day(toAt))]),
  ];
}

/** One row a horizon in which anything was judged. */
export function judgedRows({ byHorizon }: WireJudged, formats: Formats): string[][] {
  return byHorizon.flatMap((row, i) => {
    if (row.of === 0) return [];
    const before = byHorizon[i - 1]?.upToMin ?? 0;
    const name =
      row.upToMin === null ? words.beyond(spanText(before * MINUTE_MS)) : words.upTo(spanText(row.upToMin * MINUTE_MS));
    return [
      [
        name,
        words.heldOf(formats.number(row.held, 0), formats.number(row.of, 0)),
        errorText(row.medianErrorPct, formats),
        errorText(row.plainErrorPct, formats),
      ],
    ];
  });
}
