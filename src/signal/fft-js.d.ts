/** The part of fft.js 4 that is used. Complex arrays hold real and imaginary parts in turn. */
declare module 'fft.js' {
  // biome-ignore lint/style/noDefaultExport: this is what the package exports
  export default class FFT {
    constructor(size: number);
    realTransform(out: Float64Array, data: Float64Array): void;
    completeSpectrum(spectrum: Float64Array): void;
    /** Of complex samples, real and imaginary parts in turn. */
    transform(out: Float64Array, input: Float64Array): void;
    inverseTransform(out: Float64Array, data: Float64Array): void;
  }
}
