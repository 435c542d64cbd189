/**
 * The id of a stage inside a sentence. Sentences hold ids, since those do not change with a title; in quotation marks they can be told from
 * words, and a report sets the title in their place.
 */
export function quotedId(id: string): string {
  return `"${id}"`;
}
