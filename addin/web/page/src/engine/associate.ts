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
  for (const entry of functions) associate(engine, entry);
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

function associate(engine: Engine, entry: FunctionInfo): void {
  CustomFunctions.associate(entry.name.replace("WEAVE.", ""), async (...given: Given[][][]) => {
    // Last come facts about the call, which nothing depends on.
    const [answer, reason] = await engine.ask(entry.name, readArguments(entry, given.slice(0, -1)));
    if (isError(answer)) throw shownError(answer.error, reason);
    return writeAnswer(answer, shownError);
  });
}

/** Makes an error value; one that Excel takes from no function, such as #NAME?, becomes the most general one. */
function shownError(code: string, reason?: string): CustomFunctions.Error {
  const codes = CustomFunctions.ErrorCode;
  const taken = [codes.notAvailable, codes.divisionByZero, codes.invalidNumber, codes.nullReference];
  return new CustomFunctions.Error(taken.includes(code) ? code : codes.invalidValue, reason);
}

/** Reads what Excel hands over: the arguments, then in a list of their own those of one that repeats. */
function readArguments(entry: FunctionInfo, given: Given[][][]): Answer[] {
  const args = given.slice(0, entry.args.length).map(readArgument);
  const rest = entry.repeats ? given[entry.args.length] : null;
  if (Array.isArray(rest)) args.push(...(rest as unknown as Given[][][]).map(readArgument));
  return args;
}
