import { PhotonImage } from '@silvia-odwyer/photon-node';
import { expect, it } from 'vitest';
import { pictureSize } from '../../src/report/picture-size.ts';
import { drawFrom, mutated } from '../hostile/draw.ts';

const IMAGE = new PhotonImage(new Uint8Array(31 * 17 * 4).fill(200), 31, 17);

it('is that of a JPEG and a PNG which another library wrote', () => {
  expect(pictureSize(IMAGE.get_bytes_jpeg(80))).toEqual({ width: 31, height: 17 });
  expect(pictureSize(IMAGE.get_bytes())).toEqual({ width: 31, height: 17 });
});

it('is null for what is neither, and never throws', () => {
  for (const text of ['', 'GIF89a', '\u0089PNG\r\n\u001a\n', '\u00ff\u00d8\u00ff']) {
    expect(pictureSize(Uint8Array.from(Buffer.from(text, 'latin1')))).toBeNull();
  }
  const jpeg = IMAGE.get_bytes_jpeg(80);
  for (let i = 0; i < 2000; i++) expect(() => pictureSize(mutated(drawFrom(`picture ${i}`), jpeg))).not.toThrow();
});
