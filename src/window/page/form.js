// A control for each field of a recipe, made from the table that the program sends: a field that is
// new there appears here by itself.

import { el, plain, tell } from "./parts.js";
import { change, now } from "./history.js";

/** The place where what is wrong with a field is told. */
export function faultOf(name) {
  return el("p", { class: "fault", id: `fault-${name}`, "data-fault": name });
}

/** Puts a value among the choices; nothing takes it out. A level fills in what is not chosen, so what
 *  it fills in is forgotten when another one is chosen. */
function set(field, value, level) {
  change(field.name, (state) => {
    const isNothing = value === "" || value === null || (Array.isArray(value) && value.length === 0);
    if (isNothing) delete state.choices[field.name];
    else state.choices[field.name] = value;
    if (field.name === "level") for (const other of level) delete state.choices[other];
    if (field.name === "form") state.page = 0;
  });
}

/** The control of a field: `{node, update(made)}`. */
export function control(field, level) {
  const id = `f-${field.name}`;
  const about = { "aria-describedby": `fault-${field.name} help-${field.name}` };
  const fault = faultOf(field.name);
  const help = el("p", { class: "help", id: `help-${field.name}` }, field.help);
  const wrap = (...inside) =>
    el("div", { class: "field", "data-field": field.name }, ...inside, fault, help);
  const label = el("label", { for: id }, field.label);
  const make = CONTROLS[field.kind] ?? CONTROLS.line;
  return make({ field, id, about, wrap, label, level });
}

/** The value that a field has: as it was chosen, or else as it was made. */
function had(field, made) {
  return now().choices[field.name] ?? made?.[field.name];
}

/** Brings an input up to date unless somebody is typing in it. */
function put(input, value) {
  if (input.value !== value && document.activeElement !== input) input.value = value;
}

const CONTROLS = {
  word({ field, id, about, wrap, label, level }) {
    const usual = el("option", { value: "" }, "as usual");
    const select = el(
      "select",
      { id, ...about, onchange: () => set(field, select.value, level) },
      field.name === "form" ? null : usual,
      field.words.map((word) => el("option", { value: word }, plain(word))),
    );
    const update = (made) => {
      const chosen = now().choices[field.name];
      select.value = chosen === undefined ? "" : String(chosen);
      const value = made?.[field.name];
      tell(usual, value === undefined ? "as usual" : `as usual: ${plain(value)}`);
    };
    return { node: wrap(label, select), update };
  },

  number({ field, id, about, wrap, label, level }) {
    const input = el("input", {
      id, ...about, inputmode: "numeric", autocomplete: "off", class: "short",
      oninput: () => set(field, input.value.trim(), level),
      onkeydown: (event) => {
        const by = { ArrowUp: 1, ArrowDown: -1 }[event.key];
        if (!by) return;
        event.preventDefault();
        const old = Number(input.value || input.placeholder) || field.least;
        input.value = String(Math.min(field.most, Math.max(field.least, old + by)));
        set(field, input.value, level);
      },
    });
    const update = (made) => {
      put(input, String(now().choices[field.name] ?? ""));
      const value = made?.[field.name];
      input.placeholder = value === undefined ? "" : String(value);
    };
    return { node: wrap(label, input), update };
  },

  numbers({ field, id, about, wrap, label, level }) {
    const input = el("input", {
      id, ...about, inputmode: "numeric", autocomplete: "off",
      oninput: () =>
        set(field, input.value.split(/[,; ]+/).filter((word) => word !== ""), level),
    });
    const update = () => put(input, (now().choices[field.name] ?? []).join(", "));
    return { node: wrap(label, input), update };
  },

  line({ field, id, about, wrap, label, level }) {
    const input = el("input", {
      id, ...about, autocomplete: "off", oninput: () => set(field, input.value, level),
    });
    const update = () => put(input, String(now().choices[field.name] ?? ""));
    return { node: wrap(label, input), update };
  },

  lines({ field, id, about, wrap, label, level }) {
    const input = el("textarea", {
      id, ...about, rows: "3", oninput: () => set(field, input.value, level),
    });
    const update = () => put(input, String(now().choices[field.name] ?? ""));
    return { node: wrap(label, input), update };
  },

  flag({ field, id, about, wrap, level }) {
    const input = el("input", {
      type: "checkbox", id, ...about, onchange: () => set(field, input.checked ? true : null, level),
    });
    const update = (made) => {
      input.checked = Boolean(had(field, made));
    };
    return { node: wrap(el("label", { class: "check" }, input, field.label)), update };
  },

  words({ field, wrap, level }) {
    const boxes = field.words.map((word) => {
      const box = el("input", {
        type: "checkbox", value: word,
        onchange: () =>
          set(field, boxes.filter((one) => one.checked).map((one) => one.value), level),
      });
      return box;
    });
    const labels = boxes.map((box) => el("label", { class: "check" }, box, plain(box.value)));
    const update = (made) => {
      const chosen = had(field, made) ?? [];
      for (const box of boxes) box.checked = chosen.includes(box.value);
    };
    const group = el("fieldset", {}, el("legend", {}, field.label), el("div", { class: "row" }, labels));
    return { node: wrap(group), update };
  },

  picture({ field, id, about, wrap, label }) {
    const MOST = 8 * 1024 * 1024;
    const input = el("input", {
      type: "file", id, ...about, accept: "image/png,image/jpeg",
      onchange: async () => {
        const file = input.files[0];
        const fault = document.getElementById(`fault-${field.name}`);
        if (!file) return;
        if (file.size > MOST) {
          tell(fault, "The picture is larger than 8 MiB; choose a smaller one.");
          return;
        }
        const data = await base64(file);
        change(field.name, (state) => {
          state.choices.logo = file.name;
          state.choices.logo_data = data;
        });
      },
    });
    const had = el("p", { class: "chosen" });
    const out = el("button", {
      type: "button",
      onclick: () =>
        change(field.name, (state) => {
          delete state.choices.logo;
          delete state.choices.logo_data;
        }),
    }, "Take it out");
    const update = () => {
      const name = now().choices.logo;
      tell(had, name ? `Chosen: ${name}` : "");
      out.hidden = !name;
      if (!name) input.value = "";
    };
    return { node: wrap(label, input, had, out), update };
  },
};

/** A file in base64. */
export async function base64(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let binary = "";
  for (let at = 0; at < bytes.length; at += 0x8000) {
    binary += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  }
  return btoa(binary);
}

/** Tells what is wrong at the fields that it is about, and gives what is about none of them. */
export function showFaults(form, faults) {
  const byField = new Map();
  const rest = [];
  const alias = { template: "drill", course: "drill", logo_data: "logo", order: "order" };
  for (const fault of faults) {
    const name = alias[fault.field] ?? fault.field;
    const place = name && form.querySelector(`[data-fault="${CSS.escape(name)}"]`);
    if (!place) rest.push(fault.words);
    else byField.set(name, [...(byField.get(name) ?? []), fault.words]);
  }
  for (const place of form.querySelectorAll("[data-fault]")) {
    const name = place.dataset.fault;
    const words = (byField.get(name) ?? []).join(" ");
    tell(place, words);
    const input = document.getElementById(`f-${name}`);
    if (input) {
      if (words) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
    for (let at = words ? place.parentElement : null; at; at = at.parentElement) {
      if (at.tagName === "DETAILS") at.open = true;
    }
  }
  return rest;
}
