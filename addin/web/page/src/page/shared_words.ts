/** Lists that the library holds for all its hosts: weaves to start from, and the tones of a drawing. */

export interface SharedWords {
  /** A weave, and what it is. */
  weaves: [string, string][];
  /** The tones that the letters of a colour key stand for, A first. */
  tones: string[];
}

/** Read what the build wrote beside the page. */
export async function readWords(): Promise<SharedWords> {
  const response = await fetch(new URL("words.json", document.baseURI));
  if (!response.ok) throw new Error(`words.json could not be read (${response.status})`);
  return (await response.json()) as SharedWords;
}
