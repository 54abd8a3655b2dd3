// A drill of one's own: its text, the fields of its first passage, the judge's words, and its pages.

import { Faults, make } from "./engine.js";
import { button, el, latest, save, say, tell } from "./parts.js";
import { change, now, told } from "./history.js";
import { lineOf, mistakes } from "./judge.js";
import { paper } from "./paper.js";

/** The fields of the first passage, and those of the whole drill: name, label, what stands there. */
const FIELDS = [
  ["name", "Short name", "one word, small letters"],
  ["title", "Title", "as the sheet has it"],
  ["about", "What it is for", "a sentence"],
  ["degrees", "Chords", "ii7 V7 Imaj7, with blanks between them"],
  ["beats", "Beats a chord", "4, or 2 2 4"],
  ["figure", "Figure of the right hand", "1 3 5 7"],
  ["note", "Its notes", "eighth, quarter"],
  ["voicing", "Voicing of the left hand", "1+3+5+7"],
  ["comping", "Comping", "when the left hand strikes"],
];

/** The view: `{update(state)}`. */
export function ownView(known, failed) {
  const form = document.getElementById("own");
  form.addEventListener("submit", (event) => event.preventDefault());
  const text = el("textarea", { id: "own-text", rows: "18", spellcheck: "false", wrap: "off",
    "aria-describedby": "own-faults",
    oninput: () => change("own", (state) => { state.own.text = text.value; }) });
  const take = button("Begin with it", async () => {
      if (!from.value) return;
      try {
        const made = await make("drill/library", { name: from.value });
        const mine = made.text.replace(/^name *= *"(.*)"/m, (_, name) => `name = "my-${name}"`);
        change("own from", (state) => { state.own.text = mine; });
      } catch (error) {
        failed(error);
      }
    }, { id: "own-take" });
  const from = el("select", { id: "own-from" },
    el("option", { value: "" }, "choose one"),
    known.drills.map((drill) => el("option", { value: drill.name }, drill.title)));
  const inputs = FIELDS.map(([key, label, help]) => {
    const input = el("input", { id: `own-${key}`, autocomplete: "off", "aria-describedby": `own-help-${key}`,
      oninput: () => change(`own ${key}`, (state) => { state.own.text = written(state.own.text, key, input.value); }) });
    const node = el("div", { class: "field" },
      el("label", { for: input.id }, label), input,
      el("p", { class: "help", id: `own-help-${key}` }, help));
    return { key, input, node };
  });
  const faults = mistakes(text, "own-faults");
  const said = el("p", { class: "about" });
  const use = button("Use it on the sheet", () => {
    if (!judged?.name) return;
    change("use", (state) => {
      state.view = "sheet";
      state.course = false;
      delete state.choices.course;
      state.choices.drill = judged.name;
      state.choices.template = state.own.text;
      state.page = 0;
    });
  }, { class: "main", id: "use-own" });
  const keep = button("Save the drill", () => {
    save(new Blob([now().own.text], { type: "text/plain" }), `${judged?.name ?? "drill"}.toml`);
  }, { id: "save-own" });
  // Of no text there is nothing to fill in.
  const fields = el("fieldset", {}, el("legend", {}, "The drill and its first passage"), el("div", { class: "grid" }, inputs.map((one) => one.node)));
  form.append(
    el("div", { class: "field" }, el("label", { for: "own-from" }, "Begin with one of the library"), el("div", { class: "row one" }, from, take)),
    fields,
    el("div", { class: "field" }, el("label", { for: "own-text" }, "The whole text"), text),
    faults.node, said, el("div", { class: "row" }, use, keep));

  const papers = ["In C", "In the hardest key"].map((name) => ({ head: el("h2", {}, name), desk: paper(() => {}, [], name) }));
  document.getElementById("own-paper").append(...papers.flatMap(({ head, desk }) => [head, desk.node]));
  const clear = () => papers.forEach(({ desk }) => desk.clear());

  let judged = null;
  const ask = latest((wanted) => make("drill", wanted), show, (error) => {
    if (error instanceof Faults) show({ faults: error.faults });
    else failed(error);
  });

  function show(made) {
    judged = made;
    faults.show(made.faults);
    tell(said, (made.said ?? []).join(" "));
    const [first] = made.faults;
    say(first ? `${first.line ? `Line ${first.line}: ` : ""}${first.words}` : `${told()} ${(made.said ?? []).join(" ")}`);
    use.disabled = !made.name;
    if (made.pages) {
      papers.forEach(({ head, desk }, index) => {
        tell(head, index === 0 ? `In ${made.keys[0]}` : `In the hardest key, ${made.keys[1]}`);
        desk.show({ ...made.pages[index], pages: 1 });
      });
    } else {
      papers.forEach(({ desk }) => desk.figure.classList.add("stale"));
    }
    document.documentElement.dataset.judged = String(Number(document.documentElement.dataset.judged ?? 0) + 1);
  }

  return {
    update(state) {
      if (document.activeElement !== text || text.value !== state.own.text) {
        if (text.value !== state.own.text) text.value = state.own.text;
      }
      fields.hidden = !state.own.text.trim();
      for (const { key, input } of inputs) {
        const words = read(state.own.text, key);
        input.disabled = words === null;
        if (document.activeElement !== input) input.value = words ?? "see the whole text";
      }
      if (state.own.text.trim()) {
        ask({ text: state.own.text });
      } else {
        judged = null;
        use.disabled = true;
        faults.show([]);
        tell(said, "Begin with a drill of the library, and change it.");
        clear();
      }
    },
  };
}

/** Fields whose items stand with blanks between them; those of others are told apart by a stroke. */
const BLANKS = ["degrees", "beats"];

/** What a text gives a field, as it is typed: lists without their signs. Nothing where it is written
 *  over several lines, which no line to type in can show. */
function read(text, key) {
  const found = text.match(lineOf(key))?.[2].trim();
  // A passage says its chords in one of two ways.
  if (!found) return key === "degrees" && !text.match(/^degrees *=/m) ? read(text, "progression") : "";
  try {
    const value = JSON.parse(found);
    return Array.isArray(value) ? value.join(BLANKS.includes(key) ? " " : " | ") : String(value);
  } catch {
    return found.startsWith("[") ? null : found;
  }
}

/** A text with a field given what was typed. */
function written(text, key, words) {
  const items = words.split(BLANKS.includes(key) ? /[\s,]+/ : /\s*\|\s*/).filter((one) => one !== "");
  const one = (word) => (BLANKS.includes(key) && /^[0-9]+(\.[0-9]+)?$/.test(word) ? word : JSON.stringify(word));
  const isList = key === "degrees" || (items.length > 1 && ["beats", "figure", "voicing"].includes(key));
  let value = JSON.stringify(words);
  if (isList) value = `[${items.map(one).join(", ")}]`;
  else if (key === "beats") value = one(items[0] ?? "");
  const old = key === "degrees" && !/^degrees *=/m.test(text) ? "progression" : key;
  if (lineOf(old).test(text)) {
    return text.replace(lineOf(old), (_, before, __, comment) => `${old === key ? before : `${key} = `}${value}${comment ? `  ${comment.trim()}` : ""}`);
  }
  const line = `${key} = ${value}\n`;
  if (["name", "title", "about"].includes(key)) return line + text;
  return text.includes("[[passage]]\n") ? text.replace("[[passage]]\n", `[[passage]]\n${line}`) : `${text}\n[[passage]]\n${line}`;
}
