/** Seeded random numbers for benches: uniform by the sfc32 generator (C. Doty-Humphrey, PractRand), normal by Box and Muller. */
export class SeededRandom {
  #a: number;
  #b: number;
  #c: number;
  #counter = 1;
  #spare: number | null = null;

  constructor(seed: number) {
    this.#a = seed | 0;
    this.#b = Math.imul(seed, 0x9e3779b9) | 0;
    this.#c = 0x2545f491;
    for (let i = 0; i < 15; i++) this.uniform();
  }

  /** From 0 up to 1. */
  uniform(): number {
    const sum = (this.#a + this.#b + this.#counter++) | 0;
    this.#a = this.#b ^ (this.#b >>> 9);
    this.#b = (this.#c + (this.#c << 3)) | 0;
    this.#c = (((this.#c << 21) | (this.#c >>> 11)) + sum) | 0;
    return (sum >>> 0) / 2 ** 32;
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.uniform();
  }

  /** Mean 0, standard deviation 1. */
  normal(): number {
    if (this.#spare !== null) {
      const spare = this.#spare;
      this.#spare = null;
      return spare;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - this.uniform()));
    const angle = 2 * Math.PI * this.uniform();
    this.#spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  }
}
