import type { Room } from '../src/signal/workspace.ts';

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

  /** Room for so many values in all, handed out piece by piece, in memory that other threads see too; good until the next call. */
  room(values: number): Room {
    const memory = this.#samples.take(values * Float64Array.BYTES_PER_ELEMENT);
    let at = 0;
    return {
      take: (size) => {
        const piece = new Float64Array(memory, at, size);
        at += piece.byteLength;
        return piece;
      },
    };
  }
}
