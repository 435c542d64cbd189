/** The colour `share` of the way (0 to 1) from one `#rrggbb` to another, mixed in sRGB. Both have been checked before. */
export function mixColours(from: string, to: string, share: number): string {
  const start = channels(from);
  const mixed = channels(to).map((part, index) => Math.round(start[index]! + (part - start[index]!) * share));
  return `#${mixed.map((part) => part.toString(16).padStart(2, '0')).join('')}`;
}

function channels(hex: string): number[] {
  return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16));
}
