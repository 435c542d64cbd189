/** Decoded audio, before a channel is chosen. Full scale is 1. */
export interface Sound {
  rate_hz: number;
  /** One array a channel, all of one length. */
  channels: Float64Array[];
  bits: number;
  sample_format: 'pcm' | 'float';
  /** Name of the container or coding as the trade writes it, such as WAV. */
  coding: string;
  lossy: boolean;
}
