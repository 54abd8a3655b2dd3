// What is chosen, in every view, with all that it was before: undo, redo, and what outlives the page.

import { Faults, keep, make } from "./engine.js";
import { notice } from "./parts.js";

const KEY = "quintfall-state";
const MOST = 200;
/** Changes of one field that follow each other faster than this are one, in milliseconds. */
const AT_ONCE = 900;
/** How long nothing must change before it is kept for the next time, in milliseconds. */
const PAUSE = 600;
/** Letters of what a page can still send while it is closed, by the rules of browsers; what is longer is
 *  kept at each change, unless it has a picture in it. */
const FAREWELL = 20_000;
const LARGE = 400_000;

const START = {
  view: "sheet",
  page: 0,
  several: false,
  course: false,
  choices: { form: "handout", drill: "pushed", keys: ["C"] },
  list: { name: "", text: "", day: "", over: false, row: 0, typed: [] },
  own: { text: "", kept: [] },
  tune: { text: "", look: {}, as: "chart", packet: {}, more: [], page: 0 },
  track: {},
};

/** What is undone, by the tag of its change; of fields that go by their own names, nothing. */
const NAMES = {
  "drill": "another drill",
  "course": "several drills",
  "forget": "a drill forgotten",
  "several": "several keys",
  "keys": "keys",
  "tempo": "tempo",
  "anew": "beginning anew",
  "open": "a file opened",
  "restore": "choices opened",
  "begin-list": "a list begun",
  "close-list": "the list put away",
  "day": "the day, for all",
  "over": "what rows leave open",
  "student": "a student more",
  "without": "a student taken out",
  "typed": "what was typed last",
  "next": "next week’s list",
  "own": "the text of the drill",
  "own from": "a drill begun with",
  "use": "a drill used on the sheet",
  "keep": "a drill kept",
  "tune": "the text of the tune",
  "tune paste": "bars pasted",
  "tune from": "a tune begun with",
  "tune new": "a new chart",
  "tune as": "what is made of the tune",
  "packet more": "a tune added",
  "packet less": "a tune taken out",
};
/** The same of tags that a field follows, by their first word. */
const OF = { cell: "in the class", own: "of the drill", tune: "of the tune", look: "on the chart’s page", packet: "of the packet", track: "of the track" };

/** What a tag is of, in words. */
function named(tag) {
  if (Object.hasOwn(NAMES, tag)) return NAMES[tag];
  const words = tag.split(" ");
  const field = words.at(-1).replaceAll(/[-_]/g, " ");
  return words.length > 1 ? `${field} ${OF[words[0]]}` : field;
}

let state = structuredClone(START);
let past = [];
let future = [];
let last = { tag: "", at: 0 };
let news = "";
let listeners = [];
let keeping = 0;
// What was kept last, as it was sent.
let kept = "";
let isTold = false;
let unfinished = [];

/** What each view is of. */
export const VIEWS = { sheet: "the sheet", class: "a class", tune: "a tune", own: "a drill of your own" };

export const now = () => state;
export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;

/** What was changed last, in words; nothing where it was told already. */
export function told() {
  const words = news;
  news = "";
  return words;
}

/** Calls `act` after each change. */
export function watch(act) {
  listeners.push(act);
}

/** Has what is typed and not taken over yet kept too when the page is closed: `act` writes it into what
 *  is kept. */
export function alsoKeep(act) {
  unfinished.push(act);
}

function changed() {
  for (const act of listeners) act(state);
  const text = JSON.stringify(state);
  remember(text);
  clearTimeout(keeping);
  keeping = text === kept ? 0 : setTimeout(keepNow, text.length > FAREWELL && text.length < LARGE ? 0 : PAUSE);
}

/** Keeps a text for this page when it is loaded anew. */
function remember(text) {
  try {
    sessionStorage.setItem(KEY, text);
  } catch {
    // A large picture may have no room there; the program keeps what was chosen too.
  }
}

/** Keeps what is chosen for the next time. */
function keepNow() {
  clearTimeout(keeping);
  keeping = 0;
  // Of a program that has ended nothing can be asked.
  if (document.documentElement.dataset.ended) return;
  kept = JSON.stringify(state);
  make("keep", { state }).catch(lost);
}

/** Keeps what is yet to be kept, since the page may be closed now. */
function farewell() {
  const whole = structuredClone(state);
  for (const act of unfinished) act(whole);
  const text = JSON.stringify(whole);
  if (!keeping && text === kept) return;
  remember(text);
  if (document.documentElement.dataset.ended) return;
  clearTimeout(keeping);
  keeping = 0;
  kept = text;
  keep({ state: whole }, kept.length <= FAREWELL);
}

addEventListener("pagehide", farewell);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "hidden") farewell();
});

/** Says once that choices cannot be kept for the next time. That the program has ended is told anyway. */
function lost(error) {
  if (!(error instanceof Faults) || isTold) return;
  isTold = true;
  notice(`What you choose cannot be kept for the next time: ${error.message}`);
}

/** Changes what is chosen. `tag` names what is changed, so that a word typed is one change; `words` say what
 *  was done where the page does not show it by itself. */
export function change(tag, act, words = "") {
  const before = JSON.stringify(state);
  const next = structuredClone(state);
  act(next);
  if (JSON.stringify(next) === before) return;
  const at = performance.now();
  if (tag !== last.tag || at - last.at > AT_ONCE) {
    past.push({ state, tag });
    if (past.length > MOST) past.shift();
  }
  last = { tag, at };
  future = [];
  news = words;
  state = next;
  changed();
}

/** Changes what is looked at, which is no choice and cannot be undone by itself. */
export function look(act) {
  state = structuredClone(state);
  act(state);
  last = { tag: "", at: 0 };
  changed();
}

export function undo() {
  step(past, future, "Undone");
}

export function redo() {
  step(future, past, "Done again");
}

function step(from, to, words) {
  if (from.length === 0) return;
  const { state: other, tag } = from.pop();
  to.push({ state, tag });
  const where = other.view === state.view ? "" : `, in the view of ${VIEWS[other.view]}`;
  news = `${words}: ${named(tag)}${where}.`;
  state = other;
  last = { tag: "", at: 0 };
  changed();
}

/** Puts all that was saved in the place of what is chosen. Says whether it could. */
export function restore(text) {
  let given = null;
  try {
    given = JSON.parse(text);
  } catch {
    return false;
  }
  if (typeof given?.choices !== "object" || given.choices === null) return false;
  change("restore", (state) => take(state, given));
  return true;
}

const isFit = (value, like) =>
  value !== null && typeof value === typeof like && Array.isArray(value) === Array.isArray(like);

/** A group of choices, each as given where it is of the kind that it must be. */
function fitted(given, usual) {
  const has = (key) => isFit(given[key], usual[key]);
  return Object.fromEntries(Object.keys(usual).map((key) => [key, has(key) ? given[key] : usual[key]]));
}

/** Takes over what is of the kind that it must be. */
function take(state, given) {
  for (const key of Object.keys(START)) {
    if (!isFit(given[key], START[key])) continue;
    const isGroup = ["list", "own", "tune"].includes(key);
    state[key] = isGroup ? fitted(given[key], START[key]) : given[key];
  }
  if (!Object.hasOwn(VIEWS, state.view)) state.view = "sheet";
  state.own.kept = state.own.kept.filter((one) => typeof one === "string");
}

/** Begins with what this page had before it was loaded anew, or with what was chosen last time. */
export function recall(remembered) {
  let own = null;
  try {
    own = JSON.parse(sessionStorage.getItem(KEY));
  } catch {
    own = null;
  }
  const given = own ?? remembered;
  if (given && typeof given === "object") take(state, given);
  changed();
}
