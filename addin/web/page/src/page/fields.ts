/** A field of the form for one argument: its label, its hint, its control, its problem. */
import type { ArgumentInfo } from "../engine/engine";
import { make } from "./dom";
import { read, written, type Given } from "./typed";

type Control = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

const NUMBER_KINDS = ["number", "whole", "fraction"];

/** What may be typed, by kind. */
const HOW: Record<string, string> = {
  fraction: "10 % is 0.10",
  yarn: "a yarn with its system, such as 8/2 Ne",
  "yarn text": "a yarn with its system, such as 8/2 Ne",
  weave: "such as 2/2 twill, or rows of 1 and 0, one line for each; the bottom line is pick 1",
  reversals: "such as 9,9",
  "sley order": "such as 1-1-2",
  "colour order": "such as 8 white, 4 navy",
  grid: "here one line for each row, the first row at the bottom",
};

export class ArgumentField {
  readonly element: HTMLDivElement;
  readonly problem: HTMLParagraphElement;

  constructor(
    readonly argument: ArgumentInfo,
    readonly control: Control,
  ) {
    const id = `argument-${argument.name}`;
    control.id = id;
    control.setAttribute("aria-describedby", `${id}-hint ${id}-problem`);
    if (argument.required) control.setAttribute("aria-required", "true");
    this.problem = make("p", { class: "problem", id: `${id}-problem`, hidden: true });
    this.element = make(
      "div",
      { class: argument.list || argument.grid ? "field wide" : "field" },
      make("label", { for: id }, capital(argument.words), ...unitOf(argument)),
      control,
      make("p", { class: "hint", id: `${id}-hint` }, hintOf(argument)),
      this.problem,
    );
  }

  get value(): string {
    return this.control.value;
  }

  set value(text: string) {
    this.control.value = text;
  }

  /** What the cell of this argument would hold. */
  get given(): Given {
    return read(this.argument, this.value);
  }

  /** A value as it would be typed here. */
  write(value: Given): string {
    return written(this.argument, value);
  }
}

export function fieldFor(argument: ArgumentInfo): ArgumentField {
  return new ArgumentField(argument, controlFor(argument));
}

function controlFor(argument: ArgumentInfo): Control {
  if (argument.list || argument.grid) return make("textarea", { rows: "4", spellcheck: "false" });
  if (argument.kind === "weave") return make("textarea", { rows: "1", spellcheck: "false" });
  const choices = argument.kind === "logical" ? ["true", "false"] : argument.choices;
  if (!choices.length) {
    const mode = NUMBER_KINDS.includes(argument.kind) ? "decimal" : "text";
    return make("input", { inputmode: mode, spellcheck: "false", autocapitalize: "off" });
  }
  const none = argument.required ? "Choose" : `Not given (${shownDefault(argument)})`;
  return make(
    "select",
    {},
    make("option", { value: "" }, none),
    ...choices.map((choice) => make("option", { value: choice }, choice)),
  );
}

function unitOf(argument: ArgumentInfo): HTMLElement[] {
  return argument.unit ? [make("span", { class: "unit" }, ` in ${argument.unit}`)] : [];
}

function shownDefault(argument: ArgumentInfo): string {
  return argument.kind === "logical" ? argument.default.toLowerCase() : argument.default || "blank";
}

function hintOf(argument: ArgumentInfo): string {
  const how = argument.list ? "one on each line" : HOW[argument.kind];
  const ends = argument.help.replace(/\.$/, "");
  const parts = [how && !argument.help.includes(how.replace("such as ", "")) ? `${ends}: ${how}.` : argument.help];
  if (!argument.required && argument.default !== "") parts.push(`Left empty: ${shownDefault(argument)}.`);
  else if (!argument.required) parts.push("May be left empty.");
  return parts.join(" ");
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
