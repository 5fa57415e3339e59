import { expect, test } from "vitest";
import { readArgument, writeAnswer } from "./cells";

test("what is left out is nothing, and one cell stands for itself", () => {
  expect(readArgument(null)).toBeNull();
  expect(readArgument(undefined)).toBeNull();
  expect(readArgument([[15]])).toBe(15);
  expect(readArgument([[null]])).toBeNull();
});

test("a range stays rows of cells, blank ones and errors among them", () => {
  expect(readArgument([[1, null], [{ code: "#N/A" }, { basicValue: "#DIV/0!" }]])).toEqual([
    [1, null],
    [{ error: "#N/A" }, { error: "#DIV/0!" }],
  ]);
});

test("an answer is written as rows, with each error in its own cell", () => {
  const error = (code: string) => `error ${code}`;
  expect(writeAnswer(360, error)).toEqual([[360]]);
  expect(writeAnswer([[1], [{ error: "#VALUE!" }]], error)).toEqual([[1], ["error #VALUE!"]]);
});
