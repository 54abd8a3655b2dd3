// The library: what each drill is for, with its first line of music.

import { make } from "./engine.js";
import { button, el, say, tell } from "./parts.js";
import { change, now } from "./history.js";
import { faultOf } from "./form.js";

/** What a text of a drill gives a field of the whole drill. */
function said(text, field) {
  return text.split(/^\[/m)[0].match(new RegExp(`^${field} *= *"([^"]+)"`, "m"))?.[1] ?? "";
}

/** The drills of one's own that can be chosen: those that were kept and the one in the making, as
 *  `{name, title, text}`, each name once. */
export function ownDrills(state) {
  const all = new Map();
  for (const text of [...state.own.kept, state.own.text]) {
    const name = said(text, "name");
    if (name) all.set(name, { name, title: said(text, "title") || name, text });
  }
  return [...all.values()];
}

/** Keeps the drill in the making among those that can be chosen, in place of one of its name. */
export function keepOwn(state) {
  const name = said(state.own.text, "name");
  state.own.kept = [...state.own.kept.filter((text) => said(text, "name") !== name), state.own.text];
}

/** What is chosen among drills: `{drill, template, ...}` each. */
function chosenOf(choices) {
  if (choices.course) return choices.course.map((one) => (typeof one === "string" ? { drill: one } : one));
  return choices.drill ? [{ drill: choices.drill, template: choices.template }] : [];
}

/** The chooser of drills: `{group, update(made)}`. */
export function drills(library) {
  const lines = new Map();
  const rows = library.map((drill) => {
    const box = el("input", {
      type: "radio", name: "drill", value: drill.name, id: `drill-${drill.name}`,
      "aria-describedby": `about-${drill.name}`,
      onchange: () => choose({ drill: drill.name }, box.checked),
    });
    const picture = el("div", { class: "line", "data-drill": drill.name, "aria-hidden": "true" });
    const mode = drill.minor ? "minor" : "major";
    const node = el(
      "div",
      { class: "drill" },
      el("label", { for: box.id }, box, el("span", {}, drill.title)),
      el("p", { id: `about-${drill.name}` }, `${drill.about} (${mode}, ${drill.metre}, ${drill.stage})`),
      picture,
    );
    const words = spoken(`${drill.title} ${drill.about} ${drill.name} ${mode} ${drill.stage}`);
    return { drill, box, node, picture, words };
  });

  // Those of one's own come last.
  const order = new Map(library.map((drill, index) => [drill.name, index]));
  const place = (one) => (one.template ? library.length : order.get(one.drill) ?? library.length);
  const isSame = (one, other) => one.drill === other.drill && Boolean(one.template) === Boolean(other.template);

  function choose(drill, isOn) {
    change("drill", (state) => {
      const had = chosenOf(state.choices).filter((one) => !isSame(one, drill));
      put(state, state.course ? [...had, ...(isOn ? [drill] : [])] : [drill]);
    });
  }

  /** Puts drills among the choices: one alone, or a course of some. */
  function put(state, drills) {
    for (const name of ["drill", "template", "course"]) delete state.choices[name];
    if (state.course) {
      drills.sort((one, other) => place(one) - place(other));
      state.choices.course = drills.map((one) => (Object.keys(one).some((key) => key !== "drill" && one[key]) ? one : one.drill));
    } else {
      state.choices.drill = drills[0]?.drill ?? "pushed";
      if (drills[0]?.template) state.choices.template = drills[0].template;
    }
    state.page = 0;
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
      say(found.textContent);
    },
  });
  const found = el("p", { class: "found" });
  const course = el("input", {
    type: "checkbox", id: "course",
    onchange: () =>
      change("course", (state) => {
        const had = chosenOf(state.choices);
        state.course = course.checked;
        put(state, had.length ? had : [{ drill: "pushed" }]);
      }),
  });
  const ours = el("div", {});
  const list = el("div", { class: "library", role: "group", "aria-label": "Your own drills, and the library from first lesson to last", tabindex: "0" }, ours, rows.map((row) => row.node));
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
  const group = el("fieldset", { "data-field": "drill" }, el("legend", {}, "Drill"), details, el("div", { class: "row" }, own), faultOf("drill"));

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

  /** The rows of drills of one's own, built anew where one is new or another. */
  let mine = [];
  let drawn = "";
  function drawOwn(state) {
    const all = ownDrills(state);
    const now = JSON.stringify(all);
    if (now === drawn) return;
    drawn = now;
    mine = all.map((drill) => {
      const one = { drill: drill.name, template: drill.text };
      const box = el("input", { type: "radio", name: "drill", value: drill.name, id: `own-drill-${drill.name}`,
        onchange: () => choose(one, box.checked) });
      const out = button("Forget", () => change("forget", (state) => {
        state.own.kept = state.own.kept.filter((text) => text !== drill.text);
      }), { class: "plain", "aria-label": `Forget ${drill.title}` });
      const isKept = state.own.kept.includes(drill.text);
      const node = el("div", { class: "drill" }, el("label", { for: box.id }, box, el("span", {}, drill.title)),
        el("p", {}, "of your own ", isKept ? out : null));
      return { one, box, node };
    });
    const hadFocus = ours.contains(document.activeElement);
    ours.replaceChildren(...mine.map((row) => row.node));
    if (hadFocus) list.focus();
  }

  function update() {
    const state = now();
    const had = chosenOf(state.choices);
    course.checked = state.course;
    drawOwn(state);
    for (const row of rows) {
      row.box.type = state.course ? "checkbox" : "radio";
      row.box.checked = had.some((one) => isSame(one, { drill: row.drill.name }));
    }
    for (const row of mine) {
      row.box.type = state.course ? "checkbox" : "radio";
      row.box.checked = had.some((one) => isSame(one, row.one));
    }
    const titles = had.map((one) => (one.template ? `${said(one.template, "title") || one.drill}, of your own` : library.find((drill) => drill.name === one.drill)?.title ?? one.drill));
    tell(chosen, titles.join(", ") || "No drill is chosen");
  }
  return { group, update };
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
