// The units that the person reads in, for all rigs: chosen once, kept in this browser.
import { button, h } from "./dom.js";
import { choice } from "./parts.js";

const slot = "evenlock.units";

// What there is to choose from; the words are those that the engine takes.
const kinds = [
  ["Lengths", [["mm", "mm"], ["in", "inches"]]],
  ["Torques", [["kg·cm", "kg·cm"], ["N·m", "N·m"], ["oz·in", "oz·in"]]],
  ["Numbers on the transmitter", [["%", "%"], ["µs", "µs"]]],
];

let words = "";

/** units are the words for what the person reads in: "mm, kg·cm, %". */
export const units = () => words;

/** startUnits hands the engine what was chosen before. */
export function startUnits(engine) {
  let kept = "";
  try { kept = localStorage.getItem(slot) ?? ""; } catch { /* storage forbidden: the usual ones */ }
  const answer = engine.units(kept);
  // What an earlier version kept may not be a unit any more.
  words = answer.errors ? engine.units("") : answer;
}

function choose(engine, word) {
  words = engine.units(word);
  try { localStorage.setItem(slot, words); } catch { /* they hold for this visit */ }
  dispatchEvent(new Event("unitschange"));
}

/** unitsButton shows the units, and opens what changes them. */
export function unitsButton(engine) {
  const b = button("", () => dialog.showModal(), { class: "plain-button units" });
  const name = () => {
    b.textContent = words.split(", ")[0];
    b.setAttribute("aria-label", `Units: ${words}`);
    b.title = `Units: ${words}`;
  };
  const has = (word) => words.split(", ").includes(word);
  const dialog = h("dialog", { class: "units-dialog", "aria-label": "Units" }, h("h2", { text: "Units that you read in" }),
    kinds.map(([title, options]) => h("div", { class: "units-row" }, h("span", { text: title }),
      choice(title, options, options.find(([word]) => has(word))[0], (word) => { choose(engine, word); name(); }))),
    h("p", { class: "quiet", text: "Rig files keep the units that are written in them." }),
    h("div", { class: "row" }, button("Done", () => dialog.close(), { class: "main" })));
  name();
  return h("span", { class: "units-box" }, b, dialog);
}
