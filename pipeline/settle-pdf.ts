/**
 * Takes out of a PDF what differs from print to print or names the browser: both dates become noon UTC of the given day, the
 * Creator and Producer entries name the tool, or nothing where there is no room. Every entry keeps its length, so that the file's table of byte
 * offsets stays true.
 *
 * @param date YYYY-MM-DD
 */
export function settlePdf(pdf: Uint8Array, date: string): Uint8Array {
  const text = Buffer.from(pdf).toString('latin1');
  const stamp = `D:${date.replaceAll('-', '')}120000+00'00'`;
  const settled = text
    .replace(/\/(CreationDate|ModDate) \((D:[^)]*)\)/g, (_entry, key, old) => `/${key} (${padded(stamp, old.length)})`)
    .replace(
      /\/(Creator|Producer) \(((?:\\.|[^\\)])*)\)/g,
      (_entry, key, old) => `/${key} (${padded('Decaybook', old.length)})`,
    );
  return new Uint8Array(Buffer.from(settled, 'latin1'));
}

function padded(text: string, length: number): string {
  return text.length <= length ? text.padEnd(length, ' ') : ' '.repeat(length);
}
