/** The part about the functions: finding one, filling its arguments, seeing its answer. */
import { isError, type Answer, type Engine, type FunctionInfo } from "../engine/engine";
import { showAnswer, sizeOf } from "./answer";
import { ask } from "./asking";
import { byId, make, say, showProblem, whenQuiet } from "./dom";
import { besideWorkbook, putFormula } from "./excel";
import { argumentsOf, formulaOf } from "./formula";
import { capital, fieldFor, type ArgumentField } from "./fields";
import type { Memory } from "./memory";
import { readReason } from "./reason";
import { search } from "./search";
import { counted } from "./words";

export interface FunctionsPart {
  /** Show the form of a function by the end of its name, such as ENDS; an empty text shows the list. */
  choose(name: string): void;
}

export function showFunctions(engine: Engine, memory: Memory): FunctionsPart {
  const asked = byId<HTMLInputElement>("asked");
  let known: FunctionInfo[] = [];
  let chosen = "";
  const list = (): void => {
    memory.keep("asked", { words: asked.value });
    showList(search(known, asked.value), asked.value !== "");
    markChosen(chosen);
  };
  const open = (): void => {
    document.body.classList.toggle("chosen", chosen !== "");
    markChosen(chosen);
    const info = known.find((entry) => entry.name === `WEAVE.${chosen}`);
    if (info) showForm(engine, memory, info);
    else if (chosen && known.length) byId("call").replaceChildren(make("p", {}, `No function is called ${chosen}.`));
  };
  asked.value = memory.get("asked", { words: "" }).words;
  asked.addEventListener("input", whenQuiet(120, list));
  engine.functions.then(
    (functions) => {
      // The one that takes any arguments, WEAVE.WHY, has no form: every form shows what it says.
      known = functions.filter((info) => !info.repeats);
      list();
      open();
    },
    (problem: Error) => say(byId("found"), `The list of functions could not be loaded: ${problem.message}`),
  );
  return {
    choose(name) {
      if (name === chosen && name !== "") return;
      chosen = name;
      open();
      if (name) byId("call").querySelector<HTMLElement>("h3")?.focus({ preventScroll: true });
      window.scrollTo(0, 0);
    },
  };
}

function ending(info: FunctionInfo): string {
  return info.name.replace(/^WEAVE\./, "");
}

function entry(info: FunctionInfo): HTMLLIElement {
  const link = make("a", { href: `#functions/${ending(info)}` }, make("span", { class: "name" }, ending(info)), " ", info.summary);
  return make("li", {}, link);
}

/** Write the list: under its headings, or best first where something is asked. */
function showList(functions: FunctionInfo[], ranked: boolean): void {
  const list = byId("catalogue-list");
  say(byId("found"), functions.length ? `${counted(functions.length, "function")}.` : "No function has all these words. Try fewer.");
  if (ranked) return list.replaceChildren(make("ul", {}, ...functions.map(entry)));
  const groups = [...new Set(functions.map((info) => info.group))];
  list.replaceChildren(
    ...groups.flatMap((group) => [
      make("h3", {}, group),
      make("ul", {}, ...functions.filter((info) => info.group === group).map(entry)),
    ]),
  );
}

function markChosen(name: string): void {
  for (const link of byId("catalogue-list").querySelectorAll("a")) {
    if (name && link.hash === `#functions/${name}`) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
}

function showForm(engine: Engine, memory: Memory, info: FunctionInfo): void {
  const fields = info.args.map(fieldFor);
  const kept = memory.get<Record<string, string>>(info.name, {});
  for (const field of fields) field.value = kept[field.argument.name] ?? "";

  const answer = make("div", { class: "answer", role: "status", "aria-label": "Answer" });
  const size = make("p", { class: "hint", role: "status" });
  const formula = make("code", { id: "formula", tabindex: "0" });
  const copy = make("button", { type: "button", id: "copy" }, "Copy the formula");
  const put = make("button", { type: "button", id: "put" }, "Put it into the selected cell");
  const done = make("p", { id: "done", role: "status", class: "hint" });
  const example = make("button", { type: "button", id: "example", class: "quiet" }, "Fill in an example");
  const clear = make("button", { type: "button", id: "clear", class: "quiet" }, "Clear");
  const form = make("form", { id: "arguments", autocomplete: "off", novalidate: true }, ...fields.map((field) => field.element));
  const heading = make("h3", { tabindex: "-1" }, info.name);
  put.hidden = !besideWorkbook();

  byId("call").replaceChildren(
    make("p", { class: "all" }, make("a", { href: "#functions" }, "All functions")),
    heading,
    make("p", { class: "summary" }, info.summary),
    make("div", { class: "actions" }, example, clear),
    form,
    make("section", { class: "result", "aria-labelledby": "answer-heading" }, make("h4", { id: "answer-heading" }, "Answer"), answer, size),
    make("p", { class: "hint" }, capital(info.returns)),
    make("section", { class: "formula", "aria-labelledby": "formula-heading" }, make("h4", { id: "formula-heading" }, "In a cell"), formula, make("div", { class: "actions" }, copy, put), done),
  );

  let turn = 0;
  async function work(): Promise<void> {
    const mine = ++turn;
    const values = fields.map((field) => field.given);
    memory.keep(info.name, Object.fromEntries(fields.map((field) => [field.argument.name, field.value])));
    say(formula, formulaOf(info.name, values));
    say(done, "");
    const [result, reason] = await engine
      .ask(info.name, values)
      .catch((problem: Error): [Answer, string] => [{ error: "" }, problem.message]);
    if (mine !== turn) return;
    show(fields, answer, result, reason);
    say(size, sizeOf(result));
  }

  const fill = (texts: string[]): void => {
    fields.forEach((field, at) => (field.value = texts[at] ?? ""));
    void work();
  };
  form.addEventListener("input", whenQuiet(150, () => void work()));
  form.addEventListener("submit", (event) => event.preventDefault());
  example.addEventListener("click", () => {
    const values = argumentsOf(info.example);
    fill(fields.map((field, at) => field.write(values[at] ?? null)));
  });
  clear.addEventListener("click", () => fill([]));
  copy.addEventListener("click", () => void copyText(formula).then((told) => say(done, told)));
  put.addEventListener("click", () => {
    putFormula(formula.textContent ?? "", ask).then(
      (address) => say(done, address ? `Put into ${address}.` : "Nothing was changed."),
      (problem: Error) => say(done, `Excel did not take it: ${problem.message}`),
    );
  });
  void work();
}

/** Show an answer, or what is wrong, beside the field that is meant. */
function show(fields: ArgumentField[], answer: HTMLElement, result: Answer, reason: string): void {
  const { place, sentence } = readReason(reason, fields.map((field) => field.argument.words));
  const missing = fields.filter((field) => field.argument.required && field.given === null);
  const named = fields[place];
  const wrong = isError(result);
  for (const field of fields) {
    const meant = wrong && field === named && !missing.includes(field);
    showProblem(field.control, field.problem, meant ? sentence : "");
  }
  answer.classList.toggle("wrong", wrong && !missing.length);
  if (!wrong) return showAnswer(answer, result);
  if (missing.length && (!named || missing.includes(named))) {
    const names = missing.map((field) => field.argument.words).join(", ");
    return answer.replaceChildren(make("p", { class: "hint" }, `Still to fill in: ${names}.`));
  }
  const told = named ? `The reason stands beside ${named.argument.words}.` : sentence;
  answer.replaceChildren(make("p", {}, make("span", { class: "code" }, result.error), ` ${told}`));
}

async function copyText(from: HTMLElement): Promise<string> {
  try {
    await navigator.clipboard.writeText(from.textContent ?? "");
    return "Copied.";
  } catch {
    // Where the clipboard is refused the formula is selected, ready to be copied by hand.
    const selection = window.getSelection();
    selection?.selectAllChildren(from);
    return "The browser does not let the page copy. The formula is selected: copy it by hand.";
  }
}

