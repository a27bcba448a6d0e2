/**
 * What panels give together when they are not alike, W at 1000 W/m² and 25 °C.
 *
 * In series one current flows, the weakest panel's; whether bypass diodes would let a stronger one pass is on few
 * labels. In parallel one voltage holds, and strings that cannot reach it give nothing. Left out is that a panel gives
 * a little more current below its own best voltage, so the estimate lies a few percent low: the cautious side.
 */

/** At its maximum power point. */
export interface Source {
  volts: number;
  amps: number;
}

/** Panels in series. */
export const inSeries = (panels: readonly Source[]): Source => ({
  volts: panels.reduce((sum, panel) => sum + panel.volts, 0),
  amps: Math.min(...panels.map(panel => panel.amps)),
});

/** Strings in parallel: the best of what they give at the voltage of one of them. */
export function inParallel(strings: readonly Source[]): Source {
  const choices = strings.map(({ volts }) => {
    const reaching = strings.filter(string => string.volts >= volts);
    return { volts, amps: reaching.reduce((sum, string) => sum + string.amps, 0) };
  });
  return choices.reduce((best, choice) => (choice.volts * choice.amps > best.volts * best.amps ? choice : best));
}
