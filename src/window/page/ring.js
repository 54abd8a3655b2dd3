// The ring of keys in falling fifths, as the sheets print it: each key a button of its own.

import { button, el, plain, tell } from "./parts.js";
import { change, now } from "./history.js";

const ROUND = 12;

/** Builds the ring; gives what brings it up to date with what was made. */
export function ring(round, fault) {
  const keys = round.customary;
  const all = [...round.customary, ...round.sharps, ...round.flats];
  const place = (key) => {
    const tonic = key.split(/[ -]/)[0];
    for (const spelled of [round.customary, round.sharps, round.flats]) {
      const found = spelled.findIndex((one) => one.key === tonic);
      if (found >= 0) return found;
    }
    return -1;
  };
  const spelling = el(
    "select",
    {
      id: "spelling",
      onchange: () =>
        change("keys", (state) => {
          const spelled = round[spelling.value];
          state.choices.keys = (state.choices.keys ?? []).map((key) => {
            const at = place(key);
            const mode = key.includes(" ") ? key.slice(key.indexOf(" ")) : "";
            return at < 0 ? key : spelled[at].key + mode;
          });
        }),
    },
    el("option", { value: "customary" }, "customary names"),
    el("option", { value: "sharps" }, "sharps"),
    el("option", { value: "flats" }, "flats"),
  );
  const several = el("input", {
    type: "checkbox",
    id: "several",
    onchange: () =>
      change("several", (state) => {
        state.several = several.checked;
        if (!several.checked) state.choices.keys = (state.choices.keys ?? []).slice(0, 1);
      }),
  });
  const choose = (index) =>
    change("keys", (state) => {
      const key = round[spelling.value][index].key;
      const had = state.choices.keys ?? [];
      const is = had.some((one) => place(one) === index);
      if (!state.several) state.choices.keys = [key];
      else if (is) state.choices.keys = had.filter((one) => place(one) !== index);
      else state.choices.keys = [...had, key];
      state.page = 0;
    });
  const keysOf = keys.map((key, index) => {
    const one = button(key.shown, () => choose(index), { class: "key", "data-key": key.key, "aria-pressed": "false" });
    // Falling fifths run against the clock, from the top.
    const angle = (-index / ROUND) * 2 * Math.PI;
    one.style.left = `${50 + 42 * Math.sin(angle)}%`;
    one.style.top = `${50 - 42 * Math.cos(angle)}%`;
    return one;
  });
  const chosen = el("p", { class: "chosen", id: "chosen-keys" });
  const whole = button("All in a row", () =>
    change("keys", (state) => {
      state.several = true;
      state.choices.keys = round[spelling.value].map((key) => key.key);
      state.page = 0;
    }),
  );
  const group = el(
    "fieldset",
    { class: "ring-field", "data-field": "keys", "aria-describedby": "fault-keys" },
    el("legend", {}, "Keys"),
    el("div", { class: "ring" }, keysOf, el("div", { class: "hub" }, whole)),
    chosen,
    el("div", { class: "row" },
      el("label", { class: "check" }, several, "several keys"),
      el("label", { class: "inline" }, el("span", {}, "spelled with"), spelling)),
    fault,
  );
  const shown = (key) => {
    const [tonic, ...mode] = key.split(/[ ]/);
    const known = all.find((one) => one.key === tonic);
    return [known ? known.shown : tonic, ...mode].join(" ");
  };
  function update(made) {
    const state = now();
    const asked = state.choices.keys ?? made?.keys ?? [];
    keysOf.forEach((one, index) => {
      const at = asked.findIndex((key) => place(key) === index);
      one.setAttribute("aria-pressed", String(at >= 0));
      const name = at >= 0 ? shown(asked[at]) : round[spelling.value][index].shown;
      tell(one, name);
    });
    several.checked = state.several;
    const names = (made?.keys?.length ? made.keys : asked).map(shown);
    tell(chosen, names.length ? `Chosen: ${names.map(plain).join(", ")}` : "No key is chosen");
  }
  /** The key after the one that is chosen, in falling fifths. */
  function next() {
    const at = place((now().choices.keys ?? [])[0] ?? "");
    return at < 0 ? null : round[spelling.value][(at + 1) % ROUND].key;
  }
  return { group, update, next };
}
