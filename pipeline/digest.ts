import { createHash } from 'node:crypto';

/** SHA-256 of some bytes, or of text as UTF-8, in hexadecimal. */
export function digest(content: string | Uint8Array): string {
  return createHash('sha256').update(content).digest('hex');
}
