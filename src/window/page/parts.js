// Small parts that every view is made of.

/** An element with attributes and children. Words are never read as markup. */
export function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return made;
}

/** A button. */
export function button(words, act, attributes = {}) {
  return el("button", { type: "button", onclick: act, ...attributes }, words);
}

/** Gives a file to the browser to be saved. */
export function save(blob, name) {
  const url = URL.createObjectURL(blob);
  const link = el("a", { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  say(`${name} is saved.`);
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** Runs only the latest of many requests: one at a time, and none that is out of date is shown. */
export function latest(run, show, fail) {
  let running = false;
  let waiting = null;
  let newest = 0;
  return async function ask(request) {
    newest += 1;
    waiting = [newest, request];
    if (running) return;
    running = true;
    while (waiting) {
      const [number, next] = waiting;
      waiting = null;
      try {
        const answer = await run(next);
        if (number === newest) show(answer, next);
      } catch (error) {
        if (number === newest) fail(error, next);
      }
    }
    running = false;
  };
}

/** How long nothing new must have come before something is said, in milliseconds: whoever types is
 *  not interrupted. */
const PAUSE = 1000;
let saying = 0;

/** Says something to those who listen to the page; of much said at once, the last. */
export function say(words) {
  clearTimeout(saying);
  const place = document.getElementById("said");
  // What is said twice is heard twice.
  if (place.textContent === words) place.textContent = "";
  saying = setTimeout(() => {
    place.textContent = words;
  }, PAUSE);
}

/** Brings a control out of use or back into it; whoever has it in focus keeps it, so that nothing here is
 *  ever disabled otherwise. What it does asks `isOn` first. */
export function enable(control, isOn) {
  control.setAttribute("aria-disabled", String(!isOn));
}

/** Whether a control is in use. */
export const isOn = (control) => control.getAttribute("aria-disabled") !== "true";

/** Tells of something that concerns the whole page; nothing takes it away again. */
export function notice(words, act) {
  const place = document.getElementById("notice");
  place.replaceChildren();
  if (!words) return;
  place.append(el("p", {}, words), act ?? button("Close", () => notice("")));
}

/** A word of the program as it is read: hyphens are blanks. */
export function plain(word) {
  return String(word).replaceAll("-", " ");
}

/** Sets the content of an element only where it changes, so that nothing is read out twice. */
export function tell(place, words) {
  if (place.textContent !== words) place.textContent = words;
}
