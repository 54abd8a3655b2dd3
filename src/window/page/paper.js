// A sheet as it is printed: its page, turning pages, its words, what is said of it.

import { button, el, enable, tell } from "./parts.js";

/** A place for a sheet. `turn(page)` is called when another page is asked for; `acts` are buttons. */
export function paper(turn, acts = [], name = "The sheet") {
  let shown = { page: 0, pages: 1 };
  // The page that was asked for last, which may be on its way.
  let asked = 0;
  const figure = el("figure", { class: "sheet", tabindex: "0", "aria-label": name,
    onkeydown: (event) => {
      const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (!by || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      go(asked + by);
    } });
  const back = button("Previous page", () => go(asked - 1));
  const on = button("Next page", () => go(asked + 1));
  const where = el("span", { class: "where" });
  const turning = el("div", { class: "turning" }, back, where, on);
  const fault = el("p", { class: "fault" });
  const remarks = el("ul", { class: "remarks", "aria-label": "What is to be said of it" });
  const about = el("p", { class: "about" });
  const words = el("div", { class: "words" });
  const text = el("details", {}, el("summary", {}, "The page in words"), words);
  const wide = el("input", { type: "checkbox", onchange: () => figure.classList.toggle("wide", wide.checked) });
  const node = el(
    "div",
    { class: "paper" },
    el("div", { class: "acts" }, acts, turning, el("label", { class: "check" }, wide, "large")),
    fault,
    el("div", { class: "stage" }, figure),
    about,
    remarks,
    text,
  );
  function go(page) {
    if (page < 0 || page >= shown.pages) return;
    asked = page;
    turn(page);
  }
  return {
    node,
    figure,
    /** Shows a page. */
    show(page) {
      shown = page;
      asked = page.page;
      figure.innerHTML = page.drawing;
      figure.classList.remove("stale");
      turning.hidden = page.pages < 2;
      tell(where, `${page.page + 1} of ${page.pages}`);
      enable(back, page.page > 0);
      enable(on, page.page + 1 < page.pages);
      tell(about, `${page.name}: ${page.about}`);
      remarks.replaceChildren(...page.remarks.map((one) => el("li", {}, one)));
      words.replaceChildren(...page.words.map((line) => el("p", {}, line)));
      tell(fault, "");
    },
    /** Says why the sheet is not up to date. */
    fail(lines) {
      figure.classList.add("stale");
      tell(fault, lines.join(" "));
    },
    /** Shows nothing. */
    clear() {
      figure.replaceChildren();
      words.replaceChildren();
      remarks.replaceChildren();
      tell(about, "");
      tell(fault, "");
      turning.hidden = true;
    },
  };
}

/** Opens a PDF in a tab of its own, where the browser prints it as it is. */
export async function print(making) {
  const tab = window.open("about:blank", "_blank");
  try {
    const blob = await making;
    const url = URL.createObjectURL(blob);
    if (tab) tab.location = url;
    else location.assign(url);
  } catch (error) {
    tab?.close();
    throw error;
  }
}
