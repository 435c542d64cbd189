/**
 * What a mark says of itself when it is pointed at or stepped to. Rows of such a layer carry their sentence as `tip`; the drawing
 * keeps it as an attribute of the mark (see finish-svg), and the page shows it.
 */

/** Spread into the mark of a layer whose rows carry `tip`. */
export const TIPPED = { aria: true } as const;

/** Spread into the encoding of the same layer. */
export const TIP_CHANNEL = { description: { field: 'tip', type: 'nominal' } } as const;
