// The drawing and what it says: views, stick, points to move, headline figures.
import { button, h, problems } from "./dom.js";
import { sections, verdict } from "./document.js";
import { Board } from "./drawing.js";
import { caution, choice, entry, fold, later, live, stick, travelControl } from "./parts.js";

const names = { above: "Above", behind: "Behind", side: "Side", turn: "Turn" };

/** panel is the drawing with the stick; on a wide page it stays beside the other sections. */
export function panel(rig) {
  const wide = matchMedia("(min-width: 62rem)");
  const boards = h("div", { class: "boards" });
  let shown = [];
  const show = (what) => {
    for (const board of shown) board.leave();
    shown = (what === "all" ? ["above", "behind", "side"] : [what]).map((name) => new Board(rig, name));
    boards.classList.toggle("all", what === "all");
    boards.replaceChildren(...shown.map((b) => b.node));
  };
  const start = wide.matches ? "all" : "above";
  const views = choice("View", [["all", "All three"], ...Object.entries(names)], start, show, { class: "choice views" });
  show(start);
  const held = h("p", { class: "held", role: "status" });
  const note = () => { if (held.textContent !== (rig.held ?? "")) held.textContent = rig.held ?? ""; };
  rig.addEventListener("frame", note);
  const values = live(rig);
  const node = h("section", { class: "panel", "aria-label": "Drawing" }, views, boards, held, values.list, stick(rig), travelControl(rig));
  node.values = values;
  node.leave = () => { for (const board of shown) board.leave(); };
  return node;
}

export function look(rig) {
  const point = h("section", { class: "point" });
  const figures = h("div", { class: "headlines" });

  const showPoint = () => {
    const handle = rig.picked;
    point.replaceChildren(h("h2", { text: "Move a point" }));
    if (!handle) {
      point.append(h("p", { text: "With the stick at the centre, drag a ringed point on the drawing, or pick it here. The faint dashed lines show the rig as it was before." }));
    }
    const seen = new Set();
    const list = h("select", { "aria-label": "Point", on: { change: (e) => rig.pick(rig.handle(Number(e.target.value))) } },
      handle ? null : h("option", { value: "", text: "Pick a point" }),
      rig.scene.handles.map((other, number) => {
        const words = `${other.words}, ${names[other.view].toLowerCase()}`;
        if (seen.has(words)) return null;
        seen.add(words);
        const option = h("option", { value: String(number), text: words });
        option.selected = handle?.number === number;
        return option;
      }));
    point.append(list);
    if (!handle) return;
    const move = (label, du, dv) => button(label, () => rig.nudge(handle, du * handle.step, dv * handle.step), { "aria-label": `Move ${handle.words} ${label}` });
    const view = rig.scene.views.find((v) => v.name === handle.view);
    const ways = { right: ["left", "right"], back: ["forward", "back"] }[view.right] ?? ["left", "right"];
    const tall = view.up === "up" ? ["up", "down"] : ["forward", "back"];
    const entries = h("div", { class: "entries" });
    const fill = () => {
      const all = rig.engine.measurements(rig.id).list ?? [];
      const changes = (m) => handle.changes.some((key) => m.key === key || m.key.startsWith(`${key}.`));
      entries.replaceChildren(...all.filter(changes).map((m) => entry(rig, m.key, m.words, m.entry, { hint: `in ${m.unit}` })));
    };
    fill();
    point.fill = fill;
    point.append(
      h("p", { text: `Each press moves it ${handle.stepWords}. So do the arrow keys on the point; with Shift, a tenth.` }),
      h("div", { class: "pad" }, move(tall[0], 0, -1), move(ways[0], -1, 0), move(ways[1], 1, 0), move(tall[1], 0, 1)),
      entries);
  };
  const showFigures = () => {
    const doc = rig.engine.results(rig.id);
    figures.replaceChildren(...(doc.errors ? [problems(doc.errors)] : [verdict(doc), ...sections(doc)]));
  };
  const soon = later(showFigures, 120);
  const changed = () => {
    soon();
    if (point.fill && !point.querySelector(".entries")?.contains(document.activeElement)) point.fill();
  };
  rig.addEventListener("state", changed);
  rig.addEventListener("pick", showPoint);
  showPoint();
  showFigures();

  const parts = [...new Set(rig.scene.shapes.map((one) => one.part).filter((p) => p && !p.endsWith(" before")))];
  const node = h("div", { class: "look" },
    h("section", {}, h("h2", { text: "How it stands here" }), rig.panel.values.travel),
    h("section", {}, h("h2", { text: "How it steers" }), stickNote(rig), figures),
    point,
    fold("More that moves along", rig.panel.values.others),
    fold("Name a part", h("p", { text: "Tap a part on the drawing, or pick its name to see it." }),
      h("div", { class: "names" }, parts.map((p) => button(p.charAt(0).toUpperCase() + p.slice(1), () => { for (const b of rig.boards) b.showPart(p); })))),
    caution(rig.engine.cautions().drilling));
  node.leave = () => {
    soon.cancel();
    rig.removeEventListener("state", changed);
    rig.removeEventListener("pick", showPoint);
  };
  return node;
}

function stickNote(rig) {
  return rig.state.stickWords ? h("p", { class: "quiet", text: rig.state.stickWords }) : null;
}
