// A class: its list as a table, each student's sheet, all of them in one file, next week's list.

import { Faults, make } from "./engine.js";
import { button, el, enable, latest, save, say, tell } from "./parts.js";
import { alsoKeep, change, look, now, told } from "./history.js";
import { ownDrills } from "./drills.js";
import { paper, print } from "./paper.js";

const EMPTY = "name,drill,keys,tempo,goal,level,date,went-well\n";

const NOBODY = "Nobody is in the list yet; write a name at One student more.";

/** The view of a class: `{update(state)}`. */
export function classView(known, failed) {
  const place = document.getElementById("class");
  // Drills go by the titles that their sheets are headed with.
  const names = el("datalist", { id: "drill-names" });
  let named = "";
  const nameDrills = (state) => {
    const all = [...ownDrills(state), ...known.drills].map((drill) => drill.title);
    if (JSON.stringify(all) === named) return;
    named = JSON.stringify(all);
    names.replaceChildren(...all.map((title) => el("option", { value: title })));
  };
  let table = null;
  // Changes of the list that are on their way, one after another.
  let line = Promise.resolve();
  const sent = [];
  // The cell that has the focus once the list is drawn again.
  let focusNext = null;
  // Next week's list as it was made, and what of: `{text, of}`.
  let weekAfter = null;

  const request = (state, more = {}) => {
    // What is for one student or one day is of no use to others.
    const { student, note, date, form, ...choices } = state.choices;
    const over = state.list.over ? choices : {};
    return { choices: over, name: state.list.name || "class.csv", text: state.list.text, date: state.list.day, own: ownDrills(state).map((drill) => drill.text), ...more };
  };

  const start = el("div", { class: "start" },
    el("p", {}, "Open the list of your class, a table saved as CSV, or begin one here."),
    el("div", { class: "row" },
      button("Open a list", () => document.getElementById("open").click(), { class: "main" }),
      button("Begin a list", () => {
        change("begin-list", (state) => {
          state.list = { ...state.list, name: "class.csv", text: EMPTY, row: 0 };
        });
        student.focus();
        say(NOBODY);
      }, { id: "begin-list" })));

  const faults = el("ul", { class: "faults", id: "class-faults", tabindex: "-1" });
  const said = el("ul", { class: "remarks" });
  const nobody = el("p", { class: "about", hidden: true }, NOBODY);
  const head = el("tr");
  const body = el("tbody");
  const rows = el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "The list" },
    el("table", {}, el("caption", { class: "unseen" }, "The students of the class"), el("thead", {}, head), body));

  const student = el("input", { id: "new-student", autocomplete: "off",
    onkeydown: (event) => { if (event.key === "Enter") { event.preventDefault(); add(); } } });
  const add = async () => {
    const name = student.value.trim();
    if (!name) return;
    const isAdded = await edit("student", { student: name }, `${name} is in the list.`);
    // Who could not be added is not forgotten.
    if (isAdded && student.value.trim() === name) student.value = "";
  };
  const day = el("input", { id: "class-day", autocomplete: "off", "aria-describedby": "class-day-help",
    oninput: () => {
      change("day", (state) => { state.list.day = day.value; });
      if (weekAfter && weekAfter.text === now().list.text) line = line.then(() => nextWeek(weekAfter.of, "day")).catch(failed);
    } });
  const over = el("input", { type: "checkbox", id: "class-over",
    onchange: () => change("over", (state) => { state.list.over = over.checked; }) });
  const faster = el("input", { id: "class-faster", class: "short", inputmode: "numeric", value: "8" });

  const doing = (act) => async () => {
    try {
      // What was typed a moment before is in it.
      await line;
      await act();
    } catch (error) {
      if (!(error instanceof Faults)) {
        failed(error);
        return;
      }
      showFaults(error.faults);
      // Whoever asked for a file is told, and led to what keeps it from being made.
      const inCell = error.faults.find((one) => cellOf(one)) ?? error.faults[0];
      say(`Nothing is made yet. ${inWords(inCell)}`);
      (cellOf(inCell) ?? faults).focus();
    }
  };
  const rest = button("Save those that are ready", doing(async () => {
    save(await make("class/all", request(now(), { rest: true }), "blob"), `${stem()}.zip`);
    say("The sheets that are ready are saved.");
  }), { id: "save-rest", hidden: true });
  const stem = () => (now().list.name || "class").replace(/\.[^.]*$/, "");
  const tools = el("div", { class: "class-tools" },
    el("div", { class: "row" },
      button("Save everybody's sheets", doing(async () => {
        const blob = await make("class/all", request(now()), "blob");
        save(blob, `${stem()}.zip`);
        say("Everybody's sheets are saved.");
      }), { class: "main", id: "save-all" }),
      rest,
      button("Save the list", doing(async () => {
        save(new Blob([now().list.text], { type: "text/csv" }), now().list.name || "class.csv");
      }), { id: "save-list" }),
      button("Put the list away", () => {
        change("close-list", (state) => {
          state.list = { ...state.list, name: "", text: "", row: 0 };
        });
        say("The list is put away; Undo brings it back.");
      }, { id: "close-list" })),
    el("div", { class: "row" },
      el("label", { class: "inline" }, el("span", {}, "The day, for all"), day),
      el("span", { class: "help", id: "class-day-help" }, "such as 2026-11-30"),
      el("label", { class: "check" }, over, "what a row leaves open is as on the sheet")),
    el("div", { class: "row" },
      el("label", { class: "inline" }, el("span", {}, "One student more"), student),
      button("Add", add, { id: "add-student" })),
    el("div", { class: "row" },
      el("label", { class: "inline" }, el("span", {}, "Next week, where it went well, faster by"), faster),
      button("Make next week's list", doing(async () => {
        await nextWeek(request(now(), { faster: Number(faster.value) || 0 }), "next");
      }), { id: "next-week" })));

  /** Makes next week's list of this week's; of the same one anew where another day is chosen for it. */
  async function nextWeek(of, tag) {
    const isNew = tag === "next";
    let made = null;
    try {
      made = await make("class/next", { ...of, date: now().list.day });
    } catch (error) {
      // A day that is still being typed is waited for.
      if (isNew || !(error instanceof Faults)) throw error;
      return;
    }
    weekAfter = { text: made.text, of };
    const name = isNew ? `${stem()}-next.csv` : now().list.name;
    change(tag, (state) => {
      state.list.text = made.text;
      state.list.name = name;
    });
    const still = isNew && now().list.day ? [`The day for all is still ${now().list.day}; change it, and the list follows.`] : [];
    said.replaceChildren(...[...made.said, ...still].map((one) => el("li", {}, one)));
  }

  const desk = paper((page) => drawSheet({ row: now().list.row, page }), [
    button("Save this sheet", doing(async () => {
      const row = now().list.row;
      save(await make("class/pdf", request(now(), { row }), "blob"), table?.rows[row]?.sheet?.name ?? "sheet.pdf");
    })),
    button("Print this sheet", doing(() => print(make("class/pdf", request(now(), { row: now().list.row }), "blob")))),
  ], "The student's sheet");
  const whose = el("h2", { hidden: true });
  const call = (words) => {
    tell(whose, words);
    whose.hidden = !words;
  };
  const work = el("div", { class: "pair even" },
    el("div", { class: "list" }, tools, el("div", {}, nobody, faults, el("div", { role: "status" }, said)), rows, names),
    el("div", { class: "desk" }, whose, desk.node));
  place.append(start, work);

  const ask = latest((wanted) => make("class", wanted), showTable, (error) => {
    if (error instanceof Faults) showFaults(error.faults);
    else failed(error);
  });
  const askSheet = latest((wanted) => make("class/sheet", wanted), (page) => desk.show(page), (error) => {
    if (error instanceof Faults) desk.fail(error.faults.map((fault) => fault.words));
    else failed(error);
  });

  function drawSheet({ row, page }) {
    const one = table?.rows[row];
    const name = nameOf(row);
    call(name ? `The sheet of ${name}` : "");
    if (one) askSheet(request(now(), { row, page }));
    else desk.clear();
  }

  /** Has the program change the text of the list, so that all else in it stays as it is. */
  function edit(tag, wanted, words) {
    sent.push(wanted);
    const done = line.then(() => edited(tag, wanted, words));
    line = done;
    return done;
  }

  async function edited(tag, wanted, words) {
    try {
      const made = await make("class", request(now(), { change: wanted }));
      sent.splice(sent.indexOf(wanted), 1);
      change(tag, (state) => { state.list.text = made.text; }, words);
      return true;
    } catch (error) {
      if (sent.includes(wanted)) sent.splice(sent.indexOf(wanted), 1);
      if (error instanceof Faults) showFaults(error.faults);
      else failed(error);
      return false;
    }
  }

  /** What is typed in a cell and not in the list yet. */
  function typing() {
    const input = document.activeElement;
    if (!body.contains(input) || input.tagName !== "INPUT" || input.value === input.defaultValue) return [];
    const [row, head] = input.dataset.cell.split(" ");
    return [{ row: Number(row), head, words: input.value }];
  }
  alsoKeep((state) => {
    state.list.typed = [...sent, ...typing().filter((one) => !sent.some((other) => other.row === one.row && other.head === one.head))];
  });

  /** Takes over what was typed when the page was closed. */
  function takeTyped({ typed }) {
    if (typed.length === 0) return;
    // It is in the list soon, and once is enough.
    now().list.typed = [];
    for (const one of typed) edit("typed", one);
  }

  /** What a row leaves open and has all the same. */
  function taken(row, key) {
    return ["drill", "keys", "tempo"].includes(key) ? row.sheet?.[key] : null;
  }

  /** A fault with where it is. */
  function inWords(fault) {
    const name = nameOf(fault.row);
    const place = fault.place ? `${fault.place.replace(/^[^,:]*[,:] ?/, "").replace(/: $/, "")}: ` : "";
    // A student is known by name; a row by the number that a spreadsheet gives it.
    const where = name ? `${name}, ${fault.head ?? "the row"}: ` : place || (fault.field ? `On the sheet, ${fault.field}: ` : "");
    return `${where}${fault.words}`;
  }

  /** The cell that a fault is about, or the first one of its row; nothing where there is none. */
  function cellOf({ row, head }) {
    const cell = (key) => body.querySelector(`[data-cell="${CSS.escape(`${row} ${key}`)}"]`);
    return typeof row === "number" ? cell(head) ?? cell("name") : null;
  }

  /** Who is in a row. */
  function nameOf(row) {
    return table?.rows[row]?.cells[table.heads.indexOf("name")] ?? "";
  }

  function showFaults(list) {
    const news = told();
    const before = [...faults.children].map((one) => one.textContent);
    faults.replaceChildren(...list.map((fault) => el("li", {}, inWords(fault))));
    // What was said before is not said again.
    const after = [...faults.children].map((one) => one.textContent);
    const fresh = after.filter((one) => !before.includes(one));
    const mended = after.length < before.length ? (after.length ? `Mended; ${after.length} to go.` : "Mended.") : "";
    const words = [news, fresh.length ? fresh.join(" ") : mended].filter((one) => one !== "").join(" ");
    if (words) say(words);
  }

  function showTable(made) {
    const active = document.activeElement;
    const focus = focusNext ?? active?.dataset?.cell;
    focusNext = null;
    table = made;
    // A list that is yet to be written is not at fault for it.
    nobody.hidden = made.rows.length > 0;
    showFaults(made.faults.filter((fault) => made.rows.length > 0 || fault.place));
    head.replaceChildren(
      ...made.heads.map((name) => el("th", { scope: "col" }, name)),
      el("th", { scope: "col" }, "sheet"));
    body.replaceChildren(...made.rows.map((row, index) => {
      const name = row.cells[made.heads.indexOf("name")] || row.place;
      const cells = row.cells.map((words, column) => {
        const key = made.heads[column];
        const wrong = made.faults.filter((fault) => fault.row === index && fault.head === key);
        if (words === null) return el("td", {}, el("span", { class: "help" }, "none"));
        const id = `wrong-${index}-${key}`;
        const input = el("input", {
          "aria-label": `${key} of ${name}`, "data-cell": `${index} ${key}`, value: words, autocomplete: "off",
          list: key === "drill" ? names.id : null, placeholder: words === "" ? taken(row, key) : null,
          "aria-invalid": wrong.length ? "true" : null, "aria-describedby": wrong.length ? id : null,
          onchange: (event) => edit(`cell ${index} ${key}`, { row: index, head: key, words: event.target.value }),
        });
        // As wide as its words, in the width of a figure.
        const least = key === "drill" ? 14 : 3;
        const round = ["name", "drill"].includes(key) ? 4 : 2.2;
        input.style.width = `${Math.min(26, Math.max(least, words.length)) + round}ch`;
        // It stands above the table; here it is for those who come to the cell by ear.
        const fault = wrong.length ? el("p", { hidden: true, id }, wrong.map((one) => one.words).join(" ")) : null;
        return key === "name" ? el("th", { scope: "row" }, input, fault) : el("td", {}, input, fault);
      });
      const isShown = index === now().list.row;
      const look_ = button(row.sheet ? "Look" : "Not yet", () => {
        if (!row.sheet) say(`The sheet of ${name} is not ready yet; mend what is marked in the row.`);
        else {
          look((state) => { state.list.row = index; });
          say(`The sheet of ${name} is shown.`);
        }
      }, {
        "aria-label": row.sheet ? `Look at the sheet of ${name}` : `Not yet: the sheet of ${name}`, "aria-pressed": String(isShown), "data-cell": `${index} look`,
      });
      enable(look_, Boolean(row.sheet));
      const out = button("Take out", async () => {
        // A second press takes nobody else out.
        const near = cellOf({ row: index + 1 }) ?? cellOf({ row: index - 1 }) ?? student;
        near.focus();
        const isOut = await edit("without", { without: index }, `${name} is taken out.`);
        if (isOut && document.activeElement === near && near !== student) focusNext = `${Math.min(index, made.rows.length - 2)} name`;
      }, { class: "plain", "aria-label": `Take out ${name}`, "data-cell": `${index} out` });
      return el("tr", { class: isShown ? "shown" : null }, cells, el("td", {}, el("div", { class: "row" }, look_, out)));
    }));
    if (focus) (body.querySelector(`[data-cell="${CSS.escape(focus)}"]`) ?? student).focus();
    rest.hidden = made.faults.length === 0 || !made.rows.some((row) => row.sheet);
    if (weekAfter?.text !== now().list.text) said.replaceChildren();
    if (made.rows[now().list.row]?.sheet) {
      drawSheet({ row: now().list.row, page: 0 });
    } else {
      call("");
      desk.clear();
    }
    document.documentElement.dataset.listed = String(Number(document.documentElement.dataset.listed ?? 0) + 1);
  }

  return {
    update(state) {
      const has = state.list.text !== "";
      start.hidden = has;
      work.hidden = !has;
      if (document.activeElement !== day) day.value = state.list.day;
      over.checked = state.list.over;
      nameDrills(state);
      if (has) takeTyped(state.list);
      if (has) ask(request(state));
    },
  };
}
