// The set-up in the order that the work is done.
import { button, h, problems, when } from "./dom.js";
import { caution, later } from "./parts.js";

export async function setup(rig, app) {
  const list = h("ol", { class: "steps" });
  const problem = h("div", {});
  const errors = h("div", { role: "alert" });
  let ticks = {};
  const readTicks = async () => { ticks = (await app.store.journal(rig.rig.id)).ticks ?? {}; };

  const tick = async (step, on) => {
    errors.replaceChildren();
    try {
      await app.store.write(rig.rig.id, { kind: on ? "done" : "undone", revision: rig.parent, step: step.key });
      await readTicks();
    } catch (error) {
      errors.replaceChildren(problems([{ problem: error.message, remedy: error.remedy }]));
    }
    show();
  };
  const put = (step) => {
    errors.replaceChildren();
    for (const [key, value] of Object.entries(step.set)) {
      const failed = rig.set(key, value);
      if (failed) { errors.replaceChildren(problems(failed)); return; }
    }
    app.say(`${step.title}: in the rig file now.`);
  };

  const show = () => {
    const made = rig.engine.setup(rig.id);
    const focus = document.activeElement?.dataset?.step;
    problem.replaceChildren();
    if (made.errors || !made.ready) {
      problem.append(h("div", { class: "notice" }, made.errors ? problems(made.errors) : h("p", { text: made.problem }),
        rig.state.missing ? h("a", { class: "button main", href: `#/rig/${rig.rig.id}/measure`, text: "Go on measuring" }) : null));
    }
    list.replaceChildren(...(made.steps ?? []).map((step) => {
      const done = ticks[step.key];
      const box = h("input", { type: "checkbox", data: { step: step.key }, on: { change: (e) => tick(step, e.target.checked) } });
      box.checked = Boolean(done);
      return h("li", { class: done ? "step ticked" : "step" },
        h("div", { class: "step-head" }, h("h2", { text: step.title }), step.value ? h("p", { class: "value", text: step.value }) : null),
        h("p", { class: "reason", text: step.reason }),
        step.caution ? caution(step.caution) : null,
        h("div", { class: "row" },
          h("label", { class: "tick" }, box, h("span", { text: done ? `Done, ${when(done.written)}` : "Done" })),
          step.set && Object.keys(step.set).length ? button("Put this into the file", () => put(step), { "aria-label": `Put this into the file: ${step.title}` }) : null));
    }));
    if (focus) list.querySelector(`[data-step="${CSS.escape(focus)}"]`)?.focus({ preventScroll: true });
  };
  const soon = later(show, 60);
  rig.addEventListener("state", soon);
  await readTicks();
  show();
  const node = h("div", { class: "setup" }, h("p", { class: "lead", text: "In this order. Tick each step once it is done on the bench." }), problem, errors, list);
  node.leave = () => { soon.cancel(); rig.removeEventListener("state", soon); };
  node.changed = async (change) => {
    if (change.rig === rig.rig.id && change.what === "noted") { await readTicks().catch(() => {}); show(); }
  };
  return node;
}
