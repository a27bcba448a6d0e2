/** What the datasheet and the port's manual leave open, and what is taken in its place. */
import { tableFactor } from '../laws/cold-voltage.ts';
import { powerPctPerK } from './figures.ts';
import { type Panel, type Port, tolerancePct, UNKNOWN_HOTTEST_C, type Weather } from './panel.ts';
import type { PanelField, PortField, Reason } from './verdicts.ts';

const ASKED_OF_PANEL: readonly PanelField[] = ['openCircuitV', 'shortCircuitA', 'maxPowerV', 'ratedW'];
const ASKED_OF_PORT: readonly PortField[] = ['maxV', 'minV', 'maxA', 'maxW'];

/** What has no safe stand-in. A single string is fed back by no other, so its fuse rating is not asked for. */
export function unknownsOf(used: readonly Panel[], strings: number, port: Port, weather: Weather): Reason[] {
  const asked = strings > 1 ? ([...ASKED_OF_PANEL, 'maxSeriesFuseA'] as const) : ASKED_OF_PANEL;
  return [
    ...used.flatMap(panel =>
      asked
        .filter(field => panel[field] === null)
        .map(field => ({ code: 'panelUnknown' as const, panel: panel.name, field })),
    ),
    ...ASKED_OF_PORT.filter(field => port[field] === null).map(field => ({
      code: 'portUnknown' as const,
      port: port.name,
      field,
    })),
    ...(weather.coldestC === null ? [{ code: 'coldestUnknown' as const }] : []),
  ];
}

/** What was taken because it was not told. */
export function assumptionsOf(used: readonly Panel[], { coldestC, hottestC }: Weather): Reason[] {
  const ofPanels = used.flatMap((panel): Reason[] => [
    ...(panel.openCircuitV !== null && panel.openCircuitPctPerK === null && coldestC !== null
      ? [{ code: 'byTable' as const, panel: panel.name, factor: tableFactor(coldestC), coldestC }]
      : []),
    ...(panel.tolerancePct === null
      ? [
          {
            code: 'toleranceAssumed' as const,
            panel: panel.name,
            pct: tolerancePct(panel),
            build: panel.build ?? ('rigid' as const),
          },
        ]
      : []),
    ...(panel.powerPctPerK === null
      ? [{ code: 'powerPctAssumed' as const, panel: panel.name, pctPerK: powerPctPerK(panel) }]
      : []),
  ]);
  return hottestC === null ? [...ofPanels, { code: 'hottestAssumed', hottestC: UNKNOWN_HOTTEST_C }] : ofPanels;
}
