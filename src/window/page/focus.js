// The focus of whoever works by keys: what has it may be taken out, hidden or brought out of use, and they
// go on near where they were.

/** How many of the elements that had the focus are known, for the way back. */
const MOST = 20;
const USABLE = "button, select, input, textarea, summary, [tabindex='0']";

/** What had the focus, the last one first: `{element, around}`. */
let had = [];
let isAsked = false;

/** What an element lies in, from the inside out, as far as its view. */
function ancestors(element) {
  const all = [];
  for (let at = element.parentElement; at && !["BODY", "MAIN", "SECTION", "HEADER"].includes(at.tagName); at = at.parentElement) all.push(at);
  return all;
}

const isShown = (element) => element.isConnected && element.getClientRects().length > 0;
const isUsable = (element) => !element.disabled && isShown(element);

/** Where whoever used what is lost goes on: at something near it, or where they were before, or at the top
 *  of the work. */
function next() {
  const [{ around, view }, ...before] = had;
  // Of a view that has gone nothing is near: what has come begins at its top.
  if (!view?.hidden) {
    for (const one of around.filter(isShown)) {
      const near = [...one.querySelectorAll(USABLE)].find(isUsable);
      if (near) return near;
    }
    const way = before.find((one) => isUsable(one.element));
    if (way) return way.element;
  }
  return document.getElementById("work");
}

/** Gives the focus back where it was lost. `isLost` says of an element whether it can have it no more. */
function mend(isLost) {
  if (had.length === 0 || !isLost(had[0].element)) return;
  const active = document.activeElement;
  if (active && active !== document.body && active !== had[0].element) return;
  next().focus();
}

/** Watches the page. What is taken out or disabled is lost at once; what is hidden once the browser knows
 *  where things are, so that nothing is laid out for it. */
export function holdFocus() {
  document.addEventListener("focusin", ({ target }) => {
    const one = { element: target, around: ancestors(target), view: target.closest("main > section") };
    had = [one, ...had.filter((other) => other.element !== target)].slice(0, MOST);
  });
  document.addEventListener("focusout", ({ target, relatedTarget }) => {
    if (relatedTarget) return;
    // Who clicks beside everything leaves what they used; what was taken out has left them.
    queueMicrotask(() => {
      if (document.activeElement === document.body && isUsable(target)) had = [];
    });
  });
  new MutationObserver(() => {
    mend((element) => !element.isConnected || element.disabled);
    if (isAsked) return;
    isAsked = true;
    requestAnimationFrame(() => {
      isAsked = false;
      mend((element) => !isUsable(element));
    });
  }).observe(document.body, { subtree: true, childList: true, attributes: true, attributeFilter: ["hidden", "disabled"] });
}
