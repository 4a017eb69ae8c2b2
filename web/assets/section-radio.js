// The transmitter's settings as the builder sees them, and what each moves.
import { button, field, h, problems, s } from "./dom.js";
import { caution, choice, entry, later } from "./parts.js";
import { sections, verdict } from "./document.js";

export function radio(rig, app) {
  const { engine } = rig;
  const settings = h("div", { class: "entries" });
  const head = h("div", {});
  const span = h("div", { class: "spans" });
  const read = h("div", {});
  const ifKind = choice("Kind of trim", [["centre", "Moves the centre only"], ["whole", "Moves the ends too"]], "centre", () => showIf());
  const ifControl = choice("What to move", [["subtrim", "Subtrim"], ["trim", "Trim"]], "subtrim", () => showIf());
  const steps = h("input", { type: "range", min: "-50", max: "50", step: "1", value: "10", on: { input: () => showIf() } });
  const ifOut = h("div", { class: "what-if", role: "status" });
  const spanBox = h("section", {}, h("h2", { text: "Where the servo goes" }), span);

  const showsErrors = h("div", { role: "alert" });
  const shows = choice("What the screen counts in", [["percent", "%"], ["µs", "µs"], ["steps", "steps"]], "percent", (word) => {
    const errors = rig.set(`${rig.state.prefix}transmitter.shows`, word);
    showsErrors.replaceChildren(errors ? problems(errors) : "");
    shows.show(rig.state.screen);
  });
  const pressed = (group) => group.querySelector("[aria-pressed=true]").dataset.value;
  const showIf = () => {
    const control = pressed(ifControl), n = Number(steps.value);
    ifKind.hidden = control !== "trim";
    steps.setAttribute("aria-valuetext", `${Math.abs(n)} ${rig.state.screen === "µs" ? "µs" : "steps"} ${n < 0 ? "down" : "up"}`);
    const doc = engine.whatIf(rig.id, control, n, control === "trim" ? pressed(ifKind) : "");
    if (doc.errors) { ifOut.replaceChildren(problems(doc.errors)); return; }
    ifOut.replaceChildren(verdict(doc), spans(doc));
  };

  const show = () => {
    const doc = engine.radio(rig.id);
    head.replaceChildren(doc.errors ? problems(doc.errors) : verdict(doc));
    if (!settings.contains(document.activeElement)) {
      settings.replaceChildren(...engine.radioSettings(rig.id).map((one) => one.key.endsWith("settings.reverse") ? reverse(rig, one) : entry(rig, one.key, one.words.charAt(0).toUpperCase() + one.words.slice(1), one.value, { hint: one.hint })));
    }
    span.replaceChildren(doc.sections?.length ? spans(doc) : "");
    spanBox.hidden = !doc.sections?.length;
    read.replaceChildren(...(doc.sections ? sections(doc, { only: ["read"] }) : []));
    shows.show(rig.state.screen);
    if (rig.state.trim) ifKind.show(rig.state.trim);
    showIf();
  };
  const soon = later(show, 80);
  rig.addEventListener("state", soon);

  const node = h("div", { class: "radio" }, head,
    spanBox,
    read,
    h("section", {}, h("h2", { text: "As the transmitter shows them" }),
      h("div", { class: "field entry" }, h("span", { class: "label", text: "Its screen counts in" }), shows, showsErrors), settings),
    h("section", {}, h("h2", { text: "What if I moved it now?" }),
      h("p", { class: "quiet", text: "Subtrim moves the whole range, ends and centre together, so look at the endpoints again after it. Nothing is changed here." }),
      ifControl, ifKind, field("By how much", steps), ifOut),
    trimTest(rig, app), readings(rig, app), caution(rig.engine.cautions().power));
  node.leave = () => { soon.cancel(); rig.removeEventListener("state", soon); };
  show();
  return node;
}

// reverse is a setting that is on or off.
function reverse(rig, one) {
  return h("div", { class: "field entry" }, h("span", { class: "label", text: "Reverse" }),
    choice("Reverse", [["no", "Off"], ["yes", "On"]], one.value, (v) => rig.set(one.key, v === "yes" ? "true" : "false")),
    h("p", { class: "hint", text: one.hint }));
}

// spans draws the servo's way in each section of a document as bars on one scale: left end, centre,
// right end.
function spans(doc) {
  const rows = doc.sections.filter((one) => one.key !== "read").map((one) => {
    const [left, centre, right] = one.blocks[0].figures;
    return { title: one.title, left, centre, right };
  });
  const reach = Math.max(30, ...rows.flatMap((r) => [Math.abs(r.left.value), Math.abs(r.right.value)])) * 1.08;
  const x = (figure) => 150 - (figure.value / reach) * 146;
  return h("div", { class: "span-rows" }, rows.map((r) => h("div", { class: "span-row" },
    rows.length > 1 ? h("span", { class: "span-name", text: r.title }) : null,
    s("svg", { viewBox: "0 0 300 34", class: "span", "aria-hidden": "true" },
      s("line", { class: "span-mid", x1: 150, x2: 150, y1: 0, y2: 34 }),
      s("line", { class: "span-bar", x1: x(r.left), x2: x(r.right), y1: 17, y2: 17 }),
      s("line", { class: "span-end", x1: x(r.left), x2: x(r.left), y1: 5, y2: 29 }),
      s("line", { class: "span-end", x1: x(r.right), x2: x(r.right), y1: 5, y2: 29 }),
      s("path", { class: "span-centre", d: `M${x(r.centre)} 17 m0 -9 l7 9 l-7 9 l-7 -9 z` })),
    h("span", { class: "span-words", text: [r.left, r.centre, r.right].map((f) => `${f.words} ${f.text}`).join(", ") }))));
}

function trimTest(rig, app) {
  const out = h("div", { role: "status" });
  const cell = (name) => h("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": name });
  const rows = [["left", "full left"], ["centre", "centre"], ["right", "full right"]].map(([key, words]) => ({
    key, words, cells: [cell(`Stick ${words}, trim at zero`), cell(`Stick ${words}, trim moved`)],
  }));
  const judge = () => {
    const readings = {};
    for (const { key, words, cells } of rows) {
      readings[key] = cells.map((c) => Number(c.value.replace(",", ".")));
      if (cells.some((c) => c.value.trim() === "") || readings[key].some(Number.isNaN)) {
        out.replaceChildren(h("p", { class: "why", text: `Put in two numbers for the stick at ${words}.` }));
        return;
      }
    }
    const t = engine(rig).trimTest(readings);
    if (t.errors) { out.replaceChildren(problems(t.errors)); return; }
    out.replaceChildren(h("p", {}, h("strong", { text: t.words })),
      t.kind ? h("div", { class: "row" }, button("Put this into the file", () => {
        const errors = rig.set(`${rig.state.prefix}transmitter.trim`, t.kind);
        if (errors) out.append(problems(errors));
        else app.say("The kind of trim is in the rig file now.");
      })) : "");
  };
  return h("section", {}, h("h2", { text: "Which kind of trim do I have?" }),
    h("p", { text: "Take the horn off the servo, so that nothing can hit its stops. Read the shaft's angle, or the pulse, with trim at zero; move trim well to one side; read all three again." }),
    h("table", { class: "readings" }, h("thead", {}, h("tr", {}, h("th", { scope: "col", text: "Stick" }), h("th", { scope: "col", text: "Trim at zero" }), h("th", { scope: "col", text: "Trim moved" }))),
      h("tbody", {}, rows.map((r) => h("tr", {}, h("th", { scope: "row", text: r.words }), r.cells.map((c) => h("td", {}, c)))))),
    out, h("div", { class: "row" }, button("Tell me which", judge)));
}

const engine = (rig) => rig.engine;

const counts = { percent: "%", "µs": "µs", steps: "steps" };
// readWords say what was typed of a reading.
const readWords = ({ control, setting, pulse, angle }, screen) => [`Reading 1: ${control}${setting && ` at ${setting} ${counts[screen]}`}`, pulse && `pulse ${pulse} µs`, angle && `servo at ${angle}°`].filter(Boolean).join(", ");

// readings lets the builder say what the servo did at two settings.
function readings(rig, app) {
  const list = h("div", { class: "entries" });
  const errors = h("div", { role: "alert" });
  const control = h("select", {}, ["endpoint", "subtrim", "trim"].map((c) => h("option", { value: c, text: c })));
  const setting = h("input", { type: "text", inputmode: "decimal", autocomplete: "off" });
  const pulse = h("input", { type: "text", inputmode: "decimal", autocomplete: "off" });
  const angle = h("input", { type: "text", autocomplete: "off" });
  const takeOut = (number) => {
    const failed = rig.change("takeReading", number);
    errors.replaceChildren(failed ? problems(failed) : "");
  };
  // A file has two readings or none: the first waits here for the second.
  let first = null;
  const show = () => {
    const all = rig.engine.readings(rig.id);
    if (all.length) first = null;
    list.replaceChildren(...all.map((one, i) => h("div", { class: "reading" }, h("p", { text: one.words }),
      button("Take it out", () => takeOut(i + 1), { "aria-label": `Take it out: reading ${i + 1}` }))));
    if (first) list.append(h("div", { class: "reading" }, h("p", { text: `${readWords(first, rig.state.screen)}. Add a second, far from it: then both go into the rig file.` }), button("Take it out", () => { first = null; show(); })));
    else if (!all.length) list.append(h("p", { class: "quiet", text: "No readings yet. Two are needed, far apart." }));
  };
  const add = (e) => {
    e.preventDefault();
    const one = { control: control.value, setting: setting.value.trim(), pulse: pulse.value.trim(), angle: angle.value.trim() };
    const failed = rig.change("addReadings", first ? [first, one] : [one]);
    const waits = !first && failed?.length === 1 && failed[0].key === `${rig.state.prefix}transmitter.reading`;
    errors.replaceChildren(failed && !waits ? problems(failed) : "");
    if (failed && !waits) return;
    for (const input of [setting, pulse, angle]) input.value = "";
    if (waits) { first = one; show(); }
    app.say(waits ? "Now read a second one, far from the first." : "What you read is in the rig file now.");
  };
  rig.addEventListener("state", show);
  show();
  return h("section", {}, h("h2", { text: "What the servo does" }),
    h("p", { text: "A percent on one transmitter is not a percent on another. Where the screen shows µs, the pulse is enough. Take the drag link off the horn; trim, subtrim and expo at zero, rate full. Read the servo's angle, or the pulse, at two settings. Looking at the horn's face, counter-clockwise is positive; the setting is negative for full stick to the right." }),
    list, h("form", { class: "reading-form", on: { submit: add } },
      field("What was set", control), field("Number on the screen", setting, "Such as 80, or -80"), field("Pulse in µs", pulse, "If you can read it"), field("Servo angle in degrees", angle, "Such as 38.5 or 38 ± 1"),
      errors, h("div", { class: "row" }, h("button", { type: "submit", text: "Add the reading" }))));
}
