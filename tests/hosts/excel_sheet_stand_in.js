/*
 * Stands in for the workbook that Excel holds beside the page, at the documented surface of its interface for
 * scripts: what is loaded or set is there after the next sync, not before. Not a test.
 *
 * Documentation: "Excel.Workbook.getSelectedRange", "Excel.Range", "Excel.SettableCellProperties".
 */
(() => {
  const sheet = { formulas: new Map(), colours: new Map(), sizes: {}, selected: [0, 0, 1, 1] };
  const letters = (column) => String.fromCharCode("A".charCodeAt(0) + column);
  const name = (row, column) => `${letters(column)}${row + 1}`;

  class Range {
    constructor(pending, row, column, rows, columns) {
      Object.assign(this, { pending, row, column, rows, columns });
      const range = this;
      this.format = {
        set columnWidth(points) {
          pending.push(() => (sheet.sizes.width = [range.where(), points]));
        },
        set rowHeight(points) {
          pending.push(() => (sheet.sizes.height = [range.where(), points]));
        },
      };
    }
    where() {
      const first = name(this.row, this.column);
      const last = name(this.row + this.rows - 1, this.column + this.columns - 1);
      return first === last ? first : `${first}:${last}`;
    }
    cells() {
      return Array.from({ length: this.rows }, (_, row) =>
        Array.from({ length: this.columns }, (_, column) => name(this.row + row, this.column + column)),
      );
    }
    getCell(row, column) {
      return new Range(this.pending, this.row + row, this.column + column, 1, 1);
    }
    getResizedRange(rows, columns) {
      return new Range(this.pending, this.row, this.column, this.rows + rows, this.columns + columns);
    }
    load(names) {
      this.pending.push(() => (this.loaded = names.split(/, */)));
    }
    read(what, value) {
      if (!this.loaded?.includes(what)) throw new Error(`PropertyNotLoaded: ${what}`);
      return value();
    }
    get address() {
      return this.read("address", () => `Sheet1!${this.where()}`);
    }
    get formulas() {
      return this.read("formulas", () => this.cells().map((row) => row.map((cell) => sheet.formulas.get(cell) ?? "")));
    }
    set formulas(rows) {
      this.each(rows, (cell, value) => sheet.formulas.set(cell, value));
    }
    setCellProperties(rows) {
      this.each(rows, (cell, { format }) => sheet.colours.set(cell, format.fill.color));
    }
    each(rows, act) {
      if (rows.length !== this.rows || rows.some((row) => row.length !== this.columns)) {
        throw new Error("InvalidArgument: the rows do not fit the range");
      }
      this.pending.push(() => this.cells().forEach((row, at) => row.forEach((cell, on) => act(cell, rows[at][on]))));
    }
    select() {
      this.pending.push(() => (sheet.selected = [this.row, this.column, this.rows, this.columns]));
    }
  }

  window.Excel = {
    async run(act) {
      const pending = [];
      const context = {
        workbook: { getSelectedRange: () => new Range(pending, ...sheet.selected) },
        sync: async () => pending.splice(0).forEach((step) => step()),
      };
      const result = await act(context);
      await context.sync();
      return result;
    },
  };
  window.workbook = {
    select: (...range) => (sheet.selected = range),
    clear: () => (sheet.formulas.clear(), sheet.colours.clear()),
    put: (cell, value) => sheet.formulas.set(cell, value),
    formulas: () => Object.fromEntries(sheet.formulas),
    colours: () => Object.fromEntries(sheet.colours),
    sizes: () => sheet.sizes,
  };
})();
