/**
 * What the input comes from: said by the adapter, else by the owner, else unknown. What is not known to be sun is never
 * harvest, and what cannot be sun is not believed to be: a night on the wall charger adds nothing.
 */
import type { DecodedReading, InputSource, Reading } from '#kit';

export interface SourceContext {
  /** The owner's standing answer. */
  owner: InputSource;
  /** Sun's true elevation, degrees; null where the place is unknown. */
  sunElevationDeg: number | null;
  /** Rating of all panels, W; null where unknown. */
  panelsRatedW: number | null;
}

/** Cloud edges lift a panel above its rating for a while (common practice, no source). */
const RATING_MARGIN = 1.3;
/** Sun this far below the horizon gives nothing, civil twilight included. */
const DARK_DEG = -6;

/**
 * Watts from the sun in a reading; null where that is not known. An adapter that tells `solarPowerW` is believed.
 */
export function solarPowerW(reading: DecodedReading, context: SourceContext): number | null {
  const told = reading.quantities.solarPowerW;
  if (told != null) return told;
  const { inputPowerW: inputW, chargerPowerW: chargerW } = reading.quantities;
  if (inputW == null) return null;
  // Nothing coming in is nothing from the sun, whatever is plugged in.
  if (inputW === 0) return 0;
  // Beside a charger that gives, or may give, nobody knows what the sun's part is.
  if (chargerW !== undefined && chargerW !== 0) return null;
  return sourceOf(reading, context) === 'sun' ? inputW : null;
}

/** The source of a reading's input. */
export function sourceOf(reading: DecodedReading, context: SourceContext): InputSource {
  const said = reading.states.inputSource ?? 'unknown';
  if (said !== 'unknown') return said;
  if (context.owner !== 'sun') return context.owner;
  const inputW = reading.quantities.inputPowerW ?? 0;
  if (context.sunElevationDeg !== null && context.sunElevationDeg < DARK_DEG) return 'unknown';
  if (context.panelsRatedW !== null && inputW > context.panelsRatedW * RATING_MARGIN) return 'unknown';
  return 'sun';
}

/**
 * The reading as it is kept: with the source that was settled on, and its watts as watts from the sun where they are. What
 * counts as harvest is always kept as such too, also where adapter or file named the source and not the watts.
 */
export function attributed(reading: Reading, source: InputSource, solarW: number | null): Reading {
  const isFromSun = source === 'sun' && solarW !== null && reading.quantities.solarPowerW == null;
  if (source === (reading.states.inputSource ?? 'unknown') && !isFromSun) return reading;
  const states = { ...reading.states, inputSource: source };
  if (!isFromSun) return { ...reading, states };
  const { solarPowerW: _, ...reasons } = reading.reasons;
  return { ...reading, states, reasons, quantities: { ...reading.quantities, solarPowerW: solarW } };
}
