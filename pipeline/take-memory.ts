/** What a take of some minutes needs is kept for the next one; long recordings must not leave their size behind. */
const KEPT_MOST_BYTES = 2 ** 23;

/**
 * Memory for one take after the other, from its file to the end of its reading. Fresh memory for each has to be got from the system, page
 * by page, and was seen to cost a thirtieth of a first report.
 */
export class TakeMemory {
  #file = new Uint8Array(0);
  #samples = new SharedArrayBuffer(0);

  /** Room for the bytes of a file, whatever it holds now. The next call hands out the same memory again, unless it is very much. */
  file(bytes: number): Uint8Array {
    if (bytes > KEPT_MOST_BYTES) return new Uint8Array(bytes);
    if (this.#file.length < bytes) this.#file = new Uint8Array(withRoomToSpare(bytes));
    return this.#file.subarray(0, bytes);
  }

  /** Copies of arrays of samples, in memory that other threads see too, good until the next call. */
  copies(arrays: readonly Float64Array[]): Float64Array[] {
    const bytes = arrays.reduce((sum, { byteLength }) => sum + byteLength, 0);
    const memory = this.#room(bytes);
    let at = 0;
    return arrays.map((array) => {
      const copy = new Float64Array(memory, at, array.length);
      copy.set(array);
      at += array.byteLength;
      return copy;
    });
  }

  #room(bytes: number): SharedArrayBuffer {
    if (bytes > KEPT_MOST_BYTES) return new SharedArrayBuffer(bytes);
    if (this.#samples.byteLength < bytes) this.#samples = new SharedArrayBuffer(withRoomToSpare(bytes));
    return this.#samples;
  }
}

const withRoomToSpare = (bytes: number) => Math.ceil((1.25 * bytes) / 8) * 8;
