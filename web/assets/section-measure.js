// One measurement at a time, with a picture of where the caliper goes.
import { about, button, errorText, freshId, h, s } from "./dom.js";
import { Board } from "./drawing.js";
import { caution, cautions, fold } from "./parts.js";

export function measure(rig) {
  const card = h("section", { class: "ask" });
  const all = h("div", {});
  const left = h("p", { class: "progress", role: "status" });
  let board = null, key = "", skipped = new Set();

  const read = () => rig.engine.measurements(rig.id);
  // What the set-up needs comes first; the suspension and the like only when that is done, or while one is at it.
  const next = (m, from) => {
    const i = m.list.findIndex((one) => one.key === from);
    const all = [...m.list.slice(i + 1), ...m.list.slice(0, i + 1)];
    const order = m.missing ? all.filter((one) => !one.later) : all;
    return order.find((one) => one.missing && !skipped.has(one.key)) ?? order.find((one) => one.missing && one.key !== from) ?? order.find((one) => one.missing);
  };

  const ask = (m, one) => {
    key = one?.key ?? "";
    board?.leave();
    board = null;
    if (!one) {
      card.replaceChildren(done(m));
      return;
    }
    const i = m.list.findIndex((other) => other.key === one.key);
    const id = freshId("measure");
    const why = h("p", { class: "why", id: `${id}-why`, role: "alert" });
    const input = h("input", {
      id, type: "text", autocomplete: "off", spellcheck: "false", enterkeyhint: "next", class: "big",
      value: one.missing ? "" : one.entry, "aria-describedby": `${id}-hint ${id}-why`, data: { key: one.key },
    });
    const keep = (e) => {
      e.preventDefault();
      const value = input.value.trim();
      if (!value) {
        why.textContent = "Put in what you read, or skip it for now.";
        input.focus();
        return;
      }
      if (!one.missing && value === one.entry) { step(1); return; }
      const errors = rig.set(one.key, about(value));
      if (errors) {
        why.textContent = errorText(errors);
        input.setAttribute("aria-invalid", "true");
        input.focus();
        return;
      }
      skipped.delete(one.key);
      const now = read();
      show(now);
      ask(now, now.missing || (one.later && now.laterMissing) ? next(now, one.key) : null);
      focus(true);
    };
    const step = (by) => {
      const now = read();
      ask(now, now.list[(i + by + now.list.length) % now.list.length]);
      focus();
    };
    const form = h("form", { on: { submit: keep } },
      h("p", { class: "count", text: `Measurement ${i + 1} of ${m.list.length}${one.missing ? "" : ", measured"}` }),
      h("h2", { tabindex: "-1", text: one.words.charAt(0).toUpperCase() + one.words.slice(1) }),
      h("p", { class: "how", text: one.how }),
      h("div", { class: "number" }, h("label", { for: id, text: `What you read, in ${one.unit}` }), h("div", { class: "with-unit" }, input, h("span", { class: "unit", text: { degrees: "°", inches: "in" }[one.unit] ?? one.unit, "aria-hidden": "true" }))),
      h("p", { class: "hint", id: `${id}-hint`, text: one.hint }),
      why,
      one.worth ? h("p", { class: "quiet", text: one.worth }) : null,
      h("div", { class: "row" },
        h("button", { type: "submit", class: "main", text: "Keep and go on" }),
        button("Back", () => step(-1)),
        button("Skip for now", () => { skipped.add(one.key); const now = read(); const then = next(now, one.key); ask(now, then && then.key !== one.key ? then : now.list[(i + 1) % now.list.length]); focus(); })));
    const picture = h("div", { class: "where" });
    if (one.picture) {
      board = new Board(rig, one.picture.view, { handles: false });
      picture.append(board.node);
      draw(board, one.picture, one);
    }
    card.replaceChildren(picture, form);
  };

  // Who writes goes on writing; who turned over sees the picture first, which a phone's keys would hide.
  const focus = (writing) => (writing && card.querySelector("input") || card.querySelector("h2"))?.focus({ preventScroll: true });

  // done is what is said when nothing is missing.
  const done = (m) => h("div", { class: "done" },
    h("h2", { tabindex: "-1", text: m.laterMissing ? "Everything for the set-up is measured" : "Everything is measured" }),
    m.laterMissing ? h("p", { text: `What the travel does to the steering, and what comes near, still stand on the layout's invented places: ${m.laterMissing} more. They can wait.` }) : null,
    h("p", { text: m.repeatWords }),
    m.repeat?.length ? h("ul", { class: "repeat" }, m.repeat.map((k) => {
      const one = m.list.find((x) => x.key === k);
      return one ? h("li", {}, h("div", {}, h("strong", { text: one.words }), h("span", { text: `${one.figure.text}. ${one.worth ?? ""}` })),
        button("Measure it again", () => { ask(read(), one); focus(); }, { "aria-label": `Measure it again: ${one.words}` })) : null;
    })) : null,
    h("div", { class: "row" }, h("a", { class: "button main", href: `#/rig/${rig.rig.id}/setup`, text: "Go to the set-up" }),
      h("a", { class: "button", href: `#/rig/${rig.rig.id}/look`, text: "Look at the rig" }),
      m.laterMissing ? button("Measure the suspension", () => { const now = read(); ask(now, next(now, "")); card.scrollIntoView({ block: "start" }); focus(); }) : null));

  const show = (m) => {
    const first = m.list.filter((one) => !one.later).length;
    left.textContent = m.missing ? `${m.missing} of ${first} still missing`
      : m.laterMissing ? `All ${first} for the set-up measured, ${m.laterMissing} more can wait` : `All ${m.list.length} measured`;
    left.style.setProperty("--done", `${100 * (1 - m.missing / (first || 1))}%`);
    const groups = new Map();
    for (const one of m.list) {
      if (!groups.has(one.group)) groups.set(one.group, []);
      groups.get(one.group).push(one);
    }
    const open = all.querySelector("details")?.open;
    const list = fold("All measurements", h("ul", { class: "measured" }, m.list.map((one) => h("li", { class: one.missing ? "missing" : "" },
      button([h("span", { class: "m-words", text: one.words }), h("span", { class: "m-value", text: one.missing ? "not measured" : one.figure.text })],
        () => { ask(read(), one); card.scrollIntoView({ block: "start" }); focus(); })))));
    list.open = Boolean(open);
    all.replaceChildren(list);
  };

  const refresh = () => {
    const m = read();
    if (m.errors) return;
    show(m);
    const one = m.list.find((x) => x.key === key);
    // What is being written stays.
    if (!card.contains(document.activeElement) || !one) ask(m, one ?? (m.missing ? next(m, "") : null));
  };
  rig.addEventListener("state", refresh);
  const m = read();
  const node = h("div", { class: "measure" });
  if (m.errors) {
    node.append(h("p", { text: m.errors.map((e) => e.problem).join(" ") }));
  } else {
    show(m);
    ask(m, m.missing ? m.list.find((one) => one.key === m.next) : null);
    node.append(left, card, all, caution("Measure with the battery out. " + cautions.pack));
  }
  node.leave = () => { board?.leave(); rig.removeEventListener("state", refresh); };
  return node;
}

// draw puts a caliper or a protractor on the view. The places are the engine's.
function draw(board, picture, one) {
  const { view } = board;
  const layer = view.pictureLayer;
  const paint = () => {
    const px = view.perPixel;
    if (!px) return;
    layer.replaceChildren(...(picture.kind === "angle" && picture.vertex ? protractor(picture, px) : caliper(picture, px)));
  };
  // Near enough to see where the jaws go, far enough to see which part it is.
  const places = [picture.from, picture.to, picture.vertex].filter(Boolean);
  const us = places.map((p) => p[0]), vs = places.map((p) => p[1]);
  const wide = Math.max(...us) - Math.min(...us), high = Math.max(...vs) - Math.min(...vs);
  const fit = Math.min(view.box[2] / (wide || 1), view.box[3] / (high || 1)) * 0.62;
  if (fit > 1) view.pan((Math.max(...us) + Math.min(...us)) / 2, (Math.max(...vs) + Math.min(...vs)) / 2, Math.min(fit, picture.view === "turn" ? 2.6 : 1.8));
  view.scaled = paint;
  paint();
  board.view.svg.setAttribute("aria-label", `${view.view.words} ${one.how}`);
  const build = board.build.bind(board);
  board.build = () => { build(); draw(board, picture, one); };
}

// A caliper: two jaws that stand square to what is measured, and the beam beside it.
function caliper({ from, to }, px) {
  const [x1, y1] = from, [x2, y2] = to;
  const length = Math.hypot(x2 - x1, y2 - y1);
  if (length < 2 * px) {
    return [s("circle", { class: "target", cx: x1, cy: y1, r: 14 * px }), s("circle", { class: "tip", cx: x1, cy: y1, r: 3 * px })];
  }
  const ux = (x2 - x1) / length, uy = (y2 - y1) / length;
  let nx = -uy, ny = ux;
  if (ny > 0 || (ny === 0 && nx < 0)) { nx = -nx; ny = -ny; }
  const jaw = 46 * px, over = 7 * px, beam = 9 * px, wide = 8 * px;
  const at = (x, y, along, away) => `${x + ux * along + nx * away} ${y + uy * along + ny * away}`;
  // Inside jaw faces lie on the two places; the jaws taper to their tips.
  const left = `M${at(x1, y1, 0, -over)} L${at(x1, y1, 0, jaw)} L${at(x1, y1, -wide, jaw)} L${at(x1, y1, -wide, 6 * px)} Z`;
  const right = `M${at(x2, y2, 0, -over)} L${at(x2, y2, 0, jaw)} L${at(x2, y2, wide, jaw)} L${at(x2, y2, wide, 6 * px)} Z`;
  const rail = `M${at(x1, y1, -wide, jaw)} L${at(x2, y2, wide + 14 * px, jaw)} L${at(x2, y2, wide + 14 * px, jaw + beam)} L${at(x1, y1, -wide, jaw + beam)} Z`;
  const marks = [];
  const gap = Math.max(1, Math.ceil(4 * px)); // whole millimetres
  for (let i = 0; i * gap <= length; i++) {
    marks.push(s("path", { class: "mark-line", d: `M${at(x1, y1, i * gap, jaw)} L${at(x1, y1, i * gap, jaw + (i % 5 ? 3 : 6) * px)}` }));
  }
  return [
    s("line", { class: "measure-line", x1, y1, x2, y2 }),
    s("path", { class: "tool-body", d: rail }), s("path", { class: "tool-body", d: left }), s("path", { class: "tool-body", d: right }), ...marks,
    s("circle", { class: "tip", cx: x1, cy: y1, r: 3 * px }), s("circle", { class: "tip", cx: x2, cy: y2, r: 3 * px }),
  ];
}

// A protractor: its two arms and the arc between them.
function protractor({ vertex, from, to }, px) {
  const [x, y] = vertex;
  const a = Math.atan2(from[1] - y, from[0] - x), b = Math.atan2(to[1] - y, to[0] - x);
  let turn = b - a;
  while (turn > Math.PI) turn -= 2 * Math.PI;
  while (turn < -Math.PI) turn += 2 * Math.PI;
  const r = 60 * px, arc = [];
  for (let i = 0; i <= 24; i++) {
    const t = a + turn * i / 24;
    arc.push(`${i ? "L" : "M"}${x + r * Math.cos(t)} ${y + r * Math.sin(t)}`);
  }
  const arm = (t) => s("line", { class: "tool-arm", x1: x, y1: y, x2: x + 1.45 * r * Math.cos(t), y2: y + 1.45 * r * Math.sin(t) });
  return [s("path", { class: "sector", d: `M${x} ${y} ${arc.join(" ").replace("M", "L")} Z` }), arm(a), arm(b),
    s("path", { class: "measure-line", d: arc.join(" ") }), s("circle", { class: "tip", cx: x, cy: y, r: 4 * px })];
}
