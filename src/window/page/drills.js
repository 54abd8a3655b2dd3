// The library: what each drill is for, with its first line of music.

import { make } from "./engine.js";
import { button, el, tell } from "./parts.js";
import { change, now } from "./history.js";
import { faultOf } from "./form.js";

/** The chooser of drills: `{group, update(made)}`. */
export function drills(library) {
  const lines = new Map();
  const rows = library.map((drill) => {
    const box = el("input", {
      type: "radio", name: "drill", value: drill.name, id: `drill-${drill.name}`,
      "aria-describedby": `about-${drill.name}`,
      onchange: () => choose(drill.name, box.checked),
    });
    const picture = el("div", { class: "line", "data-drill": drill.name, "aria-hidden": "true" });
    const mode = drill.minor ? "minor" : "major";
    const node = el(
      "div",
      { class: "drill" },
      el("label", { for: box.id }, box, el("span", {}, drill.title)),
      el("p", { id: `about-${drill.name}` }, `${drill.about} (${mode}, ${drill.metre})`),
      picture,
    );
    const words = spoken(`${drill.title} ${drill.about} ${drill.name} ${mode}`);
    return { drill, box, node, picture, words };
  });

  function choose(name, isOn) {
    change("drill", (state) => {
      delete state.choices.template;
      if (!state.course) {
        delete state.choices.course;
        state.choices.drill = name;
      } else {
        const had = names(state.choices);
        const all = isOn ? [...had, name] : had.filter((one) => one !== name);
        const order = library.map((drill) => drill.name);
        all.sort((one, other) => order.indexOf(one) - order.indexOf(other));
        delete state.choices.drill;
        state.choices.course = [...new Set(all)];
      }
      state.page = 0;
    });
  }

  const search = el("input", {
    type: "search", id: "drill-search", autocomplete: "off",
    oninput: () => {
      const words = spoken(search.value)[0].filter((word) => word !== "");
      let count = 0;
      for (const row of rows) {
        row.node.hidden = !row.words.some((own) => words.every((word) => own.some((one) => isMeant(word, one))));
        if (!row.node.hidden) count += 1;
      }
      tell(found, search.value.trim() ? `${count} of ${rows.length} drills` : "");
    },
  });
  const found = el("p", { class: "found", role: "status" });
  const course = el("input", {
    type: "checkbox", id: "course",
    onchange: () =>
      change("course", (state) => {
        state.course = course.checked;
        const had = names(state.choices);
        if (course.checked) {
          state.choices.course = had.length ? had : ["pushed"];
          delete state.choices.drill;
          delete state.choices.template;
        } else {
          state.choices.drill = had[0] ?? "pushed";
          delete state.choices.course;
        }
        state.page = 0;
      }),
  });
  const list = el("div", { class: "library", role: "group", "aria-label": "The library, from first lesson to last", tabindex: "0" }, rows.map((row) => row.node));
  const chosen = el("summary", { id: "chosen-drill" });
  const details = el(
    "details",
    { class: "drills" },
    chosen,
    el("div", { class: "field" }, el("label", { for: search.id }, "Find a drill by what it is for"), search, found),
    list,
    el("label", { class: "check" }, course, "several drills, as a course"),
  );
  const own = button("Make one of your own", () =>
    document.querySelector('[data-view="own"]').click(), { class: "plain" });
  const mine = button("", () => change("mine", (state) => {
    state.course = false;
    delete state.choices.course;
    state.choices.drill = nameOf(state.own.text);
    state.choices.template = state.own.text;
    state.page = 0;
  }), { class: "plain", id: "use-mine" });
  const group = el("fieldset", { "data-field": "drill" }, el("legend", {}, "Drill"), details, el("div", { class: "row" }, own, mine), faultOf("drill"));

  // Lines are asked for one at a time, when they come into sight.
  const waiting = [];
  let isBusy = false;
  async function draw() {
    if (isBusy) return;
    isBusy = true;
    while (waiting.length) {
      const picture = waiting.shift();
      const name = picture.dataset.drill;
      if (!lines.has(name)) {
        const choices = { form: "handout", drill: name, keys: ["C"] };
        lines.set(name, await make("line", { choices }).then((line) => line.drawing, () => ""));
      }
      picture.innerHTML = lines.get(name) ?? "";
    }
    isBusy = false;
  }
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries.filter((one) => one.isIntersecting)) {
      seen.unobserve(entry.target);
      waiting.push(entry.target);
    }
    draw();
  }, { root: list, rootMargin: "80px" });
  for (const row of rows) seen.observe(row.picture);

  function update() {
    const state = now();
    const had = names(state.choices);
    course.checked = state.course;
    for (const row of rows) {
      row.box.type = state.course ? "checkbox" : "radio";
      row.box.checked = had.includes(row.drill.name) && !state.choices.template;
    }
    const titles = had.map((name) => library.find((drill) => drill.name === name)?.title ?? name);
    const what = state.choices.template ? `${had[0] ?? "a drill"}, of your own` : titles.join(", ");
    const ours = nameOf(state.own.text);
    mine.hidden = !ours || state.choices.template === state.own.text;
    tell(mine, `Take your own, ${ours}`);
    tell(chosen, what || "No drill is chosen");
  }
  return { group, update };
}

/** The short name that a drill's text gives it. */
function nameOf(text) {
  return text.match(/^name *= *"([^"]+)"/m)?.[1] ?? "";
}

const NUMBERS = ["one", "two", "three", "four", "five", "six", "seven"];
const DEGREES = ["i", "ii", "iii", "iv", "v", "vi", "vii"];

/** The words of a text in small letters; with numbers as words, as figures, and as numerals. */
function spoken(text) {
  const words = text.toLowerCase().split(/[^\p{L}\p{N}]+/u);
  const as = (other) => words.map((word) => other[NUMBERS.indexOf(word)] ?? word);
  return [words, as(NUMBERS.map((_, index) => String(index + 1))), as(DEGREES)];
}

/** Whether a word that was typed can mean another: its beginning is enough, but of numbers. */
function isMeant(word, other) {
  return DEGREES.includes(word) || /^[0-9]+$/.test(word) ? word === other : other.includes(word);
}

/** The names of the drills among choices. */
function names(choices) {
  if (choices.course) return choices.course.map((one) => (typeof one === "string" ? one : one.drill));
  return choices.drill ? [choices.drill] : [];
}
