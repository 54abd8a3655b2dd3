// A text that is judged as it is typed: its mistakes line by line, and its fields as they stand in it.

import { button, el, tell } from "./parts.js";

/** The mistakes of a text: `{node, show(faults)}`; a click on a line leads to it. */
export function mistakes(text, id) {
  const list = el("ul", { class: "faults", id });
  return {
    node: el("div", {}, list),
    show(faults) {
      if (faults.length) text.setAttribute("aria-invalid", "true");
      else text.removeAttribute("aria-invalid");
      list.replaceChildren(...faults.map((fault) => el("li", {},
        fault.line ? button(`Line ${fault.line}`, () => toLine(text, fault.line), { class: "plain" }) : null,
        ` ${fault.words}`)));
    },
  };
}

/** The number of the line that gives a field its value, from 1; 0 where none does. */
export function lineNumber(text, key) {
  const found = text.match(lineOf(key));
  return found ? text.slice(0, found.index).split("\n").length : 0;
}

/** Tells at each input what is wrong with the line that it writes: `inputs` are `{input, fault, line}`. */
export function tellLines(inputs, faults) {
  for (const { input, fault, line } of inputs) {
    const words = faults.filter((one) => one.line && one.line === line).map((one) => one.words).join(" ");
    tell(fault, words);
    if (words) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  }
}

function toLine(text, line) {
  const lines = text.value.split("\n");
  const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  text.focus();
  text.setSelectionRange(start, start + (lines[line - 1] ?? "").length);
}

/** The line of a field: the first one of that name. What stands before its value, the value, and a
 *  comment behind it. */
export const lineOf = (key) => new RegExp(`^(${key} *= *)("(?:[^"\\\\]|\\\\.)*"|[^#\\n"]*(?:"[^"\\n]*"[^#\\n"]*)*?)( *#.*)?$`, "m");
