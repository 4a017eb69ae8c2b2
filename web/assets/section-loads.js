// Whether servo, rods and balls are strong enough: in this pose, and from lock to lock.
import { about, button, errorText, field, freshId, h, problems } from "./dom.js";
import { Chart } from "./charts.js";
import { follow } from "./worker-client.js";
import { caution, cautions, entry, fold } from "./parts.js";

const turned = (v) => (Math.abs(v) < 0.05 ? "Wheels straight" : `Inner wheel ${Math.abs(v).toFixed(1)}° ${v > 0 ? "left" : "right"}`);

const marginAxis = { words: "Inner wheel", tick: (v) => (v ? `${Math.round(Math.abs(v))} ${v > 0 ? "L" : "R"}` : "0"), say: turned };

const standing = { words: "on standing tyres", colour: "--left", width: 4 };
const rock = { words: "with the rock as well", colour: "--right", dash: [9, 6], width: 3 };

/** A margin that is greater than this is no news: the chart ends there, the figures go on. */
const highest = 6;

export function loads(rig, app) {
  const tilt = { noseUp: 0, rightDown: 0 };
  const lacks = h("div", {}), first = h("ul", { class: "firsts" }), problem = h("div", { role: "alert" });
  const chart = h("div", { class: "charts" });
  const tables = h("div", { class: "loads-tables" });
  const inputs = h("div", { class: "entries" });
  const here = h("section", {}, h("h2", { text: "In this pose" }),
    h("p", { class: "quiet", text: "Move stick and suspension: these go along. Arrowheads on a rod point apart where it is pulled, at one another where it is pushed." }),
    rig.panel.values.load);
  const heading = h("h2", { tabindex: "-1", text: "What gives up first" });
  const verdict = h("section", {}, heading, first);
  let margin = null, withRock = null, shown = "";

  const showMargin = (m) => {
    const has = m.rock.length > 0;
    if (!margin || withRock !== has) {
      margin?.stop();
      withRock = has;
      margin = new Chart({
        title: "Margin over the lock", about: "What the servo gives, over what it is asked for. Below 1 it stalls.",
        x: marginAxis, mirror: true, digits: 2, unit: "times", least: 0.2, fromZero: true, keepIn: 1.2, most: highest,
        lines: [{ y: 1, words: "1.0: all that the servo gives" }], series: has ? [standing, rock] : [standing],
      });
      chart.replaceChildren(margin.node);
    }
    margin.show(m.inner, has ? [m.standing, m.rock] : [m.standing], null);
  };

  const show = (d) => {
    problem.replaceChildren(d.errors ? problems(d.errors) : d.problem ? problems([{ problem: d.problem }]) : "");
    if (d.errors) { verdict.hidden = here.hidden = chart.hidden = tables.hidden = true; return; }
    const missing = d.inputs.filter((one) => one.missing);
    const answered = d.ready && lacks.contains(document.activeElement);
    lacks.replaceChildren(...(d.lacks.length ? [ask(rig, missing)] : []));
    // A slope on which it would tip over can be taken back.
    slope.hidden = !d.ready && !tilt.noseUp && !tilt.rightDown;
    verdict.hidden = here.hidden = chart.hidden = tables.hidden = !d.ready;
    if (!inputs.contains(document.activeElement)) {
      // Only what changed is made anew: an entry that was just left keeps what it says.
      const now = JSON.stringify(d.inputs);
      if (now !== shown) inputs.replaceChildren(...d.inputs.filter((one) => !one.missing).map((one) => input(rig, one)));
      shown = now;
    }
    rest.hidden = !inputs.childElementCount;
    rig.panel.classList.toggle("idle", !d.ready);
    if (!d.ready) return;
    first.replaceChildren(...d.first.map((text) => h("li", { text })));
    showMargin(d.margin);
    if (answered) {
      heading.scrollIntoView();
      heading.focus({ preventScroll: true });
    }
    const open = [...tables.querySelectorAll("details")].map((one) => one.open);
    tables.replaceChildren(servo(d), rods(d), parts(d), holes(d), h("section", {}, h("h2", { text: "What is not in it" }), h("ul", { class: "notes-list" }, d.notes.map((text) => h("li", { text })))));
    [...tables.querySelectorAll("details")].forEach((one, i) => { one.open = open[i] ?? false; });
  };

  const asked = follow(rig, app.client, verdict, show, "loads", () => [tilt.noseUp, tilt.rightDown]);
  const lean = (label, hint, key) => {
    const box = h("input", { type: "text", inputmode: "numeric", autocomplete: "off", value: "0", data: { tilt: key } });
    const why = h("p", { class: "why", role: "alert", id: freshId("why") });
    box.addEventListener("change", () => {
      const to = Number(box.value.trim().replace(",", ".").replace("−", "-"));
      const errors = Number.isFinite(to) ? rig.bear(true, ...Object.values({ ...tilt, [key]: to })) : [{ problem: "put in a number of degrees, such as 25" }];
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
  for (const part of [verdict, here, chart, slope, tables]) part.hidden = true;
  const rest = fold("What it rests on", h("p", { class: "quiet", text: "From the rig file. Change a value here, and all of the above follows." }), inputs);
  rest.hidden = true;
  rig.bear(true, 0, 0);
  const node = h("div", { class: "loads" }, problem, lacks, verdict, here, chart, slope, tables, rest, caution(cautions.sums, cautions.stall, cautions.power, cautions.pack));
  node.leave = () => { asked.stop(); margin?.stop(); rig.panel.classList.remove("idle"); rig.bear(false, 0, 0); };
  return node;
}

// ask is what the file lacks, to be filled in on the spot. It is kept as a whole: mass and share need one another, and a
// servo's figures are nothing by halves.
function ask(rig, missing) {
  const why = h("p", { class: "why", role: "alert" });
  const boxes = missing.map((one) => {
    const box = h("input", { type: "text", autocomplete: "off", spellcheck: "false", data: { key: one.key } });
    return { key: one.key, box, node: field(capital(one.words), box, sentence(one.hint)) };
  });
  const keep = (e) => {
    e.preventDefault();
    const settings = boxes.map(({ key, box }) => ({ key, value: about(box.value) })).filter((one) => one.value);
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
    const errors = rig.set(one.key, about(list.value));
    why.textContent = errors ? errorText(errors) : "";
  } } }, one.entry ? null : h("option", { value: "", text: "Not known" }), one.options.map((word) => h("option", { value: word, text: word })));
  list.value = one.entry;
  const made = field(label, list, one.hint || undefined);
  made.classList.add("entry");
  made.append(why);
  return made;
}

const figures = (list) => h("dl", { class: "figures" }, list.map((r) => h("div", { class: "figure" },
  h("dt", { text: r.words }), h("dd", {}, h("strong", { text: r.text }), r.note ? h("span", { class: "note", text: r.note }) : null))));

const servo = (d) => h("section", {}, h("h2", { text: "The servo" }), figures(d.servo));

const times = (figure) => `${figure.text} times`;

const rods = (d) => h("section", {}, h("h2", { text: "The rods" }),
  h("p", { class: "quiet", text: "The most of standing tyres, rock, and one wheel jammed with the servo at its full torque." }),
  h("ul", { class: "cards" }, d.rods.map((r) => {
    const weak = r.known && r.reserve.value !== null && r.reserve.value < 1;
    return h("li", { class: weak ? "card weak" : "card" }, h("h3", { text: r.words }),
      h("p", {}, h("strong", { text: `${r.push.text} push` }), ", ", h("strong", { text: `${r.pull.text} pull` }), `; most by ${r.cause}.`),
      r.known ? h("p", {}, h("strong", { text: weak ? `Gives way: it bears only ${times(r.reserve)} that.` : `Bears ${times(r.reserve)} that.` }), ` Then ${r.breaks}. ${sentence(r.made)} As a straight rod it buckles at ${r.buckling.text}.`)
        : h("p", { text: "What it can bear is not known: put in material and diameter, below." }));
  })));

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

const sentence = (text) => `${capital(text)}.`;

const parts = (d) => fold("Balls, shaft and kingpins", figures(d.parts));

const holes = (d) => h("section", {}, h("h2", { text: "Which hole of the horn" }),
  h("p", { class: "quiet", text: `A longer horn is quicker and asks for more torque. On standing tyres, steered to ${d.hornLock.text} at the inner wheel.` }),
  h("div", { class: "table-box", tabindex: "0", role: "group", "aria-label": "Holes of the horn" }, h("table", { class: "holes" },
    h("thead", {}, h("tr", {}, ["Hole", "Servo turns", "Asks for", "Margin", "Lock to lock"].map((text) => h("th", { scope: "col", text })))),
    h("tbody", {}, d.holes.map((hole) => h("tr", { class: hole.inUse ? "in-use" : "" },
      h("th", { scope: "row" }, hole.hole.text, hole.inUse ? h("span", { class: "note", text: " in use" }) : null),
      hole.reached ? [hole.turn, hole.torque.text, hole.margin.text, hole.time.text + (hole.full ? "" : " *")].map((text) => h("td", { text }))
        : h("td", { colspan: "4", text: "does not come that far" })))))),
  d.holes.some((hole) => hole.reached && !hole.full) ? h("p", { class: "quiet", text: "* It does not come to the full lock of the hole in use." }) : null,
  d.holes.length === 1 ? h("p", { class: "quiet", text: "Put in the horn's other holes, below, to compare them." }) : null);
