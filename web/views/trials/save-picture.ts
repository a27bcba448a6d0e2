/**
 * A drawing as a file of its own: SVG with its colours written in, and PNG painted from that. Nothing is asked of the
 * agent; what was simulated says so in the picture.
 */
const NAMESPACE = 'http://www.w3.org/2000/svg';
const WRITTEN = [
  'fill',
  'fill-opacity',
  'stroke',
  'stroke-width',
  'stroke-dasharray',
  'stroke-linejoin',
  'font-size',
  'font-weight',
  'text-anchor',
] as const;
const FONT = 'Atkinson Hyperlegible Next, Atkinson, sans-serif';
const [MARGIN, TITLE_PX, FOOT_PX] = [16, 32, 24];
const PNG_SCALE = 2;

export interface PictureWords {
  title: string;
  foot: string;
}

/** The drawing with everything that a style sheet said of it, a title above and its source below. */
export function pictureOf(drawing: SVGSVGElement, { title, foot }: PictureWords): SVGSVGElement {
  const copy = drawing.cloneNode(true) as SVGSVGElement;
  const [from, to] = [drawing, copy].map(root => [...root.querySelectorAll('*')]) as [Element[], Element[]];
  from.forEach((element, i) => {
    const style = getComputedStyle(element);
    for (const name of WRITTEN) {
      const value = style.getPropertyValue(name);
      if (value !== '' && value !== 'none 0px') to[i]!.setAttribute(name, value.replaceAll('px', ''));
    }
    to[i]!.removeAttribute('class');
  });
  for (const node of copy.childNodes) if (node.nodeType === Node.COMMENT_NODE) node.remove();
  const page = getComputedStyle(drawing);
  const [paper, ink, soft] = ['--paper', '--ink', '--soft'].map(name => page.getPropertyValue(name).trim());
  const width = drawing.width.baseVal.value + 2 * MARGIN;
  const height = drawing.height.baseVal.value + 2 * MARGIN + TITLE_PX + FOOT_PX;
  const picture = make('svg', {
    xmlns: NAMESPACE,
    width,
    height,
    viewBox: `0 0 ${width} ${height}`,
    'font-family': FONT,
  });
  copy.setAttribute('x', String(MARGIN));
  copy.setAttribute('y', String(MARGIN + TITLE_PX));
  copy.setAttribute('overflow', 'visible');
  picture.append(
    make('rect', { width, height, fill: paper! }),
    make('text', { x: MARGIN, y: MARGIN + 18, fill: ink!, 'font-size': 18, 'font-weight': 700 }, title),
    copy,
    make('text', { x: MARGIN, y: height - MARGIN, fill: soft!, 'font-size': 13 }, foot),
  );
  return picture as SVGSVGElement;
}

function make(tag: string, attributes: Record<string, string | number>, text = ''): SVGElement {
  const element = document.createElementNS(NAMESPACE, tag);
  for (const [name, value] of Object.entries(attributes))
    if (name !== 'xmlns') element.setAttribute(name, String(value));
  element.textContent = text;
  return element;
}

export const svgText = (picture: SVGSVGElement): string => new XMLSerializer().serializeToString(picture);

/** Painted at twice its size. Rejects where the browser paints none. */
export async function pngOf(picture: SVGSVGElement): Promise<Blob> {
  const image = new Image();
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svgText(picture))}`;
  await image.decode();
  const canvas = document.createElement('canvas');
  canvas.width = Number(picture.getAttribute('width')) * PNG_SCALE;
  canvas.height = Number(picture.getAttribute('height')) * PNG_SCALE;
  canvas.getContext('2d')!.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((done, failed) =>
    canvas.toBlob(blob => (blob === null ? failed(new Error('no picture')) : done(blob)), 'image/png'),
  );
}

/** Hands a file to the browser, as a link for downloading would. */
export function hand(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

export async function savePicture(drawing: SVGSVGElement, words: PictureWords, name: string, as: 'svg' | 'png') {
  const picture = pictureOf(drawing, words);
  const blob = as === 'svg' ? new Blob([svgText(picture)], { type: 'image/svg+xml' }) : await pngOf(picture);
  hand(blob, `${name}.${as}`);
}
