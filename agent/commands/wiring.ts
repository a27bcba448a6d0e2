/** `wattkeep wiring`: every way of wiring the panels, held against each port. Reads nothing but its options. */
import {
  type Allocation,
  type Arrangement,
  allocate,
  cautionsFor,
  checkArrangements,
  meterNow,
  mistakesAt,
  plainUnits,
  say,
  sayExpected,
  sayMistake,
} from '#energy/wiring/index';
import type { Invocation } from './invocation.ts';
import { rounded, usage } from './numbers.ts';
import { type WiringOptions, wiringOptions } from './wiring-options.ts';
import { WIRING_HELP, wiringLines } from './wiring-words.ts';

export async function wiring({ argv }: Invocation): Promise<number> {
  const options = wiringOptions(argv);
  process.stdout.write(options.help ? WIRING_HELP : answer(options));
  return 0;
}

function answer(options: WiringOptions): string {
  const { panels, ports, weather, json } = options;
  const arrangements = ports.flatMap(port => checkArrangements(panels, port, weather));
  const together = ports.length > 1 ? allocate(panels, ports, weather) : null;
  const cautions = cautionsFor(arrangements);
  const meter = meterOf(options, arrangements);
  if (!json) return wiringLines({ panels, ports, weather, arrangements, together, meter, cautions });
  return `${JSON.stringify(
    rounded({
      arrangements: arrangements.map(arrangementForPrograms),
      ...(together && {
        allocations: together.allocations.map(allocationForPrograms),
        allocationsComplete: together.complete,
      }),
      ...(meter === null ? {} : { meter }),
      cautions: cautions.map(({ text }) => text),
      cautionGrounds: cautions.map(({ ground }) => ground),
    }),
  )}\n`;
}

const arrangementForPrograms = ({ reasons, ...numbers }: Arrangement) => ({
  ...numbers,
  reasons: reasons.map(reason => say(reason, plainUnits)),
  reasonCodes: reasons.map(({ code }) => code),
});

const allocationForPrograms = ({ parts, ...numbers }: Allocation) => ({
  ...numbers,
  parts: parts.map(
    part =>
      part && {
        port: part.port,
        station: part.station,
        series: part.series,
        parallel: part.parallel,
        strings: part.strings,
      },
  ),
});

export interface MeterSaid {
  series: number;
  parallel: number;
  lowV: number;
  highV: number;
  says: string[];
}

/** What the meter should show and, where a reading was typed, what it points to; null where a Voc is not known. */
function meterOf(options: WiringOptions, arrangements: readonly Arrangement[]): MeterSaid | null {
  const { as, meterV, panels, light, airC } = options;
  const found =
    as === undefined
      ? arrangements[0]
      : arrangements.find(({ series, parallel }) => series === as[0] && parallel === as[1]);
  if (found === undefined)
    throw usage('--as names a way that the panels do not suffice for.', 'Give fewer, or a larger --count.');
  const { series, parallel, strings } = found;
  const range = meterNow(strings, panels, { light, airC });
  if (range === null) return null;
  const read = meterV === undefined ? [] : mistakesAt(meterV, strings, panels, { light, airC });
  return {
    series,
    parallel,
    ...range,
    says: [sayExpected(range, plainUnits), ...read.map(code => sayMistake(code, meterV!, plainUnits))],
  };
}
