// What to change, the most important first, each change to be tried with one press.
import { h, problems } from "./dom.js";
import { follow } from "./worker-client.js";
import { sections, verdict } from "./document.js";

export function change(rig, app) {
  const answer = h("div", { class: "advice" }), errors = h("div", { role: "alert" });
  const wait = h("p", { class: "wait", role: "status", text: "Trying changes on the rig…" });

  const attempt = ({ change: { do: words, set } }) => {
    const failed = rig.change("setAll", `tried: ${words.text}`, set);
    errors.replaceChildren(failed ? problems(failed) : "");
    if (!failed) app.say("Tried: it is in the rig file now. Undo takes it back.");
  };
  const putIn = h("div", { class: "row" }, h("a", { class: "button", href: `#/rig/${rig.rig.id}/loads`, text: "Put it in" }));
  const show = (doc) => {
    wait.remove();
    errors.replaceChildren(doc.errors ? problems(doc.errors) : "");
    const focus = document.activeElement?.closest?.("[data-finding]")?.dataset.finding;
    const open = new Set([...answer.querySelectorAll("[data-section]:has(> details[open])")].map((one) => one.dataset.section));
    answer.replaceChildren(...(doc.errors ? [] : [
      verdict(doc),
      h("p", { class: "quiet", text: "Each change was tried on your rig by itself. After one, look again." }),
      // Which keys the loads lack is for who edits the file; here they are asked for.
      ...sections({ sections: doc.sections.filter((one) => one.key !== "lacks") }, { attempt, more: { not_looked_at: putIn } }),
    ]));
    for (const key of open) answer.querySelector(`[data-section="${key}"] > details`)?.setAttribute("open", "");
    if (focus) answer.querySelector(`[data-finding="${CSS.escape(focus)}"] button`)?.focus({ preventScroll: true });
  };
  const asked = follow(rig, app.client, answer, show, "advise");
  const node = h("div", { class: "change" }, errors, wait, answer);
  node.leave = asked.stop;
  return node;
}
