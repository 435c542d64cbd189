import { join } from 'node:path';
import type { Diagnostic } from '../src/project/diagnostic.ts';
import { photoUnreadable } from '../src/project/messages.ts';
import { orientationOf, turned } from '../src/report/orientation.ts';
import { pictureSize } from '../src/report/picture-size.ts';
import { keepBytes, keepFolder, type StepInputs } from './keep.ts';
import type { Pool } from './pool.ts';
import type { FoundPhoto } from './read.ts';
import { readRegular } from './read-regular.ts';

/** Raised whenever the same photo would come out otherwise. */
const PHOTOS_VERSION = 1;
/** Sharp over half a printed page at 200 dots an inch. */
const LONGEST_PX = 1200;
const QUALITY = 82;
/** A picture of so many bytes is no photo any more. */
const LARGEST_BYTES = 60_000_000;
/** Nor one of so many pixels: each takes some eight bytes while it is scaled. */
const MOST_PIXELS = 120_000_000;

/** The photos of a report as JPEG, by the name of their file, and those that could not be read, with the mend. */
export interface PreparedPhotos {
  pictures: Map<string, Uint8Array>;
  diagnostics: Diagnostic[];
}

/**
 * Photos as a report shows them: upright, no side longer than 1200 pixels, as JPEG, and made anew from their pixels, so that nothing
 * of what a camera writes beside them (the place, the time, the owner) comes along.
 */
export async function preparePhotos(
  folder: string,
  photos: readonly FoundPhoto[],
  pool: Pool,
): Promise<PreparedPhotos> {
  const pictures = new Map<string, Uint8Array>();
  const diagnostics: Diagnostic[] = [];
  for (const { file, sha256 } of photos) {
    const inputs = { sha256, longest_px: LONGEST_PX, quality: QUALITY };
    const step: StepInputs = { step: 'photo', version: PHOTOS_VERSION, code: 'report', subject: file, inputs };
    try {
      const make = async () => Buffer.from(await pool.run('shrinkPhoto', { folder, file }), 'base64');
      pictures.set(file, await keepBytes(keepFolder(folder), step, make));
    } catch {
      diagnostics.push({ file, line: null, column: null, severity: 'warning', message: photoUnreadable(file) });
    }
  }
  return { pictures, diagnostics };
}

/** One photo scaled and turned, as JPEG in base64. Throws where it cannot be decoded. */
export async function shrinkPhoto(folder: string, file: string): Promise<string> {
  const bytes = await readRegular(join(folder, file), { most_bytes: LARGEST_BYTES, links: true });
  const size = pictureSize(bytes);
  if (size === null || size.width * size.height > MOST_PIXELS) throw new Error('no such photo');
  const { PhotonImage, SamplingFilter, resize } = await import('@silvia-odwyer/photon-node');
  const whole = PhotonImage.new_from_byteslice(new Uint8Array(bytes));
  const [width, height] = [whole.get_width(), whole.get_height()];
  const scale = Math.min(1, LONGEST_PX / Math.max(width, height));
  const small = resize(
    whole,
    Math.max(1, Math.round(width * scale)),
    Math.max(1, Math.round(height * scale)),
    SamplingFilter.Triangle,
  );
  const upright = turned(
    { width: small.get_width(), height: small.get_height(), data: small.get_raw_pixels() },
    orientationOf(bytes),
  );
  const picture = new PhotonImage(onWhite(upright.data), upright.width, upright.height);
  const jpeg = Buffer.from(picture.get_bytes_jpeg(QUALITY)).toString('base64');
  for (const image of [whole, small, picture]) image.free();
  return jpeg;
}

/** Pixels that let the ground through, on white paper: JPEG knows no opacity. */
function onWhite(data: Uint8Array): Uint8Array {
  return data.map((value, i) => {
    const opacity = data[i - (i % 4) + 3]! / 255;
    return i % 4 === 3 ? 255 : Math.round(value * opacity + 255 * (1 - opacity));
  });
}
