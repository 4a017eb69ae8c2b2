// How the rig steers, as curves.
import { h, problems } from "./dom.js";
import { sections, verdict } from "./document.js";
import { choice, later } from "./parts.js";
import { travel } from "./section-travel.js";

/** How many stick positions the curves have. */
const points = 81;

/**
 * charts makes the charts of one rig, of the sections named or of all, and shows what the engine
 * gives for it.
 */
export function charts(engine, only) {
  const all = new Map(), head = h("div", {}), node = h("div", { class: "charts" });
  const show = (id) => {
    const doc = engine.curves(id, points);
    if (doc.errors) { head.replaceChildren(problems(doc.errors)); node.replaceChildren(); return; }
    head.replaceChildren(verdict(doc));
    const opened = [...node.querySelectorAll("details[open]")].map((one) => one.closest("[data-section]").dataset.section);
    node.replaceChildren(...sections(doc, { only, charts: all }));
    for (const key of opened) for (const one of node.querySelectorAll(`[data-section=${key}] details`)) one.open = true;
  };
  // live shows the curves of the frame while a point is dragged: the same columns, without bands
  // and texts.
  const live = ({ scene, numbers }) => {
    const columns = new Map();
    for (const { curve, column, at, n } of scene.curves) {
      if (!columns.has(curve)) columns.set(curve, []);
      columns.get(curve).push(Array.from(numbers.subarray(at, at + n), (v) => (Number.isNaN(v) ? null : v)));
    }
    for (const [key, chart] of all) {
      const [across, ...lines] = columns.get(key) ?? [];
      if (across) chart.show(across, lines, null);
    }
  };
  return { node, head, show, live, stop: () => { for (const chart of all.values()) chart.stop(); } };
}

export function curves(rig, app, [part]) {
  const made = part === "travel" ? travel(rig, app) : lock(rig);
  const which = choice("Over", [["lock", "Over the lock"], ["travel", "Over the travel"]], part === "travel" ? "travel" : "lock",
    (value) => app.go(`#/rig/${rig.rig.id}/curves${value === "travel" ? "/travel" : ""}`));
  const node = h("div", { class: "curves" }, which, made);
  node.leave = made.leave;
  return node;
}

function lock(rig) {
  const made = charts(rig.engine);
  const show = () => made.show(rig.id);
  const soon = later(show, 100);
  rig.addEventListener("state", soon);
  // While a point is dragged the engine gives the curves of the frame.
  const live = () => { if (rig.dragging) made.live(rig); };
  rig.addEventListener("frame", live);
  show();
  const node = h("div", { class: "lock-curves" }, made.head, h("p", { class: "lead", text: "The pale band is how far each curve may be off, by the measurements." }), made.node);
  node.leave = () => { soon.cancel(); rig.removeEventListener("state", soon); rig.removeEventListener("frame", live); made.stop(); };
  return node;
}
