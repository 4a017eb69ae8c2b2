// What the suspension's travel does to the steering, and where the ends of the rods would be better.
import { button, h, problems } from "./dom.js";
import { Chart } from "./charts.js";
import { follow } from "./worker-client.js";
import { caution, cautions, choice, fold } from "./parts.js";

const size = (mm) => `${Math.abs(mm).toFixed(1).replace(/\.0$/, "")} mm`;
const height = (mm) => (Math.abs(mm) < 0.05 ? "At ride height" : `${size(mm)} ${mm > 0 ? "up" : "down"}`);
const rolled = (mm) => (Math.abs(mm) < 0.05 ? "Level" : `Left wheel ${height(mm)}, right wheel ${height(-mm)}`);

const motions = {
  heave: ["Both", "Both wheels", height],
  roll: ["Roll", "Left wheel up, right wheel down", rolled],
  left_wheel: ["Left", "Left wheel", height],
  right_wheel: ["Right", "Right wheel", height],
};

const shades = [{ colour: "--left", width: 4 }, { colour: "--right", dash: [9, 6], width: 3 }];

// What is shown below the steering: of a solid axle, and of independent wheels.
const seconds = [
  { keys: ["shift"], title: "Shift of the axle", about: "Its middle, to the side.", words: ["axle"], digits: 1, unit: "mm", least: 0.5, sided: true },
  { keys: ["toe"], title: "Toe-in", about: "Of both wheels together; toe-out below zero.", words: ["both wheels"], digits: 2, unit: "°", least: 0.1 },
  { keys: ["camber_left", "camber_right"], title: "Camber", about: "Top outward above zero.", words: ["left wheel", "right wheel"], digits: 1, unit: "°", least: 0.5 },
];

export function travel(rig, app) {
  let motion = "heave", doc = null, made = [], guided = false;
  const errors = h("div", { role: "alert" });
  const wait = h("p", { class: "wait", role: "status", text: "Moving the suspension…" });
  const charts = h("div", { class: "charts" });
  const stops = h("ul", { class: "limits" });
  const figures = h("dl", { class: "figures" });
  const ways = choice("Motion of the suspension", Object.entries(motions).map(([key, [words]]) => [key, words]), motion, (key) => { motion = key; plot(); });
  const ends = h("ul", { class: "cards ends" });
  const endsWait = h("p", { class: "quiet", role: "status", text: "Trying other places for the ends of the rods…" });
  const ideals = h("div", { class: "ideals" });
  const locks = h("div", {}), limits = h("div", {});
  const none = h("section", { class: "none-yet", hidden: true });

  const plot = () => {
    for (const chart of made) chart.stop();
    const found = doc.motions.find((one) => one.key === motion);
    const [, axis, say] = motions[motion];
    const x = { words: axis, tick: (v) => (v ? `${Math.abs(v)}${v > 0 ? "↑" : "↓"}` : "0"), say };
    const series = (keys) => keys.map((key) => found.series.find((one) => one.key === key));
    const add = (spec, keys, words, gap) => {
      const chart = new Chart({ ...spec, x, series: words.map((w, i) => ({ words: w, ...shades[i] })) });
      const values = series(keys);
      chart.show(found.x, values.map((one) => one.values), values.map((one) => (one.band.some(Boolean) ? one.band : null)), gap);
      return chart;
    };
    made = [add({
      title: "Steered by the travel", about: `${axis}, in mm from ride height; the stick stays at the centre.`,
      digits: 2, unit: "°", least: 0.05, sided: true, keepIn: 0, lines: [{ y: 0 }],
    }, ["steer_left", "steer_right"], ["left wheel", "right wheel"], `At most: ${found.most}.`)];
    for (const one of seconds) {
      if (!found.series.some((s) => s.key === one.keys[0])) continue;
      made.push(add({ ...one, keepIn: 0, lines: [{ y: 0 }] }, one.keys, one.words, ""));
    }
    charts.replaceChildren(...made.map((chart) => chart.node));
    stops.replaceChildren(...found.stops.map((text) => h("li", { text: `${text.charAt(0).toUpperCase()}${text.slice(1)}, short of what the file says.` })));
  };

  const guide = (on) => {
    guided = on;
    rig.change("guide", on ? doc.ideals : []);
    guideButton.setAttribute("aria-pressed", String(on));
    // The lines are seen from the front or from behind only.
    const views = rig.panel.querySelector(".views");
    if (on && views.querySelector("[aria-pressed='true']").dataset.value !== "all") views.querySelector("[data-value='behind']").click();
  };
  const guideButton = button("Show it on the drawing", () => guide(!guided), { "aria-pressed": "false" });

  const show = (answer) => {
    wait.hidden = true;
    errors.replaceChildren(answer.errors ? problems(answer.errors) : "");
    body.hidden = Boolean(answer.errors) || !answer.rides;
    none.hidden = Boolean(answer.errors) || answer.rides;
    if (answer.errors) return;
    doc = answer;
    if (!doc.rides) {
      const absent = !rig.state.wheelTravel && /\[suspension\]/.test(doc.remedy);
      none.replaceChildren(h("h2", { text: absent ? "No suspension in the file yet" : "It does not move yet" }),
        ...(absent ? [h("p", { text: `${doc.remedy.charAt(0).toUpperCase()}${doc.remedy.slice(1)}.` }), h("p", { class: "quiet", text: "Everything else works without it." })]
          : [problems([{ problem: doc.problem, remedy: doc.remedy }])]),
        h("a", { class: "button", href: `#/rig/${rig.rig.id}/history`, text: "Go to the rig file" }));
      return;
    }
    plot();
    figures.replaceChildren(...doc.figures.map((r) => h("div", { class: "figure" },
      h("dt", { text: r.words }), h("dd", {}, h("strong", { text: r.text }), r.note ? h("span", { class: "note", text: r.note }) : null))));
    ideals.replaceChildren(...doc.ideals.map((one) => h("p", { text: one.words })), doc.ideals.length ? guideButton : "");
    if (guided) guide(true);
    locks.replaceChildren(lockTable(doc.locks));
    limits.replaceChildren(doc.limits.length ? limitList(doc.limits) : h("p", { text: "The file states none: add the tilt at which the rod ends bind, and the stops of the knuckles." }));
    if (!doc.steers) {
      endsWait.hidden = true;
      ends.replaceChildren(h("li", { class: "card", text: "Every rod of the steering goes with the axle, so that travel turns no knuckle on it." }));
    }
  };

  const attempt = (i, one) => {
    const failed = rig.change("tryEnd", i);
    errors.replaceChildren(failed ? problems(failed) : "");
    if (failed) errors.scrollIntoView({ block: "center" });
    else app.say(`In the rig file now: ${one.words}. Undo takes it back.`);
  };
  const showEnds = (all) => {
    if (doc && !doc.steers) return;
    endsWait.hidden = true;
    if (all.errors) { ends.replaceChildren(); return; }
    ends.replaceChildren(...all.map((one, i) => h("li", { class: one.best ? "card" : "card better" },
      h("p", { class: "quiet", text: one.way === "shims" ? "In height alone, as with shims" : "Anywhere across, as with a new hole" }),
      h("h3", { text: one.words.charAt(0).toUpperCase() + one.words.slice(1) }),
      one.best ? h("p", { text: `It steers by ${one.heave.before.text} over the travel.` })
        : h("p", { class: "before-after" }, "Both wheels: ", h("strong", { text: one.heave.before.text }), " → ", h("strong", { text: one.heave.after.text }),
          ". Roll: ", h("strong", { text: one.roll.before.text }), " → ", h("strong", { text: one.roll.after.text }), "."),
      one.short && !one.best ? h("p", { class: "quiet", text: "A still better place is more than 25 mm away." }) : null,
      one.best ? null : one.changes.length
        ? button("Try it", () => attempt(i, one), { "aria-label": `Try it: ${one.words}` })
        : h("p", { text: "The file gives this end in a way that cannot be changed here. Move it on the bench, measure it again, and see." }))));
  };

  const body = h("div", { class: "travel-body", hidden: true },
    h("section", {}, ways, stops, charts),
    h("section", {}, h("h2", { text: "How it stands here" }), h("p", { class: "quiet", text: "Move the wheels below the drawing, and the stick: these go along." }), rig.panel.values.travel),
    h("section", {}, h("h2", { text: "For each millimetre and degree" }), figures),
    h("section", {}, h("h2", { text: "Better ends" }),
      h("p", { text: "Each by itself, tried on your rig, with the rods made as long as keeps the wheels straight. The figure is how far the worse wheel is steered at most." }),
      endsWait, ends, ideals),
    h("section", {}, h("h2", { text: "Lock over the travel" }), locks),
    fold("How near the limits come", h("p", { class: "quiet", text: "How much of each limit of the file is used: with the wheels straight, and anywhere from lock to lock, over all of the travel." }), limits),
    caution(cautions.springs, cautions.parts),
    h("p", { class: "quiet", text: "A wheel's travel is counted where the steering does not move it. The chassis stands still and the wheels move. Flex, play and bushes are not counted." }));

  const asked = follow(rig, app.client, body, show, "travel");
  const askedEnds = follow(rig, app.client, ends, showEnds, "travelEnds");
  const node = h("div", { class: "travel" }, errors, wait, none, body);
  node.leave = () => {
    asked.stop();
    askedEnds.stop();
    for (const chart of made) chart.stop();
    if (guided) guide(false);
  };
  return node;
}

function lockTable(locks) {
  return h("div", { class: "table-box", tabindex: "0", role: "group", "aria-label": "Lock over the travel" }, h("table", { class: "locks" },
    h("thead", {}, h("tr", {}, ["Suspension", "To the left", "To the right"].map((text) => h("th", { scope: "col", text })))),
    h("tbody", {}, locks.map((one) => h("tr", {}, h("th", { scope: "row", text: one.words }),
      one.past ? h("td", { colspan: "2", text: one.past })
        : [[one.left, one.leftBy], [one.right, one.rightBy]].map(([angle, by]) => h("td", {}, angle, h("span", { class: "note", text: ` ${by}` }))))))));
}

function limitList(limits) {
  return h("ul", { class: "uses" }, limits.map((one) => {
    const bar = h("span", { class: "use-bar", "aria-hidden": "true" }, h("span", { class: "use-steered" }), h("span", { class: "use-straight" }));
    bar.children[0].style.width = `${100 * Math.min(1, Math.max(0, one.steered))}%`;
    bar.children[1].style.width = `${100 * Math.min(1, Math.max(0, one.straight))}%`;
    return h("li", { class: one.steered > 1 ? "use past" : "use" }, h("span", { class: "use-words", text: one.words.charAt(0).toUpperCase() + one.words.slice(1) }), bar,
      h("span", { class: "use-text", text: `${one.text}${one.steered > 1 ? ": past it" : ""}` }));
  }));
}
