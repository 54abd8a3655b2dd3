// What is played along to: a few choices, sound to listen to, a file to save.

import { Faults, make } from "./engine.js";
import { button, el, plain, save, tell } from "./parts.js";
import { change, now } from "./history.js";

const LABELS = {
  groove: "What the rhythm section plays",
  swing: "How eighths swing",
  clicks: "Which beats click",
  rungs: "At which tempo of the ladder",
  as: "Kind of file",
};
/** What is made where nobody says so. */
const USUAL = { as: "flac", clicks: "all" };
const KINDS = { mid: "MIDI, notes in time", wav: "WAV, sound", flac: "FLAC, sound in fewer bytes" };
const NUMBERS = [
  ["count-in", "Bars that are counted in", "1"],
  ["choruses", "How often each key is played", "1"],
  ["rise", "Beats faster each time", "0"],
];

/** The panel: `{node, update(state)}`. `wanted()` gives what the track is of. */
export function trackPanel(known, view, wanted, failed) {
  const id = (name) => `track-${view}-${name}`;
  const set = (name, value) => change(`track ${name}`, (state) => {
    if (value === "" || (Array.isArray(value) && value.length === 0)) delete state.track[name];
    else state.track[name] = value;
  });
  const faults = new Map();
  const faultOf = (name) => {
    const place = el("p", { class: "fault", id: id(`fault-${name}`) });
    faults.set(name, place);
    return place;
  };
  const inputs = [];
  const field = (name, label, input) => {
    inputs.push([name, input]);
    return el("div", { class: "field" }, el("label", { for: input.id }, label), input, faultOf(name));
  };
  const about = (name) => ({ id: id(name), "aria-describedby": id(`fault-${name}`) });

  const boxes = known.track.with.map((word) => el("input", { type: "checkbox", value: word,
    onchange: () => set("with", boxes.filter((one) => one.checked).map((one) => one.value)) }));
  const parts = el("fieldset", {}, el("legend", {}, "Who plays"),
    el("div", { class: "row" }, boxes.map((box) => el("label", { class: "check" }, box, plain(box.value)))),
    el("p", { class: "help" }, "With none, whoever is usual: bass and drums."), faultOf("with"));
  const selects = Object.keys(LABELS).map((name) => {
    const select = el("select", { ...about(name), onchange: () => set(name, select.value) },
      el("option", { value: "" }, name in USUAL ? `as usual: ${KINDS[USUAL[name]] ?? plain(USUAL[name])}` : "as usual"),
      known.track[name].filter((word) => ![USUAL[name], "usual"].includes(word)).map((word) => el("option", { value: word }, KINDS[word] ?? plain(word))));
    return field(name, LABELS[name], select);
  });
  const numbers = NUMBERS.map(([name, label, usual]) => {
    const input = el("input", { ...about(name), class: "short", inputmode: "numeric", autocomplete: "off", placeholder: usual,
      oninput: () => set(name, input.value.trim()) });
    return field(name, label, input);
  });

  const rest = el("p", { class: "fault", role: "status" });
  const told = el("p", { class: "about", role: "status" });
  const audio = el("audio", { controls: true, hidden: true, "aria-label": "The track", id: id("audio") });
  let heard = "";
  const request = (as) => ({ ...wanted(), track: { ...now().track, ...(as ? { as } : {}) } });

  function showFaults(list) {
    const byName = new Map(list.map((one) => [one.place, one.words]));
    for (const [name, place] of faults) {
      tell(place, byName.get(name) ?? "");
      const input = document.getElementById(id(name));
      if (byName.has(name)) input?.setAttribute("aria-invalid", "true");
      else input?.removeAttribute("aria-invalid");
    }
    tell(rest, list.filter((one) => !faults.has(one.place)).map((one) => one.words).join(" "));
  }

  let isBusy = false;
  const doing = (act) => async () => {
    if (isBusy) return;
    isBusy = true;
    showFaults([]);
    tell(told, "The track is being made.");
    try {
      await act();
    } catch (error) {
      tell(told, "");
      if (error instanceof Faults) showFaults(error.faults);
      else failed(error);
    } finally {
      isBusy = false;
    }
  };
  // Of several tracks one is heard at a time.
  const which = el("select", { id: id("which"), });
  const choice = el("div", { class: "field", hidden: true }, el("label", { for: which.id }, "Which of them to hear next"), which);
  const hear = doing(async () => {
    const asked = request("flac");
    const known = await make("track/about", asked);
    choice.hidden = known.tracks.length < 2;
    if (known.tracks.length !== which.options.length || known.tracks.some((one, index) => one.name !== which.options[index].text)) {
      which.replaceChildren(...known.tracks.map((one, index) => el("option", { value: String(index) }, one.name)));
    }
    const one = Number(which.value) || 0;
    const blob = await make("track", { ...asked, one }, "blob");
    if (audio.src) URL.revokeObjectURL(audio.src);
    audio.src = URL.createObjectURL(blob);
    audio.hidden = false;
    heard = JSON.stringify(asked);
    tell(told, `${known.tracks[one].about}. ${known.remarks.join(" ")}`);
    // Some browsers want one more press.
    await audio.play().catch(() => {});
  });
  const listen = button("Listen", () => hear(), { id: id("listen") });
  const keep = button("Save the track", doing(async () => {
    const asked = request(now().track.as ?? USUAL.as);
    const known = await make("track/about", asked);
    save(await make("track", asked, "blob"), known.name);
    tell(told, `${known.name}: ${known.about}. ${known.remarks.join(" ")}`);
  }), { id: id("save") });

  const node = el("details", { class: "track", id: id("panel") }, el("summary", {}, "Play along"),
    parts, el("div", { class: "grid" }, selects, numbers),
    el("div", { class: "row" }, listen, keep), choice, rest, told, audio);

  return {
    node,
    update(state) {
      const chosen = state.track.with ?? [];
      for (const box of boxes) box.checked = chosen.includes(box.value);
      for (const [name, input] of inputs) {
        const value = String(state.track[name] ?? "");
        if (input.value !== value && document.activeElement !== input) input.value = value;
      }
      const isOld = heard && heard !== JSON.stringify(request("flac"));
      if (isOld) tell(told, "What can be heard here is of before; listen again.");
    },
  };
}
