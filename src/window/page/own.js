// A drill of one's own: its text, the fields of its first passage, the judge's words, and its pages.

import { Faults, make } from "./engine.js";
import { button, el, enable, isOn, latest, save, say, tell } from "./parts.js";
import { change, now, told } from "./history.js";
import { keepOwn, ownDrills } from "./drills.js";
import { lineNumber, lineOf, mistakes, tellLines } from "./judge.js";
import { paper } from "./paper.js";

/** The fields of the first passage, and those of the whole drill: name, label, what stands there with
 *  an example that can be typed. */
const FIELDS = [
  ["name", "Short name", "Small letters and hyphens, such as my-cadence; files are named after it."],
  ["title", "Title", "What the sheet is headed with, such as Cadences at dusk."],
  ["about", "What it is for", "A sentence that is printed below the title."],
  ["degrees", "Chords", "Numerals with blanks between them, such as ii7 V7 Imaj7 VI7, or 1 6 2 5 for the chords of " +
    "the key. Small numerals are minor; lowVI7 lies below the key note, bVII7 is lowered, 5/2 leads to the second."],
  ["beats", "Beats a chord", "How long each chord lasts, such as 4, or of each by itself, such as 2 2 4; together they fill whole bars."],
  ["figure", "Figure of the right hand", "Tones counted from each chord’s root, such as 1 3 5 7 9 7 5 3: b9 or #11 is " +
    "altered, low7 lies below the root, 5:quarter and rest:half are longer, 3@2 has a finger. | parts figures that take turns."],
  ["note", "Its notes", "How long they are where nothing is said: half, quarter, eighth, triplet or sixteenth."],
  ["voicing", "Voicing of the left hand", "Tones that sound at once, such as 1+3+5+7 or 3+7, or a name: close, shell, " +
    "guide-tones, rootless-a, rootless-b. | parts those that take turns."],
  ["comping", "Comping", "When the left hand strikes: the counts, such as 1 2& 4 or 1:quarter 2&:eighth, with | between " +
    "bars, or a name: on-beat, push, charleston, two-feel, bossa, silent."],
];

const NOT_YET = "It is no drill yet; mend what is marked.";

/** The view: `{update(state)}`. */
export function ownView(known, failed) {
  const form = document.getElementById("own");
  form.addEventListener("submit", (event) => event.preventDefault());
  const text = el("textarea", { id: "own-text", rows: "18", spellcheck: "false", wrap: "off",
    "aria-describedby": "own-faults",
    oninput: () => change("own", (state) => { state.own.text = text.value; }) });
  const begin = (text) => {
    const words = `Begun with ${from.selectedOptions[0].textContent}.`;
    change("own from", (state) => { state.own.text = text; }, words);
    say(words);
  };
  const take = button("Begin with it", async () => {
      if (!from.value) {
        say("Choose a drill to begin with first.");
        from.focus();
        return;
      }
      const mine = ownDrills(now()).find((drill) => `own ${drill.name}` === from.value);
      if (mine) {
        begin(mine.text);
        return;
      }
      try {
        const made = await make("drill/library", { name: from.value });
        begin(made.text.replace(/^name *= *"(.*)"/m, (_, name) => `name = "my-${name}"`));
      } catch (error) {
        failed(error);
      }
    }, { id: "own-take" });
  const ours = el("optgroup", { label: "Your own", hidden: true });
  const from = el("select", { id: "own-from" },
    el("option", { value: "" }, "choose one"), ours,
    el("optgroup", { label: "The library" }, known.drills.map((drill) => el("option", { value: drill.name }, drill.title))));
  const drawOurs = (state) => {
    const kept = ownDrills({ own: { ...state.own, text: "" } });
    ours.hidden = kept.length === 0;
    if (kept.map((one) => one.title).join("\n") === [...ours.children].map((one) => one.textContent).join("\n")) return;
    ours.replaceChildren(...kept.map((drill) => el("option", { value: `own ${drill.name}` }, drill.title)));
  };
  const inputs = FIELDS.map(([key, label, help]) => {
    const fault = el("p", { class: "fault", id: `own-fault-${key}` });
    const input = el("input", { id: `own-${key}`, autocomplete: "off", "aria-describedby": `${fault.id} own-help-${key}`,
      oninput: () => change(`own ${key}`, (state) => { state.own.text = written(state.own.text, key, input.value); }) });
    const node = el("div", { class: "field" },
      el("label", { for: input.id }, label), input, fault,
      el("p", { class: "help", id: `own-help-${key}` }, help));
    return { key, label, input, fault, node };
  });
  const faults = mistakes(text, "own-faults");
  const said = el("p", { class: "about" });
  const use = button("Use it on the sheet", () => {
    if (!isOn(use)) {
      say(NOT_YET);
      return;
    }
    change("use", (state) => {
      keepOwn(state);
      state.view = "sheet";
      state.course = false;
      delete state.choices.course;
      state.choices.drill = judged.name;
      state.choices.template = state.own.text;
      state.page = 0;
    });
  }, { class: "main", id: "use-own" });
  const shelve = button("Keep it among the drills", () => {
    if (!isOn(shelve)) {
      say(NOT_YET);
      return;
    }
    change("keep", keepOwn);
    say(`${judged?.title ?? "It"} can be chosen on the sheet and in a class.`);
  }, { id: "shelve-own" });
  const keep = button("Save the drill", () => {
    save(new Blob([now().own.text], { type: "text/plain" }), `${judged?.name ?? "drill"}.toml`);
  }, { id: "save-own" });
  // Of no text there is nothing to fill in.
  const fields = el("fieldset", {}, el("legend", {}, "The drill and its first passage"), el("div", { class: "grid" }, inputs.map((one) => one.node)));
  form.append(
    el("div", { class: "field" }, el("label", { for: "own-from" }, "Begin with one of the library"), el("div", { class: "row one" }, from, take)),
    fields,
    el("div", { class: "field" }, el("label", { for: "own-text" }, "The whole text"), text),
    faults.node, said, el("div", { class: "row" }, use, shelve, keep));

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
    const lines = inputs.map((one) => ({ ...one, line: lineNumber(now().own.text, nameIn(now().own.text, one.key)) }));
    tellLines(lines, made.faults);
    tell(said, (made.said ?? []).join(" "));
    const [first] = made.faults;
    const where = lines.find((one) => first?.line && one.line === first.line)?.label ?? (first?.line ? `Line ${first.line}` : "");
    say(first ? `${where}${where ? ": " : ""}${first.words}` : `${told()} ${(made.said ?? []).join(" ")}`);
    enable(use, Boolean(made.name));
    enable(shelve, Boolean(made.name));
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
      drawOurs(state);
      for (const { key, input } of inputs) {
        const words = read(state.own.text, key);
        input.readOnly = words === null;
        if (document.activeElement !== input) input.value = words ?? "see the whole text";
      }
      if (state.own.text.trim()) {
        ask({ text: state.own.text });
      } else {
        judged = null;
        enable(use, false);
        enable(shelve, false);
        faults.show([]);
        tell(said, "Begin with a drill of the library, and change it.");
        clear();
      }
    },
  };
}

/** The name of a field in a text: a passage says its chords in one of two ways. */
const nameIn = (text, key) => (key === "degrees" && !/^degrees *=/m.test(text) ? "progression" : key);

/** Fields whose items stand with blanks between them; those of others are told apart by a stroke. */
const BLANKS = ["degrees", "beats"];

/** What a text gives a field, as it is typed: lists without their signs. Nothing where it is written
 *  over several lines, which no line to type in can show. */
function read(text, key) {
  const found = text.match(lineOf(key))?.[2].trim();
  if (!found) return nameIn(text, key) === key ? "" : read(text, nameIn(text, key));
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
  const old = nameIn(text, key);
  if (lineOf(old).test(text)) {
    return text.replace(lineOf(old), (_, before, __, comment) => `${old === key ? before : `${key} = `}${value}${comment ? `  ${comment.trim()}` : ""}`);
  }
  const line = `${key} = ${value}\n`;
  if (["name", "title", "about"].includes(key)) return line + text;
  return text.includes("[[passage]]\n") ? text.replace("[[passage]]\n", `[[passage]]\n${line}`) : `${text}\n[[passage]]\n${line}`;
}
