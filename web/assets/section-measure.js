// One measurement at a time, with a picture of where the caliper goes.
import { button, errorText, freshId, h, s } from "./dom.js";
import { Board } from "./drawing.js";
import { caution, fold } from "./parts.js";

export function measure(rig) {
  const card = h("section", { class: "ask" });
  const all = h("div", {});
  const left = h("p", { class: "progress", role: "status" });
  let board = null, key = "", skipped = new Set();

  const read = () => rig.engine.measurements(rig.id);
  // What the set-up needs comes first; the suspension and the like only when that is done, or while
  // one is at it.
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
      value: one.missing ? "" : one.entry, "aria-describedby": `${id}-hint ${id}-why`, data: { key: one.key, shown: one.missing ? "" : one.entry },
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
      const errors = rig.set(one.key, value);
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
    if (one.view) {
      board = new Board(rig, one.view, { handles: false });
      picture.append(board.node);
      showTool(rig, board, one);
    }
    card.replaceChildren(picture, form);
  };

  // Who writes goes on writing; who turned over sees the picture first, which a phone's keys would
  // hide.
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
    // What is typed and not kept yet stays, with the unit that it was typed in.
    const input = card.querySelector("input"), typed = input?.value.trim() ?? "", unit = card.querySelector(".unit")?.textContent;
    if (one && typed && typed !== input.dataset.shown) {
      if (unit === one.unit) return;
      ask(m, one);
      card.querySelector("input").value = /^[-−+]?[\d.,]+$/.test(typed) ? `${typed} ${unit}` : typed;
      return;
    }
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
    node.append(left, card, all, caution(rig.engine.cautions().measuring));
  }
  node.unitsChanged = refresh;
  node.leave = () => { board?.leave(); rig.removeEventListener("state", refresh); };
  return node;
}

// showTool puts the engine's caliper or protractor on the view, and the view to where it is seen
// well.
function showTool(rig, board, one) {
  const place = () => {
    const { view } = board;
    const paint = () => {
      const drawn = rig.engine.picture(rig.id, one.key, view.perPixel || 1);
      if (!drawn.errors) view.pictureLayer.replaceChildren(...drawn.shapes.map((e) => s(e.tag, { class: e.class, ...e.set })));
      return drawn;
    };
    const { times, middle } = paint();
    view.scaled = paint;
    if (times > 1) view.pan(...middle, times);
    view.svg.setAttribute("aria-label", `${view.view.words} ${one.how}`);
  };
  place();
  const build = board.build.bind(board);
  board.build = () => { build(); place(); };
}
