/** What the page does in a workbook, where it stands beside one. */
import { openedInExcel } from "../engine/associate";

/** The part of Excel's interface for scripts that is used here. */
interface Range {
  address: string;
  formulas: unknown[][];
  values: unknown[][];
  format: { columnWidth: number; rowHeight: number };
  getCell(row: number, column: number): Range;
  getResizedRange(rows: number, columns: number): Range;
  load(names: string): void;
  select(): void;
  setCellProperties(properties: { format: { fill: { color: string } } }[][]): void;
}

interface Context {
  workbook: { getSelectedRange(): Range };
  sync(): Promise<void>;
}

declare const Excel: { run<T>(act: (context: Context) => Promise<T>): Promise<T> };

/** Asks whether filled cells may be written over. */
export type MayOverwrite = (address: string, filled: number) => Promise<boolean>;

/** Whether a workbook stands beside the page. */
export function besideWorkbook(): boolean {
  return openedInExcel();
}

/** Width and height of a crossing in a sheet, in points. */
const CROSSING = 9;

/** Put a formula into the selected cell; returns where it went, or nothing where it was not to. */
export async function putFormula(formula: string, mayOverwrite: MayOverwrite): Promise<string> {
  return Excel.run(async (context) => {
    const cell = context.workbook.getSelectedRange().getCell(0, 0);
    if (!(await mayWrite(context, cell, mayOverwrite))) return "";
    cell.formulas = [[formula]];
    await context.sync();
    return cell.address;
  });
}

/** Fill cells with colours, a cell a crossing, the last row of the cloth first; from the selected cell on. */
export async function fillCells(colours: string[][], mayOverwrite: MayOverwrite): Promise<string> {
  return Excel.run(async (context) => {
    const start = context.workbook.getSelectedRange().getCell(0, 0);
    const range = start.getResizedRange(colours.length - 1, (colours[0]?.length ?? 1) - 1);
    if (!(await mayWrite(context, range, mayOverwrite))) return "";
    range.format.columnWidth = CROSSING;
    range.format.rowHeight = CROSSING;
    range.setCellProperties(colours.map((row) => row.map((color) => ({ format: { fill: { color } } }))));
    range.select();
    await context.sync();
    return range.address;
  });
}

async function mayWrite(context: Context, range: Range, mayOverwrite: MayOverwrite): Promise<boolean> {
  range.load("address, formulas");
  await context.sync();
  const filled = range.formulas.flat().filter((cell) => cell !== "").length;
  return filled === 0 || mayOverwrite(range.address, filled);
}
