/**
 * The page's one typeface, added after the first frame: parsing a variable font before it costs a slow phone more than
 * the moment in which the system's face stands in. The build puts the hashed addresses in.
 */

declare const WATTKEEP_FONTS: readonly { address: string; range: string }[];

export function addFonts(page: Document): void {
  for (const { address, range } of WATTKEEP_FONTS) {
    const face = new FontFace('Atkinson', `url(${address}) format("woff2")`, {
      weight: '200 800',
      display: 'swap',
      unicodeRange: range,
    });
    page.fonts.add(face);
  }
  // Figures of one width; the first frame has none, and shaping with features costs it more than it is worth.
  page.documentElement.style.fontVariantNumeric = 'tabular-nums slashed-zero';
}
