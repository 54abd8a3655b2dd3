// A tune: its changes as they are typed, its chart, what the changes say of keys, a track to play over.

import { Faults, make } from "./engine.js";
import { button, el, latest, plain, save, say, tell } from "./parts.js";
import { change, look, now, told } from "./history.js";
import { lineNumber, lineOf, mistakes, tellLines } from "./judge.js";
import { paper, print } from "./paper.js";
import { packetPanel } from "./packet.js";
import { trackPanel } from "./track.js";

/** The fields of a chart: name, label, what stands there, and the words where it is one of some. */
const FIELDS = [
  ["title", "Title", "as the chart has it"],
  ["composer", "Who made it", "a name"],
  ["style", "Style", "as players call it"],
  ["metre", "Metre", "4/4, 3/4 or another"],
  ["tempo", "Tempo", "beats a minute"],
  ["feel", "Feel", "", ["swing", "even"]],
  ["key", "Key", "Eb major; without it, what the changes say"],
  ["form", "Form", "the letters of the sections as they are played"],
];

const EMPTY = (bars) => `title = "My tune"
metre = "4/4"
tempo = 120
feel = "swing"

[[section]]
name = "A"
bars = """
${bars}
"""
`;
const BARS = "| Dm7 | G7 | Cmaj7 | % |";

/** The view: `{update(state)}`. */
export function tuneView(known, failed) {
  const form = document.getElementById("tune");
  form.addEventListener("submit", (event) => event.preventDefault());
  const begin = (text, tag, words) => {
    change(tag, (state) => {
      state.tune = { ...state.tune, text, page: 0 };
    }, words);
    if (words) say(words);
  };

  const text = el("textarea", { id: "tune-text", rows: "20", spellcheck: "false", wrap: "off",
    "aria-describedby": "tune-faults",
    oninput: () => {
      // Bars alone become a chart as soon as they are some; whoever types goes on where they stand.
      if (isBars(text.value)) {
        const bars = text.value.trim();
        begin(EMPTY(bars), "tune");
        const end = text.value.indexOf(bars) + bars.length;
        text.setSelectionRange(end, end);
        return;
      }
      change("tune", (state) => { state.tune.text = text.value; });
    },
    onpaste: (event) => {
      // Bars alone become a chart.
      const pasted = event.clipboardData?.getData("text") ?? "";
      if (text.value.trim() || !isBars(pasted)) return;
      event.preventDefault();
      begin(EMPTY(pasted.trim()), "tune paste");
    } });
  const charts = new Map();
  const from = el("select", { id: "tune-from" }, el("option", { value: "" }, "choose one"));
  const take = button("Begin with it", () => {
    if (charts.has(from.value)) {
      begin(charts.get(from.value), "tune from", `Begun with ${from.selectedOptions[0].textContent}.`);
    } else {
      say("Choose a tune to begin with first.");
      from.focus();
    }
  }, { id: "tune-take" });
  make("tune/library").then(({ charts: all }) => {
    for (const one of all) {
      charts.set(one.name, one.text);
      from.append(el("option", { value: one.name }, one.title));
    }
    document.documentElement.dataset.charts = String(all.length);
    packet.update(now());
  }, failed);

  const inputs = FIELDS.map(([key, label, help, words]) => {
    const id = `tune-${key}`;
    const set = () => change(`tune ${key}`, (state) => {
      const text = state.tune.text.trim() ? state.tune.text : EMPTY(BARS);
      state.tune.text = written(text, key, input.value);
    });
    const input = words
      ? el("select", { id, onchange: set }, el("option", { value: "" }, "as usual: swing"), words.map((word) => el("option", { value: word }, plain(word))))
      : el("input", { id, autocomplete: "off", "aria-describedby": `tune-fault-${key} tune-help-${key}`, oninput: set });
    const fault = el("p", { class: "fault", id: `tune-fault-${key}` });
    const node = el("div", { class: "field" }, el("label", { for: id }, label), input, fault,
      el("p", { class: "help", id: `tune-help-${key}` }, help));
    return { key, label, input, fault, node };
  });

  const lookFaults = new Map();
  const lookField = (name, label, input) => {
    const fault = el("p", { class: "fault", id: `look-fault-${name}` });
    lookFaults.set(name, fault);
    return el("div", { class: "field" }, el("label", { for: input.id }, label), input, fault);
  };
  const setLook = (name, value) => change(`look ${name}`, (state) => {
    if (value.trim()) state.tune.look[name] = value.trim();
    else delete state.tune.look[name];
  });
  const sounding = el("input", { id: "look-key", autocomplete: "off", placeholder: "its own", "aria-describedby": "look-fault-key",
    oninput: () => setLook("key", sounding.value) });
  const looks = Object.entries(known.looks).map(([name, { label, words }]) => {
    const select = el("select", { id: `look-${name}`, "aria-describedby": `look-fault-${name}`, onchange: () => setLook(name, select.value) },
      el("option", { value: "" }, name === "for" ? "nobody" : "as usual"), words.map((word) => el("option", { value: word }, plain(word))));
    return { name, label, select };
  });

  const packet = packetPanel(known, charts);
  const faults = mistakes(text, "tune-faults");
  const start = el("p", { class: "about" }, "Begin with one of ours, or type bars of changes into the text, such as Dm7 | G7 | Cmaj7 | %.");
  form.append(
    el("div", { class: "field" }, el("label", { for: "tune-from" }, "Begin with one of ours"), el("div", { class: "row one" }, from, take)),
    el("div", { class: "row" }, button("Begin a new chart", () => begin(EMPTY(BARS), "tune new", "A new chart is begun."), { id: "tune-new" })),
    el("fieldset", {}, el("legend", {}, "The tune"), el("div", { class: "grid" }, inputs.map((one) => one.node))),
    el("div", { class: "field" }, el("label", { for: "tune-text" }, "The whole text, with its bars"), text),
    faults.node, start,
    el("fieldset", {}, el("legend", {}, "On the page"), el("div", { class: "grid" },
      lookField("key", "Sounding in the key", sounding),
      looks.map(({ name, label, select }) => lookField(name, label, select)))),
    packet.node);

  const wanted = () => ({ text: now().tune.text, look: now().tune.look });
  let shown = null;
  let charted = null;
  const isPacket = () => now().tune.as === "packet";
  const name = () => shown?.name ?? "chart.pdf";
  const file = () => (isPacket() ? make("packet/pdf", packet.wanted(), "blob") : make("tune/pdf", wanted(), "blob"));
  const kinds = [["chart", "The chart"], ["packet", "A study packet"]].map(([kind, label]) => {
    const box = el("input", { type: "radio", name: "tune-as", value: kind, id: `tune-as-${kind}`,
      onchange: () => change("tune as", (state) => { state.tune.as = kind; state.tune.page = 0; }) });
    return { kind, box, node: el("label", { class: "check" }, box, label) };
  });
  const choice = el("fieldset", { class: "kinds" }, el("legend", { class: "unseen" }, "What is made of the tune"),
    el("div", { class: "row" }, kinds.map((one) => one.node)));
  const doing = (act) => async () => {
    try {
      await act();
    } catch (error) {
      fail(error);
    }
  };
  const desk = paper((page) => look((state) => { state.tune.page = page; }), [
    button("Save as PDF", doing(async () => save(await file(), name())), { class: "main", id: "save-chart" }),
    button("Print", doing(() => print(file()))),
    button("Save the text", () => {
      save(new Blob([now().tune.text], { type: "text/plain" }), (charted?.name ?? "chart.pdf").replace(/\.pdf$/, ".toml"));
    }, { id: "save-tune" }),
  ], "The chart");
  const home = el("p", {});
  const areas = el("ul", { class: "words" });
  const rows = el("tbody");
  const reasons = el("section", { "aria-labelledby": "tune-said", hidden: true },
    el("h2", { id: "tune-said" }, "What the changes say"), home, areas,
    el("div", { class: "reasons", tabindex: "0", role: "region", "aria-label": "Chord by chord" },
      el("table", {}, el("caption", { class: "unseen" }, "What each chord does"),
        el("thead", {}, el("tr", {}, ["Bar", "Chord", "Numeral", "In", "Why"].map((one) => el("th", { scope: "col" }, one)))), rows)));
  const track = trackPanel(known, "tune", () => {
    const { text, look } = now().tune;
    return { text, choices: look.key ? { keys: [look.key] } : {} };
  }, failed);
  document.getElementById("tune-paper").append(choice, desk.node, track.node, reasons);

  const ask = latest(async ({ chart, more }) => {
    const made = await make("tune", chart);
    if (made.faults.length || !more) return { made };
    return { made, whole: await make("packet", more) };
  }, show, fail);

  function fail(error) {
    if (error instanceof Faults) show({ made: { faults: error.faults } });
    else failed(error);
  }

  function show({ made, whole }) {
    const all = [...made.faults, ...(whole?.faults ?? [])];
    const isLook = (fault) => lookFaults.has(fault.place);
    const rest = packet.faults(all).filter((fault) => !isLook(fault));
    faults.show(rest);
    const lines = inputs.map((one) => ({ ...one, line: lineNumber(parts(now().tune.text)[0], one.key) }));
    tellLines(lines, made.faults);
    const inWords = (fault) => {
      const field = lines.find((one) => fault.line && one.line === fault.line);
      return `${field ? `${field.label}: ` : fault.line ? `Line ${fault.line}: ` : ""}${fault.words}`;
    };
    for (const [name, place] of lookFaults) {
      tell(place, all.filter((fault) => fault.place === name).map((fault) => fault.words).join(" "));
    }
    if (all.length) {
      const [first] = rest;
      say(first ? `${all.length === 1 ? "" : `${all.length} mistakes. `}${inWords(first)}` : all[0].words);
      desk.fail([first ? inWords(first) : "Mend what is marked, and the page is drawn again."]);
    } else {
      charted = made;
      shown = whole ?? made;
      desk.show(shown);
      reasons.hidden = !made.told;
      tell(home, made.told?.home ?? "");
      areas.replaceChildren(...(made.told?.areas ?? []).map((one) => el("li", {}, one)));
      rows.replaceChildren(...(made.told?.chords ?? []).map((cells) => el("tr", {}, cells.map((one) => el("td", {}, one)))));
      say(`${told()} Page ${shown.page + 1} of ${shown.pages}. ${made.told?.home ?? ""}`);
    }
    document.documentElement.dataset.charted = String(Number(document.documentElement.dataset.charted ?? 0) + 1);
  }

  return {
    update(state) {
      const { text: chart, look: chosen, page } = state.tune;
      if (text.value !== chart) text.value = chart;
      for (const { key, input } of inputs) {
        if (document.activeElement !== input) input.value = read(chart, key);
      }
      if (document.activeElement !== sounding) sounding.value = chosen.key ?? "";
      for (const { name, select } of looks) select.value = chosen[name] ?? "";
      start.hidden = Boolean(chart.trim());
      choice.hidden = !chart.trim();
      for (const { kind, box } of kinds) box.checked = kind === state.tune.as;
      packet.update(state);
      track.node.hidden = !chart.trim();
      track.update(state);
      if (chart.trim()) {
        const more = isPacket() ? { ...packet.wanted(), page } : null;
        ask({ chart: { ...wanted(), page: more ? 0 : page }, more });
      } else {
        faults.show([]);
        tellLines(inputs, []);
        desk.clear();
        reasons.hidden = true;
      }
    },
  };
}

/** Whether a text is bars of changes and nothing else. */
const isBars = (text) => text.includes("|") && !/[=[\]]/.test(text);

/** A text before its first section, where the fields of the whole tune stand, and from there on. */
function parts(text) {
  const at = text.search(/^\[\[section\]\]/m);
  return at < 0 ? [text, ""] : [text.slice(0, at), text.slice(at)];
}

/** What a text gives a field, as it is typed. */
function read(text, key) {
  const found = parts(text)[0].match(lineOf(key))?.[2].trim() ?? "";
  try {
    return String(JSON.parse(found));
  } catch {
    return found;
  }
}

/** A text with a field given what was typed; without the field where nothing was. */
function written(text, key, words) {
  const [head, rest] = parts(text);
  const value = key === "tempo" && /^[0-9]+$/.test(words.trim()) ? words.trim() : JSON.stringify(words);
  const line = lineOf(key);
  if (words.trim() === "" && key !== "title") {
    return head.replace(new RegExp(`${line.source}\\n?`, "m"), "") + rest;
  }
  if (line.test(head)) {
    return head.replace(line, (_, before, __, comment) => `${before}${value}${comment ? `  ${comment.trim()}` : ""}`) + rest;
  }
  return `${head.trimEnd()}${head.trim() ? "\n" : ""}${key} = ${value}\n\n${rest}`;
}
