// A drawing already there, to which numbers are handed. What the numbers mean is the
// engine's business; here they are only put into attributes.
import { button, h, s } from "./dom.js";

/**
 * writer makes of a list of fragments (see "scene" in package engine) a function of the numbers.
 */
export function writer(parts) {
  if (parts.length === 1 && typeof parts[0] === "number") {
    const at = parts[0];
    return (n) => Math.round(n[at] * 100) / 100 || 0;
  }
  return (n) => {
    let text = "";
    for (const p of parts) text += typeof p === "string" ? p : fragment(p, n);
    return text;
  };
}

function fragment(p, n) {
  if (typeof p === "number") return Math.round(n[p] * 100) / 100 || 0;
  const x = n[p.at];
  if (p.pick) return p.pick[x] ?? "";
  const scale = 10 ** p.digits;
  const r = Math.round(x * scale) / scale;
  if (p.side) return p.side[r < 0 ? 0 : r > 0 ? 2 : 1];
  return (p.size ? Math.abs(r) : r || 0).toFixed(p.digits);
}

/** View is one view's drawing. */
class View {
  constructor(scene, view, rig) {
    this.view = view;
    this.box = view.box;
    this.rig = rig;
    this.fills = [];
    this.byPart = new Map();
    const group = s("g", {});
    for (const shape of scene.shapes) {
      if (shape.view === view.name) group.append(this.#shape(shape));
    }
    this.handleLayer = s("g", {});
    this.pictureLayer = s("g", { class: "picture" });
    this.svg = s("svg", { class: `drawing view-${view.name}`, role: "group", "aria-label": view.words, focusable: "false" },
      group, this.handleLayer, this.pictureLayer);
    this.handles = [];
    this.zoom = { k: 1, u: this.box[0] + this.box[2] / 2, v: this.box[1] + this.box[3] / 2 };
    this.width = 0;
    this.setBox();
  }

  #shape(shape) {
    const node = s(shape.tag, { class: shape.class });
    const attributes = Object.entries(shape.set ?? {}).map(([name, parts]) => ({ name, write: writer(parts), last: undefined }));
    const text = shape.text ? writer(shape.text) : null;
    const at = shape.at;
    const fill = { node, shown: true, last: undefined };
    this.fills.push((n) => {
      const shown = at === undefined || !Number.isNaN(n[at]);
      if (shown !== fill.shown) node.style.display = (fill.shown = shown) ? "" : "none";
      if (!shown) return;
      for (const a of attributes) {
        const value = a.write(n);
        if (value !== a.last) node.setAttribute(a.name, a.last = value);
      }
      if (text) {
        const value = text(n);
        if (value !== fill.last) node.textContent = fill.last = value;
      }
    });
    if (shape.part) {
      node.dataset.part = shape.part;
      if (!this.byPart.has(shape.part)) this.byPart.set(shape.part, []);
      this.byPart.get(shape.part).push(node);
    }
    return node;
  }

  fill(n) {
    for (const f of this.fills) f(n);
    for (const handle of this.handles) handle.place(n);
  }

  /** setBox shows what the zoom says. --u is the number of millimetres to a pixel. */
  setBox() {
    const [, , w, hgt] = this.box, { k, u, v } = this.zoom;
    this.svg.setAttribute("viewBox", `${u - w / 2 / k} ${v - hgt / 2 / k} ${w / k} ${hgt / k}`);
    this.svg.classList.toggle("zoomed", k > 1);
    this.scale();
  }

  /** scale keeps letters and handles their size on the screen. */
  scale() {
    if (!this.width || !this.height) return;
    const perPixel = Math.max(this.box[2] / this.width, this.box[3] / this.height) / this.zoom.k;
    if (perPixel === this.perPixel) return;
    this.perPixel = perPixel;
    this.svg.style.setProperty("--u", perPixel);
    for (const handle of this.handles) handle.size(perPixel);
    this.scaled?.();
  }

  resized(width, height) {
    this.width = width;
    this.height = height;
    this.scale();
  }

  zoomBy(factor, u = this.zoom.u, v = this.zoom.v) {
    const k = Math.min(12, Math.max(1, this.zoom.k * factor)), f = this.zoom.k / k;
    this.pan(u + (this.zoom.u - u) * f, v + (this.zoom.v - v) * f, k);
  }

  pan(u, v, k = this.zoom.k) {
    const [bu, bv, bw, bh] = this.box;
    const hold = (x, low, size) => Math.min(low + size - size / 2 / k, Math.max(low + size / 2 / k, x));
    this.zoom = { k, u: hold(u, bu, bw), v: hold(v, bv, bh) };
    this.setBox();
  }

  fit() {
    this.zoom = { k: 1, u: this.box[0] + this.box[2] / 2, v: this.box[1] + this.box[3] / 2 };
    this.setBox();
  }

  /** highlight marks the nodes of a part. */
  highlight(part) {
    for (const [name, nodes] of this.byPart) for (const node of nodes) node.classList.toggle("picked", name === part);
  }

  at(event) {
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return [p.x, p.y];
  }
}

/** still makes a drawing that only stands there: for lists and for choosing. */
export function still(engine, text, viewName, label) {
  const state = engine.open(text);
  if (state.errors) return h("div", { class: "no-drawing", text: "No drawing" });
  const scene = engine.scene(state.id);
  const view = new View(scene, scene.views.find((v) => v.name === viewName));
  view.fill(engine.numbers(state.id));
  engine.close(state.id);
  view.svg.setAttribute("role", "img");
  view.svg.setAttribute("aria-label", label);
  view.svg.classList.add("still");
  const figure = h("div", { class: "still-box" }, view.svg);
  sizes(figure, () => view);
  return figure;
}

// sizes tells a view its size on the screen without asking for layout.
function sizes(node, view) {
  new ResizeObserver(([entry]) => view()?.resized(entry.contentRect.width, entry.contentRect.height)).observe(node);
}

/**
 * Board shows one view of a rig, live: parts to tap, points to drag, zoom. rig is what
 * open-rig.js calls an open rig; without handles it is for looking only.
 */
export class Board {
  constructor(rig, name, { handles = true } = {}) {
    this.rig = rig;
    this.name = name;
    this.withHandles = handles;
    this.said = h("p", { class: "said" });
    this.frame = h("div", { class: "frame" });
    const zoom = (label, words, act) => button(label, act, { class: "round", "aria-label": `${words}, ${name}` , title: words });
    this.tools = h("div", { class: "tools" },
      zoom("−", "Zoom out", () => this.view.zoomBy(1 / 1.5)),
      zoom("+", "Zoom in", () => this.view.zoomBy(1.5)),
      zoom("Fit", "Fit: show all", () => this.view.fit()));
    this.caption = h("figcaption", {}, h("span", { class: "view-words" }), this.tools);
    this.node = h("figure", { class: `board board-${name}` }, this.caption, this.frame, this.said);
    sizes(this.frame, () => this.view);
    this.build();
    this.#gestures();
    rig.boards.add(this);
  }

  leave() { this.rig.boards.delete(this); }

  build() {
    const { scene } = this.rig;
    const was = this.view;
    this.view = new View(scene, scene.views.find((v) => v.name === this.name), this.rig);
    const [where, ...rest] = this.view.view.words.split(/(?<=\.) /);
    this.caption.firstChild.replaceChildren(h("span", { class: "short", "aria-hidden": "true", text: shorts[this.name] }), h("span", { class: "long", text: where }), h("span", { class: "rest", text: rest.length ? " " + rest.join(" ") : "" }));
    if (this.withHandles) {
      scene.handles.forEach((handle, number) => {
        if (handle.view !== this.name) return;
        const shown = new Handle(this, handle, number);
        this.view.handles.push(shown);
        this.view.handleLayer.append(shown.node);
      });
    }
    const focus = document.activeElement?.closest?.("[data-handle]")?.dataset.handle;
    this.frame.replaceChildren(this.view.svg);
    this.frame.style.aspectRatio = `${this.view.box[2]} / ${this.view.box[3]}`;
    if (was) {
      this.view.resized(was.width, was.height);
      this.view.pan(was.zoom.u, was.zoom.v, was.zoom.k);
    }
    this.fill();
    if (focus) this.frame.querySelector(`[data-handle="${CSS.escape(focus)}"]`)?.focus({ preventScroll: true });
  }

  fill() {
    this.view.fill(this.rig.numbers);
    // Points are where they were measured: with the wheels straight.
    this.frame.classList.toggle("steered", !this.rig.straight);
  }

  showPart(part) {
    this.view.highlight(part);
    this.said.textContent = part ? part.charAt(0).toUpperCase() + part.slice(1) + "." : "";
  }

  // One pointer on a handle drags it; one elsewhere moves a zoomed view, or names a part
  // if it does not move; two zoom.
  #gestures() {
    const fingers = new Map();
    let act = null;
    const frame = this.frame;
    frame.addEventListener("pointerdown", (e) => {
      if (e.button > 0) return;
      const { view } = this;
      fingers.set(e.pointerId, e);
      if (fingers.size === 2) {
        if (act?.handle) { fingers.delete(e.pointerId); return; }
        act = { pinch: spread(fingers), from: { ...view.zoom } };
        return;
      }
      frame.setPointerCapture(e.pointerId);
      const [u, v] = view.at(e);
      const handle = view.handles.length && this.rig.straight ? this.#nearest(u, v) : null;
      const perPixel = view.perPixel;
      act = { x: e.clientX, y: e.clientY, perPixel, handle, moved: false, target: e.target, from: { ...view.zoom } };
      if (handle) {
        e.preventDefault();
        handle.node.focus({ preventScroll: true });
        this.rig.pick(handle);
      }
    });
    frame.addEventListener("pointermove", (e) => {
      if (!act || !fingers.has(e.pointerId)) return;
      fingers.set(e.pointerId, e);
      const { view } = this;
      if (act.pinch) {
        const now = spread(fingers);
        view.zoom = { ...act.from };
        const [u, v] = view.at({ clientX: now.x, clientY: now.y });
        view.zoomBy(now.size / act.pinch.size, u, v);
        return;
      }
      const du = (e.clientX - act.x) * act.perPixel, dv = (e.clientY - act.y) * act.perPixel;
      if (!act.moved && Math.hypot(e.clientX - act.x, e.clientY - act.y) < 4) return;
      if (!act.moved && act.handle) {
        [act.u, act.v] = this.rig.grab(act.handle);
      }
      act.moved = true;
      if (act.handle) this.rig.drag(act.u + du, act.v + dv);
      else if (act.from.k > 1) view.pan(act.from.u - du, act.from.v - dv);
    });
    const up = (e, keep) => {
      if (!fingers.delete(e.pointerId) || !act) return;
      if (act.pinch) {
        if (!fingers.size) act = null;
        return;
      }
      if (act.handle && act.moved) {
        if (keep) this.rig.drop();
        else this.rig.cancel();
      } else if (keep && !act.moved && !act.handle) {
        this.showPart(act.target.dataset?.part ?? "");
      }
      act = null;
    };
    frame.addEventListener("pointerup", (e) => up(e, true));
    frame.addEventListener("pointercancel", (e) => up(e, false));
    frame.addEventListener("wheel", (e) => {
      if (!e.ctrlKey && this.view.zoom.k === 1) return;
      e.preventDefault();
      const [u, v] = this.view.at(e);
      this.view.zoomBy(Math.exp(-e.deltaY / 300), u, v);
    }, { passive: false });
    this.frame.addEventListener("keydown", (e) => {
      if (e.key === "Escape" && act?.handle && act.moved) { this.rig.cancel(); act = null; }
    });
  }

  // A finger is some 44 px wide. Where several points are below it, the nearest one is meant.
  #nearest(u, v) {
    let best = null, least = 24 * this.view.perPixel;
    for (const handle of this.view.handles) {
      const d = Math.hypot(handle.u - u, handle.v - v);
      if (d < least) [best, least] = [handle, d];
    }
    return best;
  }
}

function spread(fingers) {
  const [a, b] = [...fingers.values()];
  return { x: (a.clientX + b.clientX) / 2, y: (a.clientY + b.clientY) / 2, size: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) || 1 };
}

const shorts = { above: "From above", behind: "From behind", side: "From the left", turn: "The turn" };

const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Handle is a point that can be moved. */
export class Handle {
  constructor(board, handle, number) {
    Object.assign(this, handle);
    this.number = number;
    this.board = board;
    this.reach = s("circle", { class: "reach", r: 1 });
    this.ring = s("circle", { class: "ring", r: 1 });
    this.node = s("g", {
      class: "handle", tabindex: "0", role: "button", data: { handle: `${handle.view}/${handle.key}` },
      "aria-label": `${handle.words}, ${board.view.view.name === "above" ? "from above" : "from " + (board.name === "side" ? "the side" : board.name)}. Arrow keys move it ${handle.stepWords}, with Shift a tenth of that.`,
    }, this.reach, this.ring);
    this.node.addEventListener("focus", () => board.rig.pick(this));
    this.node.addEventListener("keydown", (e) => {
      const way = arrows[e.key];
      if (!way || e.ctrlKey || e.metaKey || e.altKey) return;
      e.preventDefault();
      const step = e.shiftKey ? this.step / 10 : this.step;
      board.rig.nudge(this, way[0] * step, way[1] * step);
    });
  }

  place(n) {
    const u = n[this.at], v = n[this.at + 1];
    if (u === this.u && v === this.v) return;
    this.u = u;
    this.v = v;
    this.node.style.display = Number.isNaN(u) ? "none" : "";
    if (!Number.isNaN(u)) this.node.setAttribute("transform", `translate(${u} ${v})`);
  }

  size(perPixel) {
    this.reach.setAttribute("r", 22 * perPixel);
    this.ring.setAttribute("r", 8 * perPixel);
  }
}
