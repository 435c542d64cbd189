/** What a take of some minutes needs is kept for the next one; long recordings must not leave their size behind. */
const KEPT_MOST_BYTES = 2 ** 23;

/** Memory of one kind that is handed out over and over: it grows with room to spare. */
class Reused<Memory extends ArrayBufferLike> {
  readonly #make: (bytes: number) => Memory;
  #memory: Memory;

  constructor(make: (bytes: number) => Memory) {
    this.#make = make;
    this.#memory = make(0);
  }

  /** At least so many bytes, whatever they hold now; of their own where it is very much. */
  take(bytes: number): Memory {
    if (bytes > KEPT_MOST_BYTES) return this.#make(bytes);
    if (this.#memory.byteLength < bytes) this.#memory = this.#make(Math.ceil(1.25 * bytes));
    return this.#memory;
  }
}

/**
 * Memory for one take after the other, from its file to the end of its reading. Fresh memory for each has to be got from the system, page
 * by page, and was seen to cost a thirtieth of a first report.
 */
export class TakeMemory {
  readonly #file = new Reused((bytes) => new ArrayBuffer(bytes));
  readonly #samples = new Reused((bytes) => new SharedArrayBuffer(bytes));

  /** Room for the bytes of a file. The next call hands out the same memory again, unless it is very much. */
  file(bytes: number): Uint8Array {
    return new Uint8Array(this.#file.take(bytes), 0, bytes);
  }

  /** Copies of arrays of samples, in memory that other threads see too, good until the next call. */
  copies(arrays: readonly Float64Array[]): Float64Array[] {
    const memory = this.#samples.take(arrays.reduce((sum, { byteLength }) => sum + byteLength, 0));
    let at = 0;
    return arrays.map((array) => {
      const copy = new Float64Array(memory, at, array.length);
      copy.set(array);
      at += array.byteLength;
      return copy;
    });
  }
}
