/** Width and height of a picture in pixels, as its header states. */
export interface PictureSize {
  width: number;
  height: number;
}

const PNG = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];

/**
 * The size of a PNG (ISO/IEC 15948, 11.2.2) or JPEG (ISO/IEC 10918-1, B.2.2) by its header, before anything is decoded; null where
 * the bytes are neither.
 */
export function pictureSize(bytes: Uint8Array): PictureSize | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (PNG.every((byte, i) => bytes[i] === byte)) {
    return bytes.length < 24 ? null : { width: view.getUint32(16), height: view.getUint32(20) };
  }
  return bytes[0] === 0xff && bytes[1] === 0xd8 ? jpegSize(view) : null;
}

/** From segment to segment up to the first that starts a frame. */
function jpegSize(view: DataView): PictureSize | null {
  for (let at = 2; at + 9 <= view.byteLength; ) {
    if (view.getUint8(at) !== 0xff) return null;
    const marker = view.getUint8(at + 1);
    if (marker === 0xff) at += 1;
    else if (startsFrame(marker)) return { width: view.getUint16(at + 7), height: view.getUint16(at + 5) };
    else at += 2 + (standsAlone(marker) ? 0 : view.getUint16(at + 2));
  }
  return null;
}

/** SOF0 to SOF15, among whose numbers are three other markers. */
function startsFrame(marker: number): boolean {
  return marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
}

function standsAlone(marker: number): boolean {
  return marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8);
}
