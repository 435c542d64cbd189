/** The accent where a project names none. */
export const DEFAULT_ACCENT = '#2b4a66';

const LIGHT_PAPER = '#ffffff';
const DARK_PAPER = '#15191d';
/** For text of any size: WCAG 2.2, 1.4.3 (level AA). */
const LEAST_CONTRAST = 4.5;

/**
 * A brand colour fit for text, as #rrggbb: darkened towards black until it stands out on white paper, lightened towards white
 * until it does on the dark screen, by a contrast of 4.5 to 1 (WCAG 2.2, 1.4.3).
 */
export function accessibleAccent(colour: string | null): { light: string; dark: string } {
  const base = colour ?? DEFAULT_ACCENT;
  return { light: towards(base, '#000000', LIGHT_PAPER), dark: towards(base, '#ffffff', DARK_PAPER) };
}

/** Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio). */
export function contrastRatio(one: string, other: string): number {
  const [a, b] = [relativeLuminance(one), relativeLuminance(other)];
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
}

function towards(base: string, end: string, paper: string): string {
  for (let share = 0; share < 1; share += 0.02) {
    const colour = mix(base, end, share);
    if (contrastRatio(colour, paper) >= LEAST_CONTRAST) return colour;
  }
  return end;
}

function channels(colour: string): number[] {
  return [1, 3, 5].map((start) => Number.parseInt(colour.slice(start, start + 2), 16));
}

function mix(one: string, other: string, share: number): string {
  const end = channels(other);
  const mixed = channels(one).map((value, index) => Math.round(value + (end[index]! - value) * share));
  return `#${mixed.map((value) => value.toString(16).padStart(2, '0')).join('')}`;
}

function relativeLuminance(colour: string): number {
  const [red, green, blue] = channels(colour).map((value) => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}
