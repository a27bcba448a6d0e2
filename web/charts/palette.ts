/** The colours and widths of the present light, read from the tokens once a change and handed to every drawing. */

export interface Palette {
  paper: string;
  ink: string;
  soft: string;
  hair: string;
  night: string;
  stored: string;
  fanOuter: string;
  fanMiddle: string;
  fanInner: string;
  range: string;
  fill: string;
  /** Of a whole day's bar: dim at night, where its upper edge tells. */
  bar: string;
  hairWidth: number;
  levelWidth: number;
  textWeight: string;
  strongWeight: string;
}

export function paletteOf(styles: { getPropertyValue(name: string): string }): Palette {
  const token = (name: string) => styles.getPropertyValue(`--${name}`).trim();
  return {
    paper: token('paper'),
    ink: token('ink'),
    soft: token('soft'),
    hair: token('hair'),
    night: token('night'),
    stored: token('stored'),
    fanOuter: token('fan-outer'),
    fanMiddle: token('fan-middle'),
    fanInner: token('fan-inner'),
    range: token('range'),
    fill: token('fill'),
    bar: token('bar'),
    hairWidth: Number.parseFloat(token('hair-width')) || 1,
    levelWidth: Number.parseFloat(token('level-width')) || 3,
    textWeight: token('text-weight'),
    strongWeight: token('strong-weight'),
  };
}
