/** Gives Excel the functions for its cells. */
import { readArgument, writeAnswer, type Given } from "./cells";
import { isError, type Engine, type FunctionInfo } from "./engine";
import type { Answer } from "./messages";

/** Tells whether the page was opened by the manifest's address. */
export function openedInExcel(): boolean {
  return new URLSearchParams(location.search).get("in") === "excel";
}

/** Loads Microsoft's script, which lies beside the page, and gives Excel every function. */
export async function connectExcel(engine: Engine): Promise<void> {
  // The list comes first: Excel asks for the functions as soon as its script has run.
  const functions = await engine.functions;
  await loadScript(new URL("office/office.js", document.baseURI).href);
  const known = new Set<string>(Object.values(CustomFunctions.ErrorCode));
  for (const entry of functions) associate(engine, entry, known);
  await Office.onReady();
}

function loadScript(address: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = address;
    script.addEventListener("load", () => resolve());
    script.addEventListener("error", () => reject(new Error(`${address} could not be loaded`)));
    document.head.append(script);
  });
}

function associate(engine: Engine, entry: FunctionInfo, known: Set<string>): void {
  // An error that a function cannot return is shown as the most general one.
  const shown = (code: string, reason?: string): CustomFunctions.Error =>
    new CustomFunctions.Error(known.has(code) ? code : CustomFunctions.ErrorCode.invalidValue, reason);

  CustomFunctions.associate(entry.name.replace("WEAVE.", ""), async (...given: Given[][][]) => {
    const [answer, reason] = await engine.ask(entry.name, readArguments(entry, given));
    if (isError(answer)) throw shown(answer.error, reason);
    return writeAnswer(answer, shown);
  });
}

/** Reads what Excel hands over: the arguments, then those of an argument that repeats, then facts of the call. */
function readArguments(entry: FunctionInfo, given: Given[][][]): Answer[] {
  const args = given.slice(0, entry.args.length).map(readArgument);
  const rest = entry.repeats ? given[entry.args.length] : null;
  if (Array.isArray(rest)) args.push(...(rest as unknown as Given[][][]).map(readArgument));
  return args;
}
