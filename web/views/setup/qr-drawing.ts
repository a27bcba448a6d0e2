/** A QR code as an SVG: one path, a run of dark modules after the other. Dark on light in every light, or no camera reads it. */
import { svg } from 'lit';

/** Path data of rows of `1` (dark) and `0`; one module is one unit. */
export function qrPath(rows: readonly string[]): string {
  return rows
    .flatMap((row, y) =>
      [...row.matchAll(/1+/g)].map(({ index, 0: run }) => `M${index} ${y}h${run.length}v1h-${run.length}z`),
    )
    .join('');
}

export const qrDrawing = (rows: readonly string[], label: string, night: boolean) => svg`
  <svg class=${night ? 'qr night' : 'qr'} viewBox="0 0 ${rows.length} ${rows.length}" role="img" aria-label=${label}
    shape-rendering="crispEdges"><path d=${qrPath(rows)}></path></svg>`;
