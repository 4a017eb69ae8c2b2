// Parts that several sections use: cautions, the stick, live values, choices.
import { button, errorText, freshId, h, s } from "./dom.js";
import { writer } from "./drawing.js";

const icons = {
  rigs: "M4 5h16M4 12h16M4 19h16",
  measure: "M4 4v7h16V4M8 4v3M12 4v5M16 4v3M9 20l3-6 3 6z",
  look: "M5 5v14M19 5v14M5 12h14M12 12V6M3 8h4M17 8h4M3 16h4M17 16h4",
  curves: "M4 4v16h16M6 17c5 0 6-10 13-11",
  setup: "M4 6l2 2 3-4M12 6h8M4 13l2 2 3-4M12 13h8M4 20l2 2 3-4M12 20h8",
  radio: "M5 10h14v10H5zM15 10V3M9 13v4M15 13v4M7.500 15h3M13.500 15h3",
  loads: "M4 20h16M12 20V8M12 8l-4 4M12 8l4 4M7 4h10",
  change: "M4 20l1-5L16 4l4 4L9 19zM13 7l4 4",
  history: "M5 4h11l3 3v13H5zM8 4v5h7V4M8 20v-7h8v7",
  undo: "M9 6L4 11l5 5M4 11h9a6 6 0 0 1 0 9h-2",
  redo: "M15 6l5 5-5 5M20 11h-9a6 6 0 0 0 0 9h2",
  back: "M14 5l-7 7 7 7",
  caution: "M12 3L2 21h20zM12 10v5M12 17.500v1",
  light: "M12 3v3M12 18v3M3 12h3M18 12h3M5.600 5.600l2.100 2.100M16.300 16.300l2.100 2.100M18.400 5.600l-2.100 2.100M7.700 16.300l-2.100 2.100M12 8.500a3.500 3.500 0 1 0 0 7 3.500 3.500 0 1 0 0-7",
};

/** icon draws one of the page's own signs; it is only beside words or in a named button. */
export const icon = (name) => s("svg", { class: "icon", viewBox: "0 0 24 24", "aria-hidden": "true" }, s("path", { d: icons[name] }));

/** caution shows what can hurt, where it can. */
export function caution(...texts) {
  return h("div", { class: "caution", role: "note", "aria-label": "Caution" }, icon("caution"), h("div", {}, texts.map((t) => h("p", { text: t.charAt(0).toUpperCase() + t.slice(1) }))));
}

/** choice is a row of buttons of which one is pressed. */
export function choice(label, options, chosen, choose, props = {}) {
  const group = h("div", { class: "choice", role: "group", "aria-label": label, ...props });
  const show = (value) => {
    for (const b of group.children) b.setAttribute("aria-pressed", String(b.dataset.value === value));
  };
  for (const [value, words] of options) {
    group.append(button(words, () => { show(value); choose(value); }, { data: { value } }));
  }
  show(chosen);
  group.show = show;
  return group;
}

/** liveText is a moving value of an open rig as the engine words it. */
const liveText = (rig, key) => writer(rig.scene.live.find((one) => one.key === key).text)(rig.numbers);

/** stick is the control that turns the wheels: a rule from full left to full right. */
export function stick(rig) {
  const ticks = s("g", { class: "ticks" });
  for (let i = -20; i <= 20; i++) {
    ticks.append(s("line", { x1: 100 + i * 5, x2: 100 + i * 5, y1: 0, y2: i % 10 === 0 ? 14 : i % 5 === 0 ? 10 : 6 }));
  }
  const thumb = h("div", { class: "thumb" });
  const said = h("output", { class: "stick-said" });
  const rule = h("div", {
    class: "rule", role: "slider", tabindex: "0", "aria-label": "Stick", "aria-valuemin": "-100", "aria-valuemax": "100",
    "aria-orientation": "horizontal",
  }, s("svg", { viewBox: "0 0 200 14", preserveAspectRatio: "none", "aria-hidden": "true" }, ticks), thumb);
  let last;
  const show = () => {
    const text = liveText(rig, "stick");
    if (rig.stick === last && text === said.dataset.text) return;
    last = rig.stick;
    said.dataset.text = text;
    thumb.style.left = `calc(1.5rem + (100% - 3rem) * ${(1 - last) / 2})`;
    rule.setAttribute("aria-valuenow", String(Math.round(-last * 100)));
    rule.setAttribute("aria-valuetext", text);
    said.textContent = `Stick: ${text}`;
  };
  const to = (x) => rig.setStick(Math.abs(x) < 0.012 ? 0 : x);
  let box = null;
  const follow = (e) => {
    if (!box) return;
    to(1 - 2 * (e.clientX - box.left) / box.width);
  };
  rule.addEventListener("pointerdown", (e) => {
    if (e.button > 0) return;
    rule.setPointerCapture(e.pointerId);
    box = ticks.ownerSVGElement.getBoundingClientRect();
    follow(e);
  });
  rule.addEventListener("pointermove", follow);
  for (const end of ["pointerup", "pointercancel"]) rule.addEventListener(end, () => { box = null; });
  rule.addEventListener("keydown", (e) => {
    const step = e.shiftKey ? 0.01 : 0.05;
    const next = {
      ArrowLeft: rig.stick + step, ArrowRight: rig.stick - step, ArrowDown: rig.stick + step, ArrowUp: rig.stick - step,
      PageUp: rig.stick - 0.25, PageDown: rig.stick + 0.25, Home: 1, End: -1, 0: 0, c: 0,
    }[e.key];
    if (next === undefined || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    to(Math.round(Math.max(-1, Math.min(1, next)) * 100) / 100);
  });
  rig.addEventListener("frame", show);
  show();
  const node = h("div", { class: "stick" }, said, rule, h("div", { class: "stick-ends" },
    button("Full left", () => to(1)), button("Centre", () => to(0)), button("Full right", () => to(-1))));
  return node;
}

/**
 * live shows the values that move along: a few always, the others of the steering in a fold, and
 * those of the suspension and of the loads by themselves.
 */
export function live(rig) {
  const list = h("dl", { class: "live" }), others = h("dl", { class: "live" });
  const travel = h("dl", { class: "live live-group" }), load = h("dl", { class: "live live-group" });
  const place = (value) => ({ travel, load })[value.group] ?? (value.always ? list : others);
  let fills = [], scene = null;
  const build = () => {
    scene = rig.scene;
    fills = scene.live.map((value) => {
      const write = writer(value.text), shown = h("dd");
      const node = h("div", { class: `live-${value.key.replaceAll(".", "-")}` }, h("dt", { text: value.words }), shown);
      place(value).append(node);
      let last;
      return (n) => {
        // What this rig does not have is not there; of the steering, it is only not to be had in
        // this pose.
        if (value.group) node.hidden = Number.isNaN(n[value.at]);
        const text = Number.isNaN(n[value.at]) ? "–" : write(n);
        if (text !== last) shown.textContent = last = text;
      };
    });
  };
  const fill = () => {
    if (scene !== rig.scene) {
      for (const one of [list, others, travel, load]) one.replaceChildren();
      build();
    }
    for (const f of fills) f(rig.numbers);
  };
  rig.addEventListener("frame", fill);
  fill();
  return { list, others, travel, load };
}

/**
 * travelControl is the control that moves the suspension: a slider for each wheel, by itself or
 * with the other one. Where the suspension goes less far than it was asked to, a slider says where
 * it stops.
 */
export function travelControl(rig) {
  let way = "both";
  const hint = h("p", { class: "away", id: freshId("travel") });
  const node = h("div", { class: "wheel-travel", role: "group", "aria-label": "Suspension" });
  const ways = choice("How the wheels move", [["both", "Both"], ["roll", "Roll"], ["one", "One"]], way, (value) => { way = value; });
  const sliders = ["left", "right"].map((side) => {
    const said = h("output", { class: "wheel-said" });
    const input = h("input", { type: "range", "aria-describedby": hint.id, "aria-label": `${side === "left" ? "Left" : "Right"} wheel's height`, data: { wheel: side } });
    input.addEventListener("input", () => rig.moveWheel(way, side, Number(input.value)));
    return { side, input, said, node: h("div", { class: `wheel-side wheel-${side}` }, said, input) };
  });
  const home = button("Ride height", () => rig.setWheelTravel(0, 0));
  node.append(ways, sliders[0].node, sliders[1].node, home, hint);
  // Where the drawing stands, and whether that is short of what was asked for.
  const stands = (side) => {
    const key = `rise_${side}`, { at } = rig.scene.live.find((one) => one.key === key);
    return { words: liveText(rig, key), stopped: rig.numbers[at + 1] === 1 };
  };
  let last;
  const show = () => {
    const { state, wheelTravel: now } = rig;
    node.hidden = !state.wheelTravel;
    if (!state.wheelTravel) return;
    const { step, stepWords, bump, droop } = state.wheelTravel;
    const at = { left: stands("left"), right: stands("right") };
    const key = JSON.stringify([now, at, state.wheelTravel]);
    // A slider that was pulled past what the wheels do goes back.
    for (const { side, input } of sliders) if (key === last && Number(input.value) !== now[side]) input.value = String(now[side]);
    if (key === last) return;
    last = key;
    hint.textContent = `Arrow keys: ${stepWords} a press.`;
    for (const { side, input, said, node: box } of sliders) {
      // The steps count from the lowest place, and ride height is one of them.
      input.step = String(step);
      input.min = String(-Math.ceil(droop / step) * step);
      input.max = String(Math.ceil(bump / step) * step);
      input.title = hint.textContent;
      if (Number(input.value) !== now[side]) input.value = String(now[side]);
      const { words, stopped } = at[side];
      box.classList.toggle("stopped", stopped);
      input.setAttribute("aria-valuetext", words);
      said.replaceChildren(h("span", { class: "wheel-name", text: side === "left" ? "Left " : "Right " }), h("strong", { text: words }));
    }
    home.disabled = now.left === 0 && now.right === 0;
  };
  rig.addEventListener("frame", show);
  rig.addEventListener("state", show);
  show();
  return node;
}

/** later runs f once things have been quiet for so long, in ms. */
export function later(f, quiet) {
  let timer = 0;
  const run = () => { clearTimeout(timer); timer = setTimeout(f, quiet); };
  run.cancel = () => clearTimeout(timer);
  return run;
}

/** fold is a part that opens. */
export function fold(title, ...content) {
  return h("details", { class: "fold" }, h("summary", { text: title }), content.flat(Infinity));
}

/**
 * entry is a number edited in place: kept with Enter or on leaving. What the engine
 * cannot take stays there to be corrected, with the reason below.
 */
export function entry(rig, key, label, value, { hint, after } = {}) {
  const id = freshId("entry");
  const why = h("p", { class: "why", id: `${id}-why`, role: "alert" });
  const input = h("input", { id, type: "text", inputmode: "text", autocomplete: "off", spellcheck: "false", value, "aria-describedby": why.id, data: { key } });
  let stands = value;
  const keep = () => {
    if (input.value.trim() === stands) { why.textContent = ""; input.removeAttribute("aria-invalid"); return; }
    const errors = rig.set(key, input.value.trim());
    if (errors) {
      why.textContent = errorText(errors);
      input.setAttribute("aria-invalid", "true");
      return;
    }
    stands = input.value.trim();
    why.textContent = "";
    input.removeAttribute("aria-invalid");
    after?.();
  };
  input.addEventListener("keydown", (e) => {
    if (e.key === "Enter") keep();
    if (e.key === "Escape") { input.value = stands; keep(); }
  });
  input.addEventListener("change", keep);
  return h("div", { class: "field entry" }, h("label", { for: id, text: label }), input, hint ? h("p", { class: "hint", text: hint }) : null, why);
}
