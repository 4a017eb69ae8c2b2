// The set-up in the order that the work is done.
import { button, h, problems, when } from "./dom.js";
import { sections, verdict } from "./document.js";
import { later } from "./parts.js";

export async function setup(rig, app) {
  const content = h("div", { class: "account" });
  const errors = h("div", { role: "alert" });
  let ticks = {};
  const readTicks = async () => { ticks = (await app.store.journal(rig.rig.id)).ticks ?? {}; };

  // Each axle has ticks of its own.
  const ticked = (key) => ticks[rig.state.prefix + key];
  const tick = async (step, on) => {
    errors.replaceChildren();
    try {
      await app.store.write(rig.rig.id, { kind: on ? "done" : "undone", revision: rig.parent, step: rig.state.prefix + step.key });
      await readTicks();
    } catch (error) {
      errors.replaceChildren(problems([{ problem: error.message, remedy: error.remedy }]));
    }
    show();
  };
  // All that a step sets is one change, and so one undo.
  const put = (step) => {
    const failed = rig.change("setAll", `${step.title} of the set-up`, step.set);
    errors.replaceChildren(...(failed ? [problems(failed)] : []));
    if (!failed) app.say(`${step.title}: in the rig file now.`);
  };
  const work = (step) => {
    const done = ticked(step.key);
    const box = h("input", { type: "checkbox", data: { tick: step.key }, on: { change: (e) => tick(step, e.target.checked) } });
    box.checked = Boolean(done);
    return h("div", { class: "row" },
      h("label", { class: "tick" }, box, h("span", { text: done ? `Done, ${when(done.written)}` : "Done" })),
      step.set?.length ? button("Put this into the file", () => put(step), { "aria-label": `Put this into the file: ${step.title}` }) : null);
  };

  const unmeasured = () => h("div", { class: "notice" },
    h("p", { text: `${rig.state.missing} values are not measured yet: the figures are rough.` }),
    h("a", { class: "button", href: `#/rig/${rig.rig.id}/measure`, text: "Go on measuring" }));
  const show = () => {
    const focus = document.activeElement?.dataset?.tick;
    const doc = rig.engine.setup(rig.id);
    const open = new Set([...content.querySelectorAll("[data-section]:has(> details[open])")].map((one) => one.dataset.section));
    content.replaceChildren(...[
      rig.state.missing ? unmeasured() : null,
      ...(doc.errors ? [h("div", { class: "notice" }, problems(doc.errors))] : [verdict(doc), ...sections(doc, { work })]),
    ].filter(Boolean));
    for (const one of content.querySelectorAll(".step")) one.classList.toggle("ticked", Boolean(ticked(one.dataset.step)));
    for (const key of open) content.querySelector(`[data-section="${key}"] > details`)?.setAttribute("open", "");
    if (focus) content.querySelector(`[data-tick="${CSS.escape(focus)}"]`)?.focus({ preventScroll: true });
  };
  const soon = later(show, 60);
  rig.addEventListener("state", soon);
  await readTicks();
  show();
  const node = h("div", { class: "setup" }, errors, content);
  node.leave = () => { soon.cancel(); rig.removeEventListener("state", soon); };
  node.changed = async (change) => {
    if (change.rig === rig.rig.id && change.what === "noted") { await readTicks().catch(() => {}); show(); }
  };
  return node;
}
