/**
 * Cells as Excel hands them to a custom function, and results as it takes them. What cells mean is not decided
 * here: the adapter in Python does that.
 */
import type { Answer, Cell } from "./messages";

/** An error value as Excel hands it over: Microsoft's CustomFunctions.Error, or the error of its data types. */
interface GivenError {
  code?: string;
  basicValue?: string;
}

/** What Excel hands over for a cell. */
export type Given = null | undefined | boolean | number | string | GivenError;

/** Reads an argument: nothing where it was left out, or rows of cells. One cell stands for itself. */
export function readArgument(given: Given | Given[][]): Answer {
  if (!Array.isArray(given)) return readCell(given);
  const first = given[0];
  if (given.length === 1 && first?.length === 1) return readCell(first[0]);
  return given.map((row) => row.map(readCell));
}

function readCell(given: Given): Cell {
  if (given === null || given === undefined) return null;
  if (typeof given !== "object") return given;
  return { error: given.code ?? given.basicValue ?? "#VALUE!" };
}

/** Writes what cells shall show, always as rows; an error value as Excel takes it. */
export function writeAnswer<Made>(answer: Answer, error: (code: string) => Made): (Made | Cell)[][] {
  const rows = Array.isArray(answer) ? answer : [[answer]];
  return rows.map((row) =>
    row.map((cell) => (typeof cell === "object" && cell !== null ? error(cell.error) : cell)),
  );
}
