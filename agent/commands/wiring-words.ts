/** What `wattkeep wiring` says: its help and its lines for a reader. */
import {
  type Allocations,
  type Arrangement,
  type Caution,
  callsFor,
  isSafe,
  type Panel,
  type Port,
  plainUnits,
  say,
  type Weather,
} from '#energy/wiring/index';

export const WIRING_HELP = `usage: wattkeep wiring --panel … --port … --coldest C [--count N] [options] [--json]

Every way of wiring your panels in series and parallel, with what each does at a station's solar port: fits, clips, too
low to start, do not connect; and why. All figures from labels and manuals.

  --panel LIST      voc=V,isc=A,vmp=V,imp=A,voc-pct-per-k=-0.31,max-fuse=A, in any order; also watts=W,
                    power-pct-per-k=-0.36,tolerance-pct=5,build=folding or rigid,count=N,name=TEXT.
                    Give it twice for two kinds, which are mixed up to 12 panels of each
  --count N         how many panels of each kind that has no count of its own; 1 where not given
  --port LIST       vmin=V,vmax=V,imax=A,wmax=W; also over-current=allowed (you read in the port's manual that a higher
                    short-circuit current may be connected), name=TEXT and station=TEXT. Once for each port;
                    several, of one station or more, are also filled together from the same panels
  --coldest C       coldest morning on record, °C
  --hottest C       hottest day, °C; 40 where not given
  --lead LIST       metres=M,mm2=A,amps=A: length one way, conductor, rating of its weakest plug. One for all ports, or
                    one for each
  --meter V         what a meter shows at the lead's end, nothing plugged in: says what may be wrong
  --as SxP          the way that the meter is held to, such as 3x1; the first listed where not given
  --light WHAT      bright (the default) or cloudy, --air C: what the meter's range is for
  --json            for programs

Cold volts go by the panel's own coefficient, else by the factors of NEC Table 690.7(A), with the label's tolerance on
top: 3 % where not given, 5 % for a folding panel. Amps are 1.25 × Isc. Hot volts take cells 34 °C warmer than the air
and the power coefficient, -0.4 %/K where not given. "Barely" is within 3 % of a limit. What the label or the manual
does not tell is never called a fit. The station's manual, local code and licensed practice decide.

example: wattkeep wiring --panel voc=22.4,isc=5.1,vmp=18.6,imp=4.84,voc-pct-per-k=-0.31,max-fuse=10,build=folding \\
           --count 3 --port vmin=16,vmax=82,imax=9,wmax=400 --coldest -15
`;

const { volts, amps, watts, tempC } = plainUnits;
const WORDS = ['no', 'one', 'two', 'three', 'four', 'five', 'six'];
const counted = (n: number) => WORDS[n] ?? String(n);

/** Of one kind `3 in series`, `2 in parallel`, `2 × 3 in series`; of two kinds the strings one by one. */
function wayOf({ strings, series, parallel }: Arrangement, panels: readonly Panel[]): string {
  if (panels.length > 1) {
    const held = (string: readonly number[]) => {
      const each = string.flatMap((n, kind) => (n === 0 ? [] : [`${n} ${panels[kind]!.name}`])).join(' + ');
      return string.reduce((sum, n) => sum + n) === 1 ? each : `${each} in series`;
    };
    const each = new Map<string, number>();
    for (const string of strings) each.set(held(string), (each.get(held(string)) ?? 0) + 1);
    return [...each].map(([what, n]) => (n === 1 ? what : `${n} × ${what}`)).join(' beside ');
  }
  if (parallel === 1) return series === 1 ? '1 panel' : `${series} in series`;
  return series === 1 ? `${parallel} in parallel` : `${parallel} × ${series} in series`;
}

const portName = ({ name, station }: Pick<Port, 'name' | 'station'>) =>
  station === null ? name : `${station}, ${name}`;

const portLine = ({ name, station, minV, maxV, maxA, maxW }: Port) => {
  const or = (value: number | null, write: (n: number) => string) => (value === null ? '?' : write(value));
  return `${portName({ name, station })}: ${or(minV, volts)} to ${or(maxV, volts)}, ${or(maxA, amps)}, ${or(maxW, watts)}`;
};

const short = (arrangement: Arrangement) => {
  const { coldOpenCircuitV, designCurrentA, peakW, panelsLeftOver } = arrangement;
  return [
    ...(coldOpenCircuitV === null ? [] : [`${volts(coldOpenCircuitV)} cold`]),
    ...(designCurrentA === null ? [] : [amps(designCurrentA)]),
    ...(peakW === null ? [] : [watts(peakW)]),
    ...(panelsLeftOver === 0 ? [] : [`${counted(panelsLeftOver)} left over`]),
  ].join(', ');
};

/** Said once below the table: they are the same for every way. */
const COMMON = ['byTable', 'toleranceAssumed', 'powerPctAssumed', 'hottestAssumed'];
/** In the table's own columns. */
const SHOWN = ['coldVolts', 'designCurrent', 'leftOver'];

function rows(arrangements: readonly Arrangement[], panels: readonly Panel[]): string[] {
  const ways = arrangements.map(arrangement => wayOf(arrangement, panels));
  const wide = Math.max(...ways.map(way => way.length));
  return arrangements.flatMap((arrangement, i) => [
    `  ${ways[i]!.padEnd(wide)}  ${arrangement.verdict.padEnd(16)}  ${short(arrangement)}`,
    ...arrangement.reasons
      .filter(({ code }) => ![...COMMON, ...SHOWN].includes(code))
      .filter(({ code }) => code !== 'leadLoss' || isSafe(arrangement.verdict))
      .filter(reason => callsFor(reason) === arrangement.verdict || callsFor(reason) === 'fits')
      .map(reason => `      ${say(reason, plainUnits)}`),
  ]);
}

const shared = (arrangements: readonly Arrangement[]) => [
  ...new Set(
    arrangements.flatMap(({ reasons }) =>
      reasons.filter(({ code }) => COMMON.includes(code)).map(reason => say(reason, plainUnits)),
    ),
  ),
];

function allocationLines({ allocations, complete }: Allocations, ports: readonly Port[], panels: readonly Panel[]) {
  if (allocations.length === 0) return ['together: no safe way for these ports', ''];
  return [
    `together, the best first${complete ? '' : ' of those tried; there are too many to try all'}:`,
    ...allocations.map(({ parts, deliverableW, panelsLeftOver, verdict }) => {
      const each = parts.map((part, i) => `${portName(ports[i]!)}: ${part === null ? 'empty' : wayOf(part, panels)}`);
      const left = panelsLeftOver === 0 ? '' : `, ${counted(panelsLeftOver)} left over`;
      return `  ${each.join('; ')}  (${verdict}, ${watts(deliverableW)}${left})`;
    }),
    '',
  ];
}

interface Found {
  panels: readonly Panel[];
  ports: readonly Port[];
  weather: Weather;
  arrangements: readonly Arrangement[];
  together: Allocations | null;
  meter: { says: readonly string[] } | null;
  cautions: readonly Caution[];
}

export function wiringLines(found: Found): string {
  const { panels, ports, weather, arrangements, together, meter, cautions } = found;
  return [
    `Coldest morning ${tempC(weather.coldestC!)}`,
    '',
    ...ports.flatMap(port => [
      portLine(port),
      ...rows(
        arrangements.filter(found => found.port === port.name && found.station === port.station),
        panels,
      ),
      '',
    ]),
    ...(together === null ? [] : allocationLines(together, ports, panels)),
    ...shared(arrangements),
    ...(meter === null ? [] : ['', ...meter.says]),
    '',
    ...cautions.map(({ text, ground }) => `- ${text}${ground === null ? '' : ` (${ground})`}`),
    '',
  ].join('\n');
}
