// The page as a whole: its views, what they have in common, and the view of one sheet.

import { Faults, Gone, begin, make, stay } from "./engine.js";
import { button, el, enable, latest, notice, save, say } from "./parts.js";
import { VIEWS, canRedo, canUndo, change, look, now, recall, redo, restore, told, undo, watch } from "./history.js";
import { base64, control, showFaults } from "./form.js";
import { ring } from "./ring.js";
import { drills } from "./drills.js";
import { paper, print } from "./paper.js";
import { classView } from "./class.js";
import { ownView } from "./own.js";
import { holdFocus } from "./focus.js";
import { trackPanel } from "./track.js";
import { tuneView } from "./tune.js";
import { faultOf } from "./form.js";

/** Most bytes of a file that is handed in. */
const MOST = 16 * 1024 * 1024;

/** The groups of fields that every lesson asks for; all other fields follow in one of their own. */
const GROUPS = [
  ["For whom", ["student", "date", "note"]],
  ["How it is played", ["level", "tempo", "goal", "hands", "feel"]],
  ["On the page", ["form", "paper", "symbols", "counts", "fingering", "hand"]],
];

/** Fields with a control of another kind, or of no use where files are not named. */
const OTHERWISE = ["keys", "drill", "course", "template", "logo_data", "quintfall"];

/** How long the hands must rest before something is made ahead, in milliseconds. */
const REST = 700;

const views = {};

start();

async function start() {
  let known;
  try {
    await begin();
    known = await make("choices");
  } catch (error) {
    failed(error);
    return;
  }
  if (known.lost) notice(known.lost);
  views.sheet = sheetView(known);
  views.class = classView(known, failed);
  views.tune = tuneView(known, failed);
  views.own = ownView(known, failed);
  for (const tab of document.querySelectorAll("[data-view]")) {
    tab.addEventListener("click", () => look((state) => { state.view = tab.dataset.view; }));
  }
  document.getElementById("undo").addEventListener("click", undo);
  document.getElementById("redo").addEventListener("click", redo);
  document.addEventListener("keydown", keys);
  watch(update);
  holdFocus();
  takeFiles();
  foldChoices();
  recall(known.remembered);
  document.documentElement.dataset.ready = "yes";
  stay(() => setTimeout(() => ended(), 300));
}

function keys(event) {
  const isText = /^(INPUT|TEXTAREA)$/.test(event.target.tagName) && event.target.type !== "checkbox" && event.target.type !== "radio";
  if (!(event.ctrlKey || event.metaKey) || event.altKey || isText) return;
  const key = event.key.toLowerCase();
  if (key === "z" && !event.shiftKey) undo();
  else if ((key === "z" && event.shiftKey) || key === "y") redo();
  else return;
  event.preventDefault();
}

function update(state) {
  for (const tab of document.querySelectorAll("[data-view]")) {
    if (tab.dataset.view === state.view) tab.setAttribute("aria-current", "page");
    else tab.removeAttribute("aria-current");
  }
  for (const name of Object.keys(views)) {
    document.getElementById(`view-${name}`).hidden = name !== state.view;
  }
  document.title = `Quintfall: ${VIEWS[state.view]}`;
  enable(document.getElementById("undo"), canUndo());
  enable(document.getElementById("redo"), canRedo());
  views[state.view].update(state);
}

/** On a narrow page the sheet comes before the choices, which are opened by hand. */
function foldChoices() {
  const narrow = matchMedia("(max-width: 46rem)");
  const fold = () => {
    for (const box of document.querySelectorAll(".box")) box.open = !narrow.matches;
  };
  narrow.addEventListener("change", fold);
  fold();
}

/** The program has ended under the page, or does not know it. */
function ended(why) {
  if (document.documentElement.dataset.ended) return;
  document.documentElement.dataset.ended = "yes";
  notice(
    why ?? "The program has ended. What you chose until then is on the page that it opens when you start " +
      "it again. What you choose from now on you can save, and open there.",
    button("Save what is chosen", () => {
      save(new Blob([JSON.stringify(now())], { type: "application/json" }), "quintfall-choices.json");
    }, { id: "save-choices" }),
  );
}

/** Tells what went wrong where no field is to blame. */
function failed(error) {
  if (error instanceof Gone) ended(error.words);
  else if (error instanceof Faults) notice(error.message);
  else {
    notice("Something went wrong on this page; load it anew.");
    throw error;
  }
}

/** The view of one sheet. */
function sheetView(known) {
  const form = document.getElementById("choices");
  form.addEventListener("submit", (event) => event.preventDefault());
  const chooser = drills(known.drills);
  const keysRing = ring(known.round, faultOf("keys"));
  const controls = [chooser, keysRing];
  const field = (name) => known.fields.find((one) => one.name === name);
  const placed = new Set(OTHERWISE);
  const build = (one) => {
    placed.add(one.name);
    const kind = one.name === "logo" ? { ...one, kind: "picture" } : one;
    const made = control(kind, known.level);
    controls.push(made);
    return made.node;
  };
  const [first, ...others] = GROUPS.map(([legend, names]) => {
    const fields = names.map(field).filter(Boolean).map(build);
    const ladder = names.includes("tempo") ? ladderOf(controls) : null;
    return el("fieldset", {}, el("legend", {}, legend), el("div", { class: "grid" }, fields), ladder);
  });
  const rest = known.fields.filter((one) => one.asked && !placed.has(one.name)).map(build);
  const more = el("details", { class: "more" }, el("summary", {}, "More choices"), el("div", { class: "grid" }, rest));
  form.append(chooser.group, keysRing.group, first, ...others, more);

  const wanted = () => ({ choices: now().choices });
  const doing = (act) => async () => {
    try {
      await act();
    } catch (error) {
      fail(error);
      // Whoever asked for a file is led to what keeps it from being made.
      form.querySelector('[aria-invalid="true"]')?.focus();
    }
  };
  const acts = [
    button("Save as PDF", doing(async () => save(await make("pdf", wanted(), "blob"), name())), { class: "main", id: "save-pdf" }),
    button("Print", doing(() => print(make("pdf", wanted(), "blob"))), { id: "print" }),
    button("Save the recipe", doing(async () => {
      const { text } = await make("recipe", wanted());
      save(new Blob([text], { type: "text/plain" }), name().replace(/\.pdf$/, ".toml"));
    }), { id: "save-recipe" }),
    button("Begin anew", () => change("anew", (state) => {
      state.choices = { form: "handout", drill: "pushed", keys: ["C"] };
      state.several = false;
      state.course = false;
      state.page = 0;
    }), { id: "anew" }),
  ];
  const desk = paper((page) => look((state) => { state.page = page; }), acts);
  const notes = (as) => button(`Save as .${as}`, doing(async () => {
    save(await make("notes", { ...wanted(), as }, "blob"), name().replace(/\.pdf$/, `.${as}`));
  }), { id: `save-${as}` });
  const track = trackPanel(known, "sheet", wanted, failed);
  document.getElementById("sheet-paper").append(desk.node, track.node, el("details", { class: "track" },
    el("summary", {}, "Notes for other programs"),
    el("p", { class: "help" }, "The notes as MusicXML, plain or packed."),
    el("div", { class: "row" }, notes("musicxml"), notes("mxl"))));

  let shown = null;
  // What was on the page when something was said of it.
  let had = [];
  const name = () => shown?.name ?? "sheet.pdf";
  const ask = latest((request) => make("sheet", request), show, fail);
  let resting = 0;

  /** Has what is likely to be asked for next made while the hands rest, so that it is there at once:
   *  the next page, or of a sheet in one key the next key. The program remembers what it gave. */
  function makeAhead(page) {
    const { choices, several, course } = now();
    const next = keysRing.next();
    let wanted = null;
    if (page.page + 1 < page.pages) wanted = { choices, page: page.page + 1 };
    else if (next && !several && !course && !choices.template) wanted = { choices: { ...choices, keys: [next] }, page: 0 };
    if (wanted) resting = setTimeout(() => make("sheet", wanted).catch(() => {}), REST);
  }

  function show(page) {
    shown = page;
    makeAhead(page);
    desk.show(page);
    showFaults(form, []);
    for (const one of controls) one.update(page.made, page);
    say(`${told() || news(page)} ${page.remarks.join(" ")}`);
    document.documentElement.dataset.drawn = String(Number(document.documentElement.dataset.drawn ?? 0) + 1);
  }

  /** What is new on the page, for those who do not see it. */
  function news(page) {
    const { choices } = now();
    const parts = { [document.getElementById("chosen-drill").textContent]: choices.drill, [document.getElementById("chosen-keys").textContent]: choices.keys };
    for (const one of known.fields) {
      const value = choices[one.name];
      if (!["drill", "keys", "course", "template", "logo_data"].includes(one.name) && value !== undefined) parts[`${one.label}: ${value}`] = value;
    }
    const all = [...Object.keys(parts), `Page ${page.page + 1} of ${page.pages}`];
    const fresh = all.filter((one) => !had.includes(one));
    had = all;
    return fresh.length ? `${fresh.join(". ")}.` : `${page.about}.`;
  }

  function fail(error) {
    if (!(error instanceof Faults)) {
      failed(error);
      return;
    }
    say(error.message);
    const rest = showFaults(form, error.faults);
    desk.fail(rest.length ? rest : ["Mend what is marked, and the sheet is drawn again."]);
  }

  return {
    update(state) {
      clearTimeout(resting);
      // What takes longest begins first.
      ask({ choices: state.choices, page: state.page });
      for (const one of controls) one.update(shown?.made, shown);
      track.update(state);
    },
  };
}

/** The rungs from the first tempo to the goal: a click begins on one. */
function ladderOf(controls) {
  const rungs = el("div", { class: "rungs" });
  const node = el("div", { class: "ladder", role: "group", "aria-label": "The tempo ladder: begin at" }, el("p", { class: "help" }, "The ladder; press to begin at"), rungs);
  let old = "";
  controls.push({
    update(_, page) {
      const now = (page?.rungs ?? []).join(" ");
      if (now === old) return;
      old = now;
      const had = rungs.contains(document.activeElement) ? document.activeElement.textContent : null;
      rungs.replaceChildren(...(page?.rungs ?? []).map((beats) =>
        button(String(beats), () => change("tempo", (state) => {
          const last = page.rungs.at(-1);
          state.choices.tempo = String(beats);
          state.choices.goal = String(last);
        }))));
      // Whoever pressed one goes on at it.
      if (had !== null) ([...rungs.children].find((one) => one.textContent === had) ?? rungs.firstElementChild)?.focus();
    },
  });
  return node;
}

/** Files that are dropped or chosen. */
function takeFiles() {
  const input = document.getElementById("file");
  const drop = document.getElementById("drop");
  document.getElementById("open").addEventListener("click", () => input.click());
  input.addEventListener("change", () => {
    if (input.files[0]) take(input.files[0]);
    input.value = "";
  });
  let over = 0;
  const isFile = (event) => [...(event.dataTransfer?.types ?? [])].includes("Files");
  document.addEventListener("dragenter", (event) => {
    if (!isFile(event)) return;
    over += 1;
    drop.hidden = false;
  });
  document.addEventListener("dragleave", (event) => {
    if (!isFile(event)) return;
    over -= 1;
    if (over <= 0) drop.hidden = true;
  });
  document.addEventListener("dragover", (event) => {
    if (isFile(event)) event.preventDefault();
  });
  document.addEventListener("drop", (event) => {
    over = 0;
    drop.hidden = true;
    if (!isFile(event)) return;
    event.preventDefault();
    if (event.dataTransfer.files.length > 1) notice("Open one file at a time.");
    else if (event.dataTransfer.files[0]) take(event.dataTransfer.files[0]);
  });
}

/** Opens a file for what it is. */
async function take(file) {
  if (file.size > MOST) {
    notice(`${file.name} is larger than 16 MiB; choose another file.`);
    return;
  }
  if (file.name.endsWith(".json")) {
    const text = await file.text();
    if (restore(text)) notice("");
    else notice(`${file.name} does not hold what was chosen on this page; choose another file.`);
    return;
  }
  let opened;
  try {
    opened = await make("open", { name: file.name, data: await base64(file) });
  } catch (error) {
    failed(error);
    return;
  }
  notice("");
  change("open", (state) => {
    if (opened.kind === "sheet") {
      state.view = "sheet";
      state.choices = opened.choices;
      state.several = (opened.choices.keys ?? []).length > 1;
      state.course = Boolean(opened.choices.course);
      state.page = 0;
    } else if (opened.kind === "tune") {
      state.view = "tune";
      state.tune = { ...state.tune, text: opened.text, look: opened.look, as: "chart", page: 0 };
    } else if (opened.kind === "packet") {
      // How charts are printed is chosen for both.
      const { student, studio, date, under, ...look } = opened.asked;
      const packet = Object.fromEntries(Object.entries({ student, studio, date, under }).filter(([, value]) => value));
      const [text, ...more] = opened.texts;
      state.view = "tune";
      state.tune = { text: text ?? "", look, packet, more, as: "packet", page: 0 };
    } else if (opened.kind === "class") {
      state.view = "class";
      state.list = { ...state.list, name: opened.name, text: opened.text, row: 0 };
    } else {
      state.view = "own";
      state.own.text = opened.text;
    }
  });
  say(`${file.name} is open.`);
}
