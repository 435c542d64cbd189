import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PhotonImage } from '@silvia-odwyer/photon-node';
import { describe, expect, it } from 'vitest';
import { preparePhotos, shrinkPhoto } from '../../pipeline/photos.ts';
import { openPool } from '../../pipeline/pool.ts';

const folder = await mkdtemp(join(tmpdir(), 'photos-'));

/** The left half red, the right half blue. */
function twoHalves(width: number, height: number): PhotonImage {
  const data = new Uint8Array(width * height * 4);
  for (let i = 0; i < width * height; i++) data.set(i % width < width / 2 ? [220, 0, 0, 255] : [0, 0, 220, 255], 4 * i);
  return new PhotonImage(data, width, height);
}

/** A JPEG as a telephone writes it: an Exif segment (Exif 2.32, 4.5 and 4.6) with orientation 6, and a place in clear text. */
function fromTelephone(width: number, height: number): Buffer {
  const jpeg = Buffer.from(twoHalves(width, height).get_bytes_jpeg(90));
  const entry = [0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0];
  const tiff = Buffer.from([0x4d, 0x4d, 0, 42, 0, 0, 0, 8, 0, 1, ...entry, 0, 0, 0, 0]);
  const body = Buffer.concat([Buffer.from('Exif\0\0'), tiff, Buffer.from('GPSLatitude 51 deg 28 min')]);
  const head = Buffer.from([0xff, 0xe1, (body.length + 2) >> 8, (body.length + 2) & 255]);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
}

async function shrunk(name: string, bytes: Uint8Array): Promise<{ bytes: Buffer; image: PhotonImage }> {
  await writeFile(join(folder, name), bytes);
  const made = Buffer.from(await shrinkPhoto(folder, name), 'base64');
  return { bytes: made, image: PhotonImage.new_from_byteslice(new Uint8Array(made)) };
}

describe('shrinkPhoto(folder, file)', () => {
  it('stands a photo upright and leaves nothing of what the camera wrote beside it', async () => {
    const photo = fromTelephone(400, 200);
    expect(photo.includes('GPSLatitude')).toBe(true);
    const { bytes, image } = await shrunk('phone.jpg', photo);
    expect([image.get_width(), image.get_height()]).toEqual([200, 400]);
    expect(bytes.includes('Exif') || bytes.includes('GPS')).toBe(false);
    const pixels = image.get_raw_pixels();
    const at = (x: number, y: number) => [...pixels.subarray(4 * (y * 200 + x), 4 * (y * 200 + x) + 3)];
    // Orientation 6: what lies left in the file stands on top.
    expect(at(100, 50)[0]).toBeGreaterThan(180);
    expect(at(100, 350)[2]).toBeGreaterThan(180);
  });

  it('makes the longest side 1200 pixels, and never enlarges', async () => {
    const large = await shrunk('large.jpg', twoHalves(2400, 600).get_bytes_jpeg(80));
    expect([large.image.get_width(), large.image.get_height()]).toEqual([1200, 300]);
    const small = await shrunk('small.png', twoHalves(40, 30).get_bytes());
    expect([small.image.get_width(), small.image.get_height()]).toEqual([40, 30]);
  });

  it('lays what is see-through on white', async () => {
    const clear = new PhotonImage(new Uint8Array(16 * 16 * 4), 16, 16);
    const { image } = await shrunk('clear.png', clear.get_bytes());
    expect([...image.get_raw_pixels().subarray(0, 3)]).toEqual([255, 255, 255]);
  });
});

describe('preparePhotos(folder, photos, pool)', () => {
  it('names a photo that is not what its name says, with the mend, and shows the others', async () => {
    await writeFile(join(folder, 'fake.jpg'), Buffer.from('....ftypheic, and no JPEG'));
    await writeFile(join(folder, 'true.jpg'), fromTelephone(40, 20));
    const photos = ['fake.jpg', 'true.jpg'].map((file) => ({ stage: 'bare', file, caption: null, sha256: file }));
    const { pictures, diagnostics } = await preparePhotos(folder, photos, openPool({ jobs: 1 }));
    expect([...pictures.keys()]).toEqual(['true.jpg']);
    expect(diagnostics.map(({ severity, message }) => `${severity}: ${message}`)).toEqual([
      'warning: fake.jpg cannot be read as a JPEG or PNG, so the report does not show it: export it again as JPEG',
    ]);
  });
});
