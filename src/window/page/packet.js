// A study packet: for whom it is, how the tune is to lie under the hands, and what other tunes go with it.

import { button, el, enable, isOn, plain, say, tell } from "./parts.js";
import { change, now } from "./history.js";

/** Most tunes of a packet. */
const MOST = 6;

/** The choices of a packet: `{node, wanted(), faults(list), update(state)}`. `charts` has the texts of
 *  ours by their names, once they are known. */
export function packetPanel(known, charts) {
  const places = new Map();
  const faultOf = (name) => {
    const place = el("p", { class: "fault", id: `packet-fault-${name}` });
    places.set(name, place);
    return place;
  };
  const set = (name, value) => change(`packet ${name}`, (state) => {
    if (value.length) state.tune.packet[name] = value;
    else delete state.tune.packet[name];
    state.tune.page = 0;
  });

  const lines = known.packet.lines.map(({ name, label }) => {
    const input = el("input", { id: `packet-${name}`, autocomplete: "off", "aria-describedby": `packet-fault-${name}`,
      oninput: () => set(name, input.value.trim() ? input.value : "") });
    return { name, label, input };
  });
  const ways = known.packet.ways.map(({ word, usual }) => {
    const box = el("input", { type: "checkbox", value: word, onchange: () => {
      const had = chosen(now());
      const all = box.checked ? [...had, word] : had.filter((one) => one !== word);
      set("under", ways.map((one) => one.word).filter((one) => all.includes(one)));
    } });
    return { word, usual, box };
  });
  const chosen = (state) => state.tune.packet.under ?? ways.filter((one) => one.usual).map((one) => one.word);

  const more = el("ul", { class: "chosen-tunes" });
  const add = el("select", { id: "packet-more" });
  const put = button("Add it", () => {
    const text = charts.get(add.value);
    if (!isOn(put)) say(`A packet has ${MOST} tunes at most.`);
    else if (text) change("packet more", (state) => { state.tune.more = [...state.tune.more, text]; }, `${titleOf(text)} is in the packet.`);
    else {
      say("Choose a tune to add first.");
      add.focus();
    }
  }, { id: "packet-add" });
  const node = el("fieldset", { id: "packet" }, el("legend", {}, "In the study packet"),
    el("div", { class: "grid" }, lines.map(({ name, label, input }) =>
      el("div", { class: "field" }, el("label", { for: input.id }, label), input, faultOf(name)))),
    el("fieldset", { class: "inner" }, el("legend", {}, "How the tune lies under the hands, the easiest first"),
      el("div", { class: "row" }, ways.map(({ word, box }) => el("label", { class: "check" }, box, plain(word)))), faultOf("under")),
    el("div", { class: "field" }, el("label", { for: add.id }, "One of ours with it"), el("div", { class: "row one" }, add, put)), more);

  return {
    node,
    /** What is asked for beside the text that is typed. */
    wanted: () => {
      const { text, look, packet, more } = now().tune;
      return { texts: [text, ...more], asked: { ...look, ...packet } };
    },
    /** Tells what is wrong with a choice where it is made, and gives what is about none. */
    faults(list) {
      for (const [name, place] of places) {
        tell(place, list.filter((fault) => fault.place === name).map((fault) => fault.words).join(" "));
      }
      return list.filter((fault) => !places.has(fault.place));
    },
    update(state) {
      node.hidden = state.tune.as !== "packet";
      for (const { name, input } of lines) {
        const value = String(state.tune.packet[name] ?? "");
        if (document.activeElement !== input && input.value !== value) input.value = value;
      }
      const own = chosen(state);
      for (const { word, box } of ways) box.checked = own.includes(word);
      if (add.options.length !== charts.size + 1) {
        add.replaceChildren(el("option", { value: "" }, "choose one"),
          ...[...charts].map(([name, text]) => el("option", { value: name }, titleOf(text))));
      }
      enable(put, state.tune.more.length + 1 < MOST);
      more.replaceChildren(...state.tune.more.map((text, index) => el("li", { class: "row" }, titleOf(text),
        button("Take out", () => {
          // A second press takes no other out.
          add.focus();
          change("packet less", (state) => {
            state.tune.more = state.tune.more.filter((_, other) => other !== index);
          }, `${titleOf(text)} is taken out.`);
        }, { "aria-label": `Take out ${titleOf(text)}` }))));
    },
  };
}

/** What a chart is called, as its text has it. */
function titleOf(text) {
  const found = text.match(/^title *= *"((?:[^"\\]|\\.)*)"/m)?.[1] ?? "a tune";
  return found.replace(/\\(.)/g, "$1");
}
