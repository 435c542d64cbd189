/** Colour arithmetic of the theme: mixing, and contrast as WCAG 2.2 defines it. */

type Rgb = [number, number, number];

/** Red, green and blue of `#rrggbb`, each 0 to 255. Throws on any other text: the project file has been checked before. */
export function parseColour(hex: string): Rgb {
  if (!/^#[0-9a-f]{6}$/i.test(hex)) throw new RangeError(`not a colour of the form #rrggbb: ${hex}`);
  return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as Rgb;
}

function formatColour(rgb: Rgb): string {
  return `#${rgb.map((part) => Math.round(part).toString(16).padStart(2, '0')).join('')}`;
}

/** The colour `share` of the way (0 to 1) from one `#rrggbb` to another, mixed in sRGB. */
export function mixColours(from: string, to: string, share: number): string {
  const end = parseColour(to);
  return formatColour(parseColour(from).map((part, index) => part + (end[index]! - part) * share) as Rgb);
}

/** Relative luminance of `#rrggbb`, 0 (black) to 1 (white). Source: WCAG 2.2, definition of relative luminance. */
export function relativeLuminance(hex: string): number {
  const [red, green, blue] = parseColour(hex).map((part) => {
    const share = part / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  }) as Rgb;
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** Contrast ratio of two colours, 1 to 21. Source: WCAG 2.2, definition of contrast ratio. */
export function contrastRatio(one: string, other: string): number {
  const [low, high] = [relativeLuminance(one), relativeLuminance(other)].sort((a, b) => a - b) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

/** `hex` mixed towards black in steps of 5 % until it stands out from white by `ratio` (7 by default, as dark text does). */
export function darkenedTo(hex: string, ratio = 7): string {
  for (let step = 0; step < 20; step++) {
    const candidate = mixColours(hex, '#000000', step / 20);
    if (contrastRatio(candidate, '#ffffff') >= ratio) return candidate;
  }
  return '#000000';
}
