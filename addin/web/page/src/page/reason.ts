/** Which field a reason is about: the library's sentences begin with the argument they name. */

export interface Reason {
  /** Place among the names given, or -1 where the sentence names none of them. */
  place: number;
  sentence: string;
}

/** Read a reason such as "ENDS: sett must be above 0; got 0" against the names of arguments. */
export function readReason(reason: string, names: string[]): Reason {
  const said = reason.replace(/^[A-Z]+: /, "");
  let place = -1;
  names.forEach((name, at) => {
    const named = said.startsWith(`${name} `) || said.startsWith(`the cell given as ${name} `);
    if (named && (place < 0 || name.length > (names[place] ?? "").length)) place = at;
  });
  return { place, sentence: said.charAt(0).toUpperCase() + said.slice(1) };
}
