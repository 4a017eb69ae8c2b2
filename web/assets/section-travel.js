// What the suspension's travel does to the steering, and where to move a ball.
import { button, h, problems, sentence } from "./dom.js";
import { sections, verdict } from "./document.js";
import { follow } from "./worker-client.js";
import { choice } from "./parts.js";

// The sections of the motions, one of which is shown.
const motions = [["heave", "Both"], ["roll", "Roll"], ["left_wheel", "Left"], ["right_wheel", "Right"]];

export function travel(rig, app) {
  let motion = motions[0][0], doc = null, made = [], guided = false;
  const errors = h("div", { role: "alert" });
  const wait = h("p", { class: "wait", role: "status", text: "Moving the suspension…" });
  const head = h("div", {}), rates = h("div", {}), charts = h("div", { class: "charts" }), rest = h("div", { class: "travel-rest" });
  const ways = choice("Motion of the suspension", motions, motion, (key) => { motion = key; plot(); });
  const none = h("section", { class: "none-yet", hidden: true });

  const plot = () => {
    for (const chart of made) chart.stop();
    made = [];
    charts.replaceChildren(...sections(doc, { only: [motion], open: true, charts: made }));
  };

  const guide = (on) => {
    guided = on;
    rig.change("guide", on);
    guideButton.setAttribute("aria-pressed", String(on));
    // The lines are seen from the front or from behind only.
    const views = rig.panel.querySelector(".views");
    if (on && views.querySelector("[aria-pressed='true']").dataset.value !== "all") views.querySelector("[data-value='behind']").click();
  };
  const guideButton = button("Show it on the drawing", () => guide(!guided), { class: "guide", "aria-pressed": "false" });

  const attempt = ({ change }) => {
    const failed = rig.change("setAll", change.do.text, change.set);
    errors.replaceChildren(failed ? problems(failed) : "");
    if (failed) errors.scrollIntoView({ block: "center" });
    else app.say(`In the rig file now: ${change.do.text}. Undo takes it back.`);
  };

  const show = (answer) => {
    wait.hidden = true;
    const absent = answer.errors?.[0].key === "suspension" && !rig.state.wheelTravel;
    errors.replaceChildren(answer.errors && !absent ? problems(answer.errors) : "");
    body.hidden = Boolean(answer.errors);
    none.hidden = !absent;
    if (absent) {
      const [{ problem, remedy }] = answer.errors;
      none.replaceChildren(...(rig.state.axle > 1 ? [h("p", { text: sentence(problem) })] : [h("h2", { text: "No suspension in the file yet" }), h("p", { text: sentence(remedy) }), h("p", { class: "quiet", text: "Everything else works without it." }),
        h("a", { class: "button", href: `#/rig/${rig.rig.id}/history`, text: "Go to the rig file" })]));
    }
    if (answer.errors) return;
    doc = answer;
    head.replaceChildren(verdict(doc));
    const shown = ["ride_height", ...motions.map(([key]) => key)];
    rates.replaceChildren(...sections(doc, { only: ["ride_height"] }));
    plot();
    // What was unfolded stays so.
    const unfolded = new Set([...rest.querySelectorAll("[data-section] > details[open]")].map((one) => one.parentNode.dataset.section));
    rest.replaceChildren(...sections(doc, { only: doc.sections.map((one) => one.key).filter((key) => !shown.includes(key)), attempt, more: { ideals: guideButton } }));
    for (const one of rest.querySelectorAll("[data-section] > details")) one.open = unfolded.has(one.parentNode.dataset.section);
  };

  const body = h("div", { class: "travel-body", hidden: true }, head, rates,
    h("section", {}, ways, charts),
    h("section", {}, h("h2", { text: "How it is now" }), h("p", { class: "quiet", text: "Move the wheels below the drawing, and the stick: these go along." }), rig.panel.values.travel),
    rest);

  const asked = follow(rig, app.client, body, show, "travel");
  const node = h("div", { class: "travel" }, errors, wait, none, body);
  node.leave = () => {
    asked.stop();
    for (const chart of made) chart.stop();
    if (guided) guide(false);
  };
  return node;
}
