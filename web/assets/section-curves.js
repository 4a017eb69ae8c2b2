// How the rig steers, as curves.
import { h } from "./dom.js";
import { Chart } from "./charts.js";
import { choice, later } from "./parts.js";
import { travel } from "./section-travel.js";

const fold = { words: "Stick", tick: (v) => `${Math.round(v * 100)} %`, say: (v) => `At ${Math.round(v * 100)} % stick` };
const whole = { words: "Stick", tick: (v) => (v ? `${Math.round(Math.abs(v) * 100)} ${v > 0 ? "L" : "R"}` : "0"), say: (v) => (v ? `${Math.round(Math.abs(v) * 100)} % stick ${v > 0 ? "left" : "right"}` : "Stick centred") };

const left = { words: "to the left", colour: "--left", width: 4 };
const right = { words: "to the right", colour: "--right", dash: [9, 6], width: 3 };

const folded = [
  ["inner", "Inner wheel's angle", "Right turns laid over left turns: the gap between the lines is the unevenness.", 1],
  ["outer", "Outer wheel's angle", "", 1],
  ["curvature", "How tight it turns", "Curvature of the path, 1 over its radius.", 3],
  ["curvature_slope", "How quick it feels", "How much the path tightens with the stick. Level is the same all the way.", 3],
];
const long = [
  ["rate", "Wheel's turn to servo's turn", ["rate_left", "rate_right"], ["left wheel", "right wheel"], 2, ""],
  ["ackermann", "Off Ackermann", ["ackermann_error"], ["outer wheel against its ideal angle"], 2, "°"],
  ["angles", "Angles at the drag link", ["horn_angle", "far_angle"], ["at the horn", "at the far end"], 1, "°"],
];

const shades = [{ colour: "--left", width: 4 }, { colour: "--right", dash: [9, 6], width: 3 }];

const unitOf = { curvature: "per m", curvature_slope: "per m at full stick" };

/** charts makes the charts of one rig and shows what the engine gives for it. */
export function charts(engine, which = [...folded.map((f) => f[0]), ...long.map((l) => l[0])]) {
  const all = new Map();
  const node = h("div", { class: "charts" });
  const add = (key, chart) => { all.set(key, chart); node.append(chart.node); };
  for (const [key, title, about, digits] of folded) {
    if (which.includes(key)) {
      add(key, new Chart({ title, about, x: fold, digits, unit: unitOf[key] ?? "°", fromZero: key !== "curvature_slope", least: digits === 1 ? 0.5 : 0.01, series: [left, right] }));
    }
  }
  for (const [key, title, , words, digits, unit] of long) {
    if (!which.includes(key)) continue;
    add(key, new Chart({
      title, x: whole, mirror: true, digits, unit, least: digits === 2 ? 0.05 : 1,
      about: { rate: "Degrees of wheel for each degree of servo.", ackermann: "0 is exact: both front wheels turn about one point.", angles: "90° is square." }[key],
      lines: { ackermann: [{ y: 0, words: "exact" }], angles: [{ y: 90, words: "square" }] }[key], keepIn: { angles: 90, ackermann: 0 }[key],
      series: words.map((w, i) => ({ words: w, ...shades[i] })),
    }));
  }
  const show = (id) => {
    const c = engine.curves(id, 81);
    if (c.errors) return c.errors;
    for (const [key] of folded) {
      const one = c.folded.series.find((x) => x.key === key);
      if (one) all.get(key)?.show(c.folded.stick, [one.left, one.right], [one.leftBand, one.rightBand], one.gap ? `Gap: ${one.gap}` : "");
    }
    for (const [key, , keys] of long) {
      const found = keys.map((k) => c.series.find((x) => x.key === k)).filter(Boolean);
      if (found.length === keys.length) all.get(key)?.show(c.stick, found.map((x) => x.values), found.map((x) => x.band));
    }
    return c;
  };
  // live shows the curves of the frame while a point is dragged: no bands, and left laid over right by place.
  const live = ({ scene, numbers }) => {
    const { n, series } = scene.curves, mid = (n - 1) / 2;
    const raw = new Map(series.map((one) => [one.key, Array.from(numbers.subarray(one.at, one.at + n), (v) => (Number.isNaN(v) ? null : v))]));
    const half = (key, way, flip) => Array.from({ length: mid + 1 }, (_, i) => {
      const v = raw.get(key)[mid + way * i];
      return v === null ? null : flip * v;
    });
    const k = raw.get("curvature"), way = k[n - 1] < k[0] ? -1 : 1;
    const x = Array.from({ length: mid + 1 }, (_, i) => i / mid);
    all.get("inner")?.show(x, [half("road_left", way, 1), half("road_right", -way, -1)], null);
    all.get("outer")?.show(x, [half("road_right", way, 1), half("road_left", -way, -1)], null);
    all.get("curvature")?.show(x, [half("curvature", way, 1), half("curvature", -way, -1)], null);
    all.get("curvature_slope")?.show(x, [half("curvature_slope", way, 1), half("curvature_slope", -way, 1)], null);
    for (const [key, , keys] of long) all.get(key)?.show(raw.get("stick"), keys.map((one) => raw.get(one)), null);
  };
  return { node, show, live, stop: () => { for (const chart of all.values()) chart.stop(); } };
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
  const limits = h("ul", { class: "limits" });
  const show = () => {
    const c = made.show(rig.id);
    if (Array.isArray(c)) return;
    limits.replaceChildren(...c.limits.map((l) => h("li", { text: `Going ${l.side}, ${l.words} is reached at ${Math.round(Math.abs(l.stick) * 100)} % stick.` })));
  };
  const soon = later(show, 100);
  rig.addEventListener("state", soon);
  // While a point is dragged the engine gives the curves of the frame, without bands.
  const live = () => { if (rig.dragging) made.live(rig); };
  rig.addEventListener("frame", live);
  show();
  const node = h("div", { class: "lock-curves" }, h("p", { class: "lead", text: "The pale band is how far each curve may be off, by the measurements." }), limits, made.node);
  node.leave = () => { soon.cancel(); rig.removeEventListener("state", soon); rig.removeEventListener("frame", live); made.stop(); };
  return node;
}
