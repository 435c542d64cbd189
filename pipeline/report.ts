/** Placeholder until the steps are joined: replaced by the flow. */
export async function report(_folders: string[], _options: { json: boolean; pdf: boolean }): Promise<number> {
  throw new Error('the report flow is not joined yet');
}
