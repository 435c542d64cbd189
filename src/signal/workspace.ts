/** What hands out memory for arrays. */
export interface Room {
  /** Room for `size` values, whatever they hold now. */
  take: (size: number) => Float64Array;
}

/**
 * Memory that is used over and over for arrays of no lasting worth. Getting a megabyte from the system for each band of each
 * response, and giving it back, was seen to cost as much as filtering it.
 */
export class Workspace implements Room {
  #memory = new Float64Array(0);

  /** Room for `size` values, whatever they hold now. The next call hands out the same memory again, unless it is very much. */
  take(size: number): Float64Array {
    if (size > KEPT_MOST) return new Float64Array(size);
    // Used once, it is as large as asked for; used over, it grows with room to spare.
    const spare = this.#memory.length === 0 ? 1 : 1.25;
    if (this.#memory.length < size) this.#memory = new Float64Array(Math.ceil(spare * size));
    return this.#memory.subarray(0, size);
  }
}

/** 8 MB: long recordings must not leave their size behind. */
const KEPT_MOST = 2 ** 20;
