/**
 * Returns, for each recording whose bytes are those of an earlier one in the list, that earlier recording:
 * file to file. Recordings without a fingerprint (those that could not be read) are left out.
 */
export function duplicateTakes(takes: readonly { file: string; sha256: string | null }[]): Map<string, string> {
  const first = new Map<string, string>();
  const duplicates = new Map<string, string>();
  for (const { file, sha256 } of takes) {
    if (sha256 === null) continue;
    const earlier = first.get(sha256);
    if (earlier === undefined) first.set(sha256, file);
    else duplicates.set(file, earlier);
  }
  return duplicates;
}
