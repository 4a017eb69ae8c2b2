// Whether servo, rods and saver are strong enough: in this pose, and from lock to lock.
import { errorText, field, freshId, h, problems, sentence } from "./dom.js";
import { sections, verdict } from "./document.js";
import { follow } from "./worker-client.js";
import { entry, fold } from "./parts.js";

export function loads(rig, app) {
  const tilt = { noseUp: 0, rightDown: 0 };
  const lacks = h("div", {}), first = h("div", {}), problem = h("div", { role: "alert" });
  const details = h("div", { class: "loads-tables" });
  const inputs = h("div", { class: "entries" });
  const here = h("section", {}, h("h2", { text: "In this pose" }),
    h("p", { class: "quiet", text: "Move stick and suspension: these go along. Arrowheads on a rod point apart where it is pulled, at one another where it is pushed." }),
    rig.panel.values.load);
  const heading = h("h2", { tabindex: "-1", text: "What stalls, bends or breaks first" });
  const head = h("section", {}, heading, first);
  const charts = new Map();
  let shown = "";

  const show = (d) => {
    const trouble = d.errors ?? (d.problems.length ? d.problems : null), doc = d.document;
    problem.replaceChildren(trouble ? problems(trouble) : "");
    head.hidden = here.hidden = details.hidden = !doc;
    if (d.errors) return;
    const answered = doc && lacks.contains(document.activeElement);
    lacks.replaceChildren(...(d.lacks.length ? [ask(rig, d.inputs.filter((one) => one.missing))] : []));
    // A slope on which it would tip over can be taken back.
    slope.hidden = !doc && !tilt.noseUp && !tilt.rightDown;
    if (!inputs.contains(document.activeElement)) {
      // Only what changed is made anew: an entry that was just left keeps what it says.
      const now = JSON.stringify(d.inputs);
      if (now !== shown) inputs.replaceChildren(...d.inputs.filter((one) => !one.missing).map((one) => input(rig, one)));
      shown = now;
    }
    rest.hidden = !inputs.childElementCount;
    rig.panel.classList.toggle("idle", !doc);
    if (!doc) return;
    first.replaceChildren(verdict(doc));
    if (answered) {
      heading.scrollIntoView();
      heading.focus({ preventScroll: true });
    }
    const open = new Set([...details.querySelectorAll("details[open]")].map(nameOf));
    details.replaceChildren(...sections(doc, { charts }));
    for (const one of details.querySelectorAll("details:not([hidden])")) one.open = open.has(nameOf(one));
  };
  // A part that opens is known by its section and its title.
  const nameOf = (one) => `${one.closest("[data-section]")?.dataset.section} ${one.firstChild.textContent}`;

  const asked = follow(rig, app.client, head, show, "loads", () => [tilt.noseUp, tilt.rightDown]);
  const lean = (label, hint, key) => {
    const box = h("input", { type: "text", inputmode: "numeric", autocomplete: "off", value: "0", data: { tilt: key } });
    const why = h("p", { class: "why", role: "alert", id: freshId("why") });
    box.addEventListener("change", () => {
      const to = Number(box.value.trim().replace(",", ".").replace("−", "-"));
      const errors = Number.isFinite(to) ? rig.showForces(true, ...Object.values({ ...tilt, [key]: to })) : [{ problem: "put in a number of degrees, such as 25" }];
      why.textContent = errors ? errorText(errors) : "";
      if (errors) { box.setAttribute("aria-invalid", "true"); return; }
      box.removeAttribute("aria-invalid");
      tilt[key] = to;
      asked.again();
    });
    const made = field(label, box, hint);
    made.append(why);
    return made;
  };
  const slope = h("section", {}, h("h2", { text: "On a slope" }), h("div", { class: "entries" },
    lean("Slope, in degrees", "Nose up; nose down with a minus.", "noseUp"), lean("Tilt to the side, in degrees", "Right side down; left side down with a minus.", "rightDown")));
  const rest = fold("What it rests on", h("p", { class: "quiet", text: "From the rig file. Change a value here, and all of the above follows." }), inputs);
  for (const part of [head, here, slope, details, rest]) part.hidden = true;
  rig.showForces(true, 0, 0);
  const node = h("div", { class: "loads" }, problem, lacks, head, here, slope, details, rest);
  node.leave = () => { asked.stop(); for (const one of charts.values()) one.stop(); rig.panel.classList.remove("idle"); rig.showForces(false, 0, 0); };
  return node;
}

// ask is what the file lacks, to be filled in on the spot. It is kept as a whole: mass and share
// need one another, and a servo's figures are nothing by halves.
function ask(rig, missing) {
  const why = h("p", { class: "why", role: "alert" });
  const boxes = missing.map((one) => {
    const box = h("input", { type: "text", autocomplete: "off", spellcheck: "false", data: { key: one.key } });
    return { key: one.key, box, node: field(capital(one.words), box, sentence(one.hint)) };
  });
  const keep = (e) => {
    e.preventDefault();
    const settings = boxes.map(({ key, box }) => ({ key, value: box.value.trim() })).filter((one) => one.value);
    const errors = settings.length ? rig.change("setAll", "put in what the loads need", settings) : [{ problem: "nothing is put in yet", remedy: "put in at least one value" }];
    why.textContent = errors ? errorText(errors) : "";
    for (const { key, box } of boxes) {
      if (errors?.some((one) => one.key === key)) box.setAttribute("aria-invalid", "true");
      else box.removeAttribute("aria-invalid");
    }
  };
  return h("section", { class: "lacks" }, h("h2", { text: "First, what the file does not say yet" }),
    h("p", { text: "How to find each is below its field. What you do not know yet can wait: fill in some, keep them, and come back." }),
    h("form", { on: { submit: keep } }, h("div", { class: "entries" }, boxes.map((one) => one.node)), why,
      h("div", { class: "row" }, h("button", { type: "submit", class: "main", text: "Keep these" }))));
}

// input is one value of the file, in place.
function input(rig, one) {
  const label = capital(one.words);
  if (!one.options.length) return entry(rig, one.key, label, one.entry, { hint: one.hint });
  const why = h("p", { class: "why", role: "alert" });
  const list = h("select", { data: { key: one.key }, on: { change: () => {
    const errors = rig.set(one.key, list.value);
    why.textContent = errors ? errorText(errors) : "";
  } } }, one.entry ? null : h("option", { value: "", text: "Not known" }), one.options.map((word) => h("option", { value: word, text: word })));
  list.value = one.entry;
  const made = field(label, list, one.hint || undefined);
  made.classList.add("entry");
  made.append(why);
  return made;
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
