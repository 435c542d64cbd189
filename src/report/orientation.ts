/** A picture as pixels, row by row from the top, four bytes a pixel: red, green, blue, opacity. */
export interface Pixels {
  width: number;
  height: number;
  data: Uint8Array;
}

const EXIF_MARKER = 0xe1;
const ORIENTATION_TAG = 0x0112;

/**
 * How a JPEG is to be turned to stand upright: 1 as it is, 2 to 8 mirrored or turned (tag Orientation, Exif 2.32, 4.6.4). 1 where
 * nothing is said, or the file is no JPEG.
 */
export function orientationOf(bytes: Uint8Array): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 4 || view.getUint16(0) !== 0xffd8) return 1;
  for (let at = 2; at + 4 <= bytes.length && bytes[at] === 0xff; ) {
    const marker = bytes[at + 1]!;
    const length = view.getUint16(at + 2);
    // Picture data follow: no more headers.
    if (marker === 0xda || length < 2) return 1;
    const end = at + 2 + length;
    if (marker === EXIF_MARKER && end <= bytes.length) {
      const found = orientationIn(bytes.subarray(at + 4, end));
      if (found !== null) return found;
    }
    at = end;
  }
  return 1;
}

/** The tag in one Exif segment; null where the segment holds none. */
function orientationIn(segment: Uint8Array): number | null {
  if (String.fromCharCode(...segment.subarray(0, 4)) !== 'Exif' || segment.length < 16) return null;
  const tiff = segment.subarray(6);
  const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.byteLength);
  const little = view.getUint16(0) === 0x4949;
  const directory = view.getUint32(4, little);
  if (directory + 2 > tiff.length) return null;
  const count = view.getUint16(directory, little);
  for (let entry = 0; entry < count; entry++) {
    const at = directory + 2 + 12 * entry;
    if (at + 12 > tiff.length) return null;
    if (view.getUint16(at, little) === ORIENTATION_TAG) {
      const value = view.getUint16(at + 8, little);
      return value >= 1 && value <= 8 ? value : null;
    }
  }
  return null;
}

/** A picture turned and mirrored as its orientation asks (Exif 2.32, 4.6.4), so that it stands upright. */
export function turned(pixels: Pixels, orientation: number): Pixels {
  if (orientation <= 1 || orientation > 8) return pixels;
  const { width, height, data } = pixels;
  const swapped = orientation >= 5;
  const out = { width: swapped ? height : width, height: swapped ? width : height };
  // Where the pixel of the turned picture at x, y comes from.
  const source = (x: number, y: number): [number, number] => {
    const [across, down] = [width - 1, height - 1];
    switch (orientation) {
      case 2:
        return [across - x, y];
      case 3:
        return [across - x, down - y];
      case 4:
        return [x, down - y];
      case 5:
        return [y, x];
      case 6:
        return [y, down - x];
      case 7:
        return [across - y, down - x];
      default:
        return [across - y, x];
    }
  };
  const from = new Uint32Array(data.slice().buffer);
  const to = new Uint32Array(out.width * out.height);
  for (let y = 0; y < out.height; y++) {
    for (let x = 0; x < out.width; x++) {
      const [left, top] = source(x, y);
      to[y * out.width + x] = from[top * width + left]!;
    }
  }
  return { ...out, data: new Uint8Array(to.buffer) };
}
