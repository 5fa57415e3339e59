/** Finding functions by what they do. */
import type { FunctionInfo } from "../engine/engine";

/** How much a word counts where it is found: in the name, the first line, the heading, an argument. */
const WEIGHTS = [8, 4, 2, 1];

function places(info: FunctionInfo): string[] {
  const named = info.args.map((argument) => `${argument.words} ${argument.help} ${argument.choices.join(" ")}`);
  return [
    `${info.name} ${info.python.replace(/_/g, " ")}`,
    info.summary,
    `${info.group} ${info.returns}`,
    named.join(" "),
  ].map((text) => text.toLowerCase());
}

function score(word: string, texts: string[]): number {
  const found = texts.findIndex((text) => text.includes(word));
  const starts = texts.findIndex((text) => new RegExp(`(^|[^a-z0-9])${escaped(word)}`).test(text));
  return starts >= 0 ? 2 * (WEIGHTS[starts] ?? 0) : found >= 0 ? (WEIGHTS[found] ?? 0) : 0;
}

function escaped(word: string): string {
  return word.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&");
}

/** Functions that have every word asked for, best first; all in their own order where nothing is asked. */
export function search(functions: FunctionInfo[], asked: string): FunctionInfo[] {
  const words = asked.toLowerCase().split(/\s+/).filter(Boolean);
  if (!words.length) return functions;
  const scored = functions.map((info, at) => {
    const texts = places(info);
    const scores = words.map((word) => score(word, texts));
    return { info, at, all: scores.every((value) => value > 0), sum: scores.reduce((a, b) => a + b, 0) };
  });
  return scored
    .filter((entry) => entry.all)
    .sort((a, b) => b.sum - a.sum || a.at - b.at)
    .map((entry) => entry.info);
}
